#!/usr/bin/env python3
"""Computes random circuits from the published tables, apart from our engine.

    python3 tests/trade/circuit/peers.py [--check]

Writes `tests/trade/circuit/kept.jsonl`: one circuit a line, as a visit file, with what its checks have to
find. `kept.rs` compares the engine with it to 0.01. With --check, compares the file with what this
program computes now, and exits 1 where they differ.

Nothing here was taken from our sources: the tables are typed again by rows from NFPA 70 (2023) and IEC
60364-5-52:2009 as published, the formulas are those of the clauses named.
"""

import json
import math
import pathlib
import random
import sys

HERE = pathlib.Path(__file__).parent
KEPT = HERE / "kept.jsonl"
OF_EACH = 200

# NFPA 70 (2023), Table 310.16: copper 60, 75, 90 °C, aluminum 60, 75, 90 °C.
NEC = {
    "14 AWG": ((15, 20, 25), None),
    "12 AWG": ((20, 25, 30), (15, 20, 25)),
    "10 AWG": ((30, 35, 40), (25, 30, 35)),
    "8 AWG": ((40, 50, 55), (35, 40, 45)),
    "6 AWG": ((55, 65, 75), (40, 50, 55)),
    "4 AWG": ((70, 85, 95), (55, 65, 75)),
    "3 AWG": ((85, 100, 115), (65, 75, 85)),
    "2 AWG": ((95, 115, 130), (75, 90, 100)),
    "1 AWG": ((110, 130, 145), (85, 100, 115)),
    "1/0 AWG": ((125, 150, 170), (100, 120, 135)),
    "2/0 AWG": ((145, 175, 195), (115, 135, 150)),
    "3/0 AWG": ((165, 200, 225), (130, 155, 175)),
    "4/0 AWG": ((195, 230, 260), (150, 180, 205)),
}
RATINGS = (60, 75, 90)

# Chapter 9, Table 8, uncoated copper and aluminum, stranded (10 to 14 AWG too), Ω/kft at 75 °C.
OHMS = {
    "14 AWG": (3.14, 5.17),
    "12 AWG": (1.98, 3.25),
    "10 AWG": (1.24, 2.04),
    "8 AWG": (0.778, 1.28),
    "6 AWG": (0.491, 0.808),
    "4 AWG": (0.308, 0.508),
    "3 AWG": (0.245, 0.403),
    "2 AWG": (0.194, 0.319),
    "1 AWG": (0.154, 0.253),
    "1/0 AWG": (0.122, 0.201),
    "2/0 AWG": (0.0967, 0.159),
    "3/0 AWG": (0.0766, 0.126),
    "4/0 AWG": (0.0608, 0.100),
}

# Table 310.15(B)(1)(1), by the upper end of each row, for 60, 75 and 90 °C.
WARM = [
    (10, 1.29, 1.20, 1.15),
    (15, 1.22, 1.15, 1.12),
    (20, 1.15, 1.11, 1.08),
    (25, 1.08, 1.05, 1.04),
    (30, 1.00, 1.00, 1.00),
    (35, 0.91, 0.94, 0.96),
    (40, 0.82, 0.88, 0.91),
    (45, 0.71, 0.82, 0.87),
    (50, 0.58, 0.75, 0.82),
    (55, 0.41, 0.67, 0.76),
]

STANDARD = [10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250]

# Table 250.122: copper, aluminum.
GROUNDING = [
    (15, "14 AWG", "12 AWG"),
    (20, "12 AWG", "10 AWG"),
    (60, "10 AWG", "8 AWG"),
    (100, "8 AWG", "6 AWG"),
    (200, "6 AWG", "4 AWG"),
]


def adjusted(count):
    """Table 310.15(C)(1)."""
    for most, factor in ((3, 1.0), (6, 0.8), (9, 0.7), (20, 0.5), (30, 0.45), (40, 0.4)):
        if count <= most:
            return factor
    return 0.35


def gauge(size):
    """The number of a gauge; 1/0 is 0, 4/0 is −3 (ASTM B258)."""
    name = size.split()[0]
    return 1 - int(name[0]) if "/0" in name else int(name)


def area(size):
    """mm², from d = 0.127 mm·92^((36 − n)/39)."""
    return math.pi / 4 * (0.127 * 92 ** ((36 - gauge(size)) / 39)) ** 2


def nec_ampacity(size, metal, insulation, terminal, wiring, air, count):
    """Before and after correction and adjustment."""
    allowed = min(insulation, terminal)
    start = insulation
    if wiring in ("nm-cable", "uf-cable") or (wiring == "se-cable" and gauge(size) >= 10):
        allowed = min(allowed, 60)
    if wiring == "uf-cable":
        start = min(start, 60)
    row = NEC[size][metal]
    before = row[RATINGS.index(allowed)]
    factor = next(r for r in WARM if air <= r[0])[1 + RATINGS.index(start)]
    return before, min(before, row[RATINGS.index(start)] * factor * adjusted(count))


def next_standard(after, rating):
    """240.4(B): the largest device that protects the conductor, hard-wired charger."""
    if after in STANDARD:
        return after
    larger = [s for s in STANDARD if s > after]
    return larger[0] if larger else after


def small(size, metal, rating):
    """240.4(D): the largest device of a small conductor."""
    limits = ({"14 AWG": 15, "12 AWG": 20, "10 AWG": 30}, {"12 AWG": 15, "10 AWG": 25})
    return limits[metal].get(size)


def us(dice):
    metal = dice.choice([0, 0, 1])
    sizes = [s for s in NEC if NEC[s][metal]]
    size = dice.choice(sizes)
    insulation = dice.choice([60, 75, 90])
    terminal = dice.choice([60, 75])
    wiring = dice.choice(["nm-cable", "uf-cable", "se-cable", "conduit", "mc-cable"])
    air = dice.choice([8, 12.5, 20, 24, 30, 33, 40, 44, 50])
    count = dice.choice([2, 3, 4, 6, 7, 9, 12])
    rated = dice.choice([16, 24, 32, 40, 48, 64, 80])
    setting = dice.choice([None, None, 12, rated])
    setting = setting if setting is None or setting <= rated else None
    load = setting or rated
    rating = dice.choice(STANDARD[1:17])
    full = dice.choice([False, False, True])
    three = dice.choice([False, False, True])
    volts = dice.choice([208, 240, 480] if three else [208, 240])
    feet = dice.choice([12, 55, 130, 410])
    grounding = dice.choice([s for s in sizes if gauge(s) >= gauge(size)])
    before, after = nec_ampacity(size, metal, insulation, terminal, wiring, air, count)
    factor = 1.0 if full else 1.25
    needed = factor * load
    allowed = next_standard(after, rating)

    # Voltage drop: R₂ = R₁[1 + α(T₂ − 75)], notes to Table 8; T₂ = air + 45 K·(I/I₇₅)².
    hot = air + 45 * (load / NEC[size][metal][1]) ** 2
    alpha = (0.00323, 0.00330)[metal]
    ohm_per_foot = OHMS[size][metal] / 1000 * (1 + alpha * (hot - 75))
    ways = math.sqrt(3) if three else 2
    drop = ways * feet * load * ohm_per_foot / volts
    power = volts * load * (math.sqrt(3) if three else 1)
    loss = (3 if three else 2) * load**2 * ohm_per_foot * feet

    # 250.122(A) and (B).
    def sufficient(s):
        b, a = nec_ampacity(s, metal, insulation, terminal, wiring, air, count)
        limit = small(s, metal, rating)
        fits = limit is None or rating <= limit
        return b >= needed and a >= load and rating <= next_standard(a, rating) and fits

    smallest = [s for s in sizes if gauge(s) >= gauge(size) and sufficient(s)]
    grows = area(size) / min([area(s) for s in smallest] + [area(size)])
    table = next(row for row in GROUNDING if rating <= row[0])[1 + metal]
    least = min(area(table) * grows, area(size))

    checks = {
        "charging-power": {"value": power},
        "continuous-load": {"value": rating, "limit": needed, "holds": rating >= needed},
        "standard-rating": {
            "value": rating,
            "limit": next(s for s in STANDARD if s >= needed),
            "holds": True,
        },
        "conductor-continuous": {"value": before, "limit": needed, "holds": before >= needed},
        "conductor-ampacity": {"value": after, "limit": load, "holds": after >= load},
        "conductor-protection": {"value": rating, "limit": allowed, "holds": rating <= allowed},
        "voltage-drop": {"value": 100 * drop, "limit": 3, "holds": drop <= 0.03},
        "run-loss": {"value": 3500 * loss / power},
        "grounding-conductor": {"holds": area(grounding) >= least * (1 - 1e-9)},
    }
    if (limit := small(size, metal, rating)) is not None:
        checks["small-conductor"] = {"value": rating, "limit": limit, "holds": rating <= limit}
    if setting is not None and setting < rated:
        checks["current-setting"] = {"value": setting, "holds": True}
    text = {
        "charger": {
            "rated_current": f"{rated} A",
            "connection": "hardwired",
            **({"current_setting": f"{setting} A", "setting_restricted": "yes"} if setting else {}),
        },
        "supply": {
            "phases": 3 if three else 1,
            "legs": ["L1", "L2", "L3"] if three else ["L1", "L2"],
            "voltage": f"{volts} V",
        },
        "breaker": {
            "rating": f"{rating} A",
            "terminal_rating": f"{terminal} °C",
            "full_rated": "yes" if full else "no",
        },
        "conductors": {
            "material": ("copper", "aluminum")[metal],
            "size": size,
            "insulation": f"{insulation} °C",
            "wiring": wiring,
            "length": f"{feet} ft",
            "current_carrying": count,
            "stranded": "yes",
            "grounding": grounding,
        },
        "dedicated": "yes",
        "hottest_air": f"{air} °C",
    }
    return {"rules": "us", "circuit": text, "checks": checks}


# IEC 60364-5-52:2009, Tables B.52.2 to B.52.5, copper: A1, A2, B1, B2, C, D1.
METHODS = ("A1", "A2", "B1", "B2", "C", "D1")
IEC = {
    (70, 2): {
        2.5: (19.5, 18.5, 24, 23, 27, 29),
        4: (26, 25, 32, 30, 36, 37),
        6: (34, 32, 41, 38, 46, 46),
        10: (46, 43, 57, 52, 63, 60),
        16: (61, 57, 76, 69, 85, 78),
        25: (80, 75, 101, 90, 112, 99),
        35: (99, 92, 125, 111, 138, 119),
    },
    (90, 2): {
        2.5: (26, 25, 31, 30, 33, 33),
        4: (35, 33, 42, 40, 45, 43),
        6: (45, 42, 54, 51, 58, 53),
        10: (61, 57, 75, 69, 80, 71),
        16: (81, 76, 100, 91, 107, 91),
        25: (106, 99, 133, 119, 138, 116),
        35: (131, 121, 164, 146, 171, 139),
    },
    (70, 3): {
        2.5: (18, 17.5, 21, 20, 24, 24),
        4: (24, 23, 28, 27, 32, 30),
        6: (31, 29, 36, 34, 41, 38),
        10: (42, 39, 50, 46, 57, 50),
        16: (56, 52, 68, 62, 76, 64),
        25: (73, 68, 89, 80, 96, 82),
        35: (89, 83, 110, 99, 119, 98),
    },
    (90, 3): {
        2.5: (23, 22, 28, 26, 30, 28),
        4: (31, 30, 37, 35, 40, 36),
        6: (40, 38, 48, 44, 52, 44),
        10: (54, 51, 66, 60, 71, 58),
        16: (73, 68, 88, 80, 96, 75),
        25: (95, 89, 117, 105, 119, 96),
        35: (117, 109, 144, 128, 147, 115),
    },
}
# IEC 60228:2004, class 2, plain copper, Ω/km at 20 °C.
KM = {2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524}
# Tables B.52.14 (air) and B.52.15 (ground), for 70 and 90 °C.
AIR = {20: (1.12, 1.08), 30: (1.0, 1.0), 35: (0.94, 0.96), 40: (0.87, 0.91), 45: (0.79, 0.87)}
SOIL = {15: (1.05, 1.04), 20: (1.0, 1.0), 25: (0.95, 0.96), 30: (0.89, 0.93)}
# Tables B.52.17, item 1, and B.52.19, touching.
BUNCH = {1: 1.0, 2: 0.8, 3: 0.7, 4: 0.65, 5: 0.6, 6: 0.57}
DUCTS = {1: 1.0, 2: 0.85, 3: 0.75, 4: 0.7, 5: 0.65, 6: 0.6}


def iec(dice):
    three = dice.choice([True, False])
    insulation = dice.choice([70, 90])
    terminal = dice.choice([70, 90])
    size = dice.choice(list(KM))
    method = dice.choice(METHODS)
    together = dice.choice(list(BUNCH))
    buried = method == "D1"
    air = dice.choice(list(SOIL if buried else AIR))
    hottest = dice.choice([30, 40]) if buried else air
    rated = dice.choice([10, 16, 20, 32])
    rating = dice.choice([16, 20, 25, 32, 40, 50])
    kind = dice.choice(["mcb", "mccb", "fuse"])
    metres = dice.choice([6, 25, 80])
    volts = 400 if three else 230
    ohm = dice.choice([20, 83, 166, 1600, 1700])
    residual = dice.choice([30, 100, 300])
    warm = dice.choice([None, 25, 42, 55])
    beside = dice.choice([None, 1, 3, 4, 9, 10])
    loaded = 3 if three else 2
    hot = min(insulation, terminal)
    base = IEC[hot, loaded][size][METHODS.index(method)]
    factors = (SOIL if buried else AIR)[air]
    after = base * factors[hot == 90] * (DUCTS if buried else BUNCH)[together]
    # 433.1: I₂ ≤ 1.45·I_z; IEC 60898-1, 60947-2 and 60269-1.
    trips = {"mcb": 1.45, "mccb": 1.3, "fuse": 1.6}[kind] * rating
    limit = 1.45 * after

    # Voltage drop: R₂ = R₂₀[1 + 0.00393(T − 20)], T = surroundings + rise at ampacity·(I/I_z)².
    own = IEC[insulation, loaded][size][METHODS.index(method)]
    rise = insulation - (20 if buried else 30)
    heat = air + rise * (rated / own) ** 2
    ohms = KM[size] / 1000 * (1 + 0.00393 * (heat - 20))
    drop = (math.sqrt(3) if three else 2) * metres * rated * ohms / volts

    checks = {
        "continuous-load": {"value": rating, "limit": rated, "holds": rating >= rated},
        "conductor-ampacity": {"value": after, "limit": rated, "holds": after >= rated},
        "conductor-protection": {"value": rating, "limit": after, "holds": rating <= after},
        "overload-protection": {"value": trips, "limit": limit, "holds": trips <= limit},
        "voltage-drop": {"value": 100 * drop, "limit": 5, "holds": drop <= 0.05},
        # 411.5.3: R_A·I_Δn ≤ 50 V.
        "earth-electrode": {
            "value": ohm * residual / 1000,
            "limit": 50,
            "holds": ohm * residual <= 50_000,
        },
    }
    if warm is not None or beside is not None:
        # 0.5 % a kelvin above 30 °C, and for 2 to 3, 4 to 5, 6 to 9 and more side by side (from memory).
        row = next(f for most, f in ((1, 1), (3, 0.9), (5, 0.8), (9, 0.7), (99, 0.6)) if (beside or 1) <= most)
        carries = rating * (1 - 0.005 * max(0, (warm or 30) - 30)) * row
        checks["breaker-derating"] = {"value": carries, "limit": rated, "holds": carries >= rated}
    text = {
        "charger": {"rated_current": f"{rated} A", "connection": "hardwired"},
        "supply": {
            "phases": 3 if three else 1,
            "legs": ["L1", "L2", "L3", "N"] if three else ["L1", "N"],
            "voltage": f"{volts} V",
            "earthing": "tt",
            "earth_resistance": f"{ohm} Ω",
        },
        "breaker": {
            "rating": f"{rating} A",
            "kind": kind,
            "terminal_rating": f"{terminal} °C",
            **({"ambient": f"{warm} °C"} if warm is not None else {}),
            **({"side_by_side": beside} if beside is not None else {}),
        },
        "conductors": {
            "material": "copper",
            "size": f"{size} mm²",
            "insulation": f"{insulation} °C",
            "method": method,
            "length": f"{metres} m",
            "circuits_together": together,
            "stranded": "yes",
            "ambient": f"{air} °C",
        },
        "rcd": {"type": "b", "rating": f"{residual} mA"},
        "dedicated": "yes",
        "hottest_air": f"{hottest} °C",
    }
    return {"rules": "iec", "circuit": text, "checks": checks}


def main():
    dice = random.Random(60364)
    cases = [make(dice) for make in (us, iec) for _ in range(OF_EACH)]
    text = "".join(json.dumps(case, ensure_ascii=False) + "\n" for case in cases)
    if "--check" not in sys.argv[1:]:
        KEPT.write_text(text, encoding="utf-8")
        return 0
    same = KEPT.read_text(encoding="utf-8") == text
    print(f"{len(cases) if same else 0} passed, {0 if same else len(cases)} failed")
    return 0 if same else 1


if __name__ == "__main__":
    sys.exit(main())
