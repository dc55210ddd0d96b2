#!/usr/bin/env python3
"""Write fonts/srgb.icc, the colour profile that a certificate names as its output intent.

    python3 fonts/srgb.py

An ICC version 4.2 display profile of the sRGB colour space, built from the numbers of
IEC 61966-2-1:1999 (primaries of ITU-R BT.709, white point D65, its transfer function), adapted
to D50 by the linear Bradford transform as ICC.1:2004-10 asks. Needs Python alone.
"""

import pathlib
import struct

PRIMARIES = {"r": (0.64, 0.33), "g": (0.30, 0.60), "b": (0.15, 0.06)}
D65 = (0.3127, 0.3290)
D50 = (0.9642, 1.0, 0.8249)  # ICC.1:2004-10, 7.2.16
BRADFORD = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
# c = ((v + 0.055) / 1.055) ** 2.4 above 0.04045, v / 12.92 below.
CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)


def times(a, b):
    return [[sum(x * y for x, y in zip(row, column)) for column in zip(*b)] for row in a]


def inverse(m):
    (a, b, c), (d, e, f), (g, h, i) = m
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    cofactors = [[e * i - f * h, c * h - b * i, b * f - c * e],
                 [f * g - d * i, a * i - c * g, c * d - a * f],
                 [d * h - e * g, b * g - a * h, a * e - b * d]]
    return [[v / det for v in row] for row in cofactors]


def xyz(x, y):
    return [x / y, 1.0, (1 - x - y) / y]


def fixed(*values):
    return struct.pack(f">{len(values)}i", *(round(v * 65536) for v in values))


def main():
    white = xyz(*D65)
    columns = [list(row) for row in zip(*(xyz(*PRIMARIES[c]) for c in "rgb"))]
    scale = [row[0] for row in times(inverse(columns), [[v] for v in white])]
    to_xyz = [[v * s for v, s in zip(row, scale)] for row in columns]
    cones = [[d / s for d, s in zip(row_d, row_s)] for row_d, row_s in
             zip(times(BRADFORD, [[v] for v in D50]), times(BRADFORD, [[v] for v in white]))]
    diagonal = [[cones[i][0] if i == j else 0.0 for j in range(3)] for i in range(3)]
    adapt = times(times(inverse(BRADFORD), diagonal), BRADFORD)
    d50 = times(adapt, to_xyz)

    def text(words):
        data = words.encode("utf-16-be")
        return b"mluc" + bytes(4) + struct.pack(">II2s2sII", 1, 12, b"en", b"US", len(data), 28) + data

    curve = b"para" + bytes(4) + struct.pack(">HH", 3, 0) + fixed(*CURVE)
    tags = [
        (b"desc", text("sRGB")),
        (b"cprt", text("CC0")),
        (b"wtpt", b"XYZ " + bytes(4) + fixed(*D50)),
        (b"chad", b"sf32" + bytes(4) + fixed(*(v for row in adapt for v in row))),
        *((name, b"XYZ " + bytes(4) + fixed(*column)) for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), zip(*d50))),
        (b"rTRC", curve), (b"gTRC", curve), (b"bTRC", curve),
    ]
    table, data, places = b"", b"", {}
    start = 128 + 4 + 12 * len(tags)
    for name, value in tags:
        if value not in places:
            places[value] = start + len(data)
            data += value + bytes(-len(value) % 4)
        table += name + struct.pack(">II", places[value], len(value))
    header = struct.pack(
        ">I4sI4s4s4s6H4s4sI4s4sQI12s4s",
        start + len(data), bytes(4), 0x04200000, b"mntr", b"RGB ", b"XYZ ",
        2026, 1, 1, 0, 0, 0, b"acsp", bytes(4), 0, bytes(4), bytes(4), 0, 0, fixed(*D50), bytes(4),
    ) + bytes(44)
    profile = header + struct.pack(">I", len(tags)) + table + data
    assert len(header) == 128
    pathlib.Path(__file__).with_name("srgb.icc").write_bytes(profile)


if __name__ == "__main__":
    main()
