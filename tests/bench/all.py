#!/usr/bin/env python3
"""All benchmarks of whole processes in one run, and one table of what they come to.

    cargo build --profile dist
    python3 -m venv target/bench && target/bench/bin/pip install -r tests/bench/requirements.txt
    target/bench/bin/python tests/bench/all.py target/dist/warmlug

Runs `certificate`, `engines` and `growth` one after another, then sets their figures beside the
cost that nobody can avoid (reading and hashing the photos, hashing and writing the file, one
signature as `openssl speed` tells it) and beside two general document engines. Takes some
minutes. A benchmark, not a test: nothing here passes or fails.
"""

import pathlib
import re
import subprocess
import sys

import certificate
import engines
import growth


def signature():
    """Milliseconds that openssl takes for a signature with a key on P-256."""
    told = subprocess.run(["openssl", "speed", "-seconds", "1", "ecdsap256"], capture_output=True, text=True, check=True)
    return 1000 / float(re.search(r"nistp256\).*?([\d.]+)\s+[\d.]+\s*$", told.stdout, re.M)[1])


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    one = certificate.run(program)
    print()
    like = engines.run(program)
    print()
    many = growth.run_all(program)
    sign = signature()

    print(f"\n{'processor ms, whole process':40}{'ours':>9}{'raw':>8}{'ratio':>7}{'typst':>8}{'ratio':>7}{'reportlab':>11}{'ratio':>7}")

    def row(name, ours, raw=None, makers=None):
        line = f"{name:40}{ours:9.2f}"
        line += f"{raw:8.2f}{ours / raw:7.1f}" if raw else f"{'':15}"
        for other, width in [("typst", 8), ("reportlab", 11)]:
            line += f"{makers[other]:{width}.1f}{makers[other] / ours:7.1f}" if makers else ""
        print(line)

    row("check, no photos", one["check, no photos"])
    for document in engines.EXAMPLES:
        makers = like[document]
        row(f"certify {document}, no photos", makers["warmlug"], makers["raw"] + sign, makers)
    makers = like[engines.PHOTOS]
    row("certify, two photos passed through", makers["warmlug"], makers["raw"] + sign, makers)
    row("certify, two photos scaled", makers[engines.SCALED], makers["raw, scaled"] + sign, makers)
    row("certify, example's photos", one["certify, example's photos"], one["raw, example"] + sign)
    raw = many.pop("raw of one of the visits")
    for name, ours in many.items():
        row(name, ours, raw + sign if name.startswith("certify") else None)
    print("raw: reading and hashing the photos, hashing and writing the file, one signature by openssl;")
    print("ratio: ours to raw, the engine to ours (its document is neither signed nor carries anything)")


if __name__ == "__main__":
    main()
