#!/usr/bin/env python3
"""How cost grows with connections, photos and files, and what many files cost.

    cargo build --profile dist
    python3 tests/bench/growth.py target/dist/warmlug

Needs Pillow (tests/bench/requirements.txt) for the photos. Each size is run several times and the
least processor time counts: other work on the machine only ever adds. A straight line is fitted
by least squares; r² tells how straight. A benchmark, not a test: nothing here passes or fails.
"""

import os
import pathlib
import resource
import shutil
import subprocess
import sys
import tempfile
import time

from PIL import Image

from certificate import raw

RUNS = 7
FILES = 1000
HEAD = """visit: {{ number: "{number}", date: 2026-10-06, reason: first, rules: us }}
print: {{ units: us, paper: letter, language: en }}
units: {{ temperature: °F, torque: in·lb, length: ft }}
inspector: {{ name: Tamsin Vale }}
client: {{ name: Joss Bray, role: owner }}
site: {{ name: Sluice Cottage }}
instruments:
  gun: {{ kind: infrared-thermometer, serial: A1, accuracy: {{ of_reading: 1 %, at_least: 1 °C }} }}
  driver: {{ kind: torque-screwdriver, serial: B2 }}
  tester: {{ kind: voltage-tester, serial: C3 }}
circuits:
  - id: garage
    charger: {{ rated_current: 40 A, connection: hardwired }}
    supply: {{ phases: 1, legs: [L1, L2], voltage: 240 V }}
    breaker: {{ rating: 50 A, poles: 2, terminal_rating: 75 °C, ground_fault: none }}
    conductors: {{ material: copper, size: 6 AWG, insulation: 90 °C, wiring: conduit, length: 55 ft }}
"""


def visit(number, places):
    """A visit of so many places with two connections each, read in three rounds."""
    out = [HEAD.format(number=number), "    places:\n"]
    ids = [f"p{i}-L{leg}" for i in range(places) for leg in (1, 2)]
    for i in range(places):
        out.append(f"      - {{ id: p{i}, name: Joint box {i}, connections: [")
        out.append(", ".join(f"{{ id: p{i}-L{leg}, leg: L{leg}, kind: screw-terminal, torque: 45, surface: insulation }}" for leg in (1, 2)))
        out.append("] }\n")
    out.append("    isolation: { tester: tester, proved_before: 241 V, dead: { L1-L2: 0 V, L1-G: 0 V, L2-G: 0 V }, proved_after: 241 V, locked: true }\n")
    out.append("    looked_at:\n" + "".join(f"      - {{ place: p{i}, seen: clean }}\n" for i in range(places)))
    out.append("    torque:\n" + "".join(f"      - {{ connection: {c}, found: held, left: 45, with: driver }}\n" for c in ids))
    out.append('    heat:\n      with: gun\n      charging_from: "09:50"\n      rounds:\n')
    for at, current, rise in (("09:40", 0, 0), ("10:05", 40, 12), ("10:55", 40, 15)):
        readings = ", ".join(f"{c}: {61 + rise + (n % 5) * 0.2 * (rise > 0):.1f}" for n, c in enumerate(ids))
        out.append(f'        - {{ at: "{at}", air: 61, current: {current} A, readings: {{ {readings} }} }}\n')
    return "".join(out)


def run(command, env):
    """Processor milliseconds of one run, start included, and wall seconds."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode != 0:
        sys.exit(f"{command} ended with {done.returncode}\n{done.stderr}")
    return 1000 * (after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime), wall


def fit(points):
    """Slope, intercept and r² of a straight line."""
    n = len(points)
    mx, my = (sum(p[i] for p in points) / n for i in (0, 1))
    sxx = sum((x - mx) ** 2 for x, _ in points)
    sxy = sum((x - mx) * (y - my) for x, y in points)
    syy = sum((y - my) ** 2 for _, y in points)
    return sxy / sxx, my - sxy / sxx * mx, sxy * sxy / (sxx * syy)


def series(what, sizes, command, env):
    points = [(size, min(run(command(size), env)[0] for _ in range(RUNS))) for size in sizes]
    slope, start, r2 = fit(points)
    told = ", ".join(f"{x}: {y:.1f}" for x, y in points)
    print(f"{what}: {told} ms; {start:.1f} ms + {slope:.3f} ms each, r² {r2:.4f}")


def run_all(program):
    """Prints the fits; gives what many files cost by name."""
    told = {}
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        env = {**os.environ, "XDG_CONFIG_HOME": str(folder / "config")}
        places = [2, 16, 32, 64, 128, 256]
        for n in places:
            (folder / f"places{n}.yaml").write_text(visit(f"P-{n}", n))
        run([program, "certify", str(folder / "places2.yaml"), "-o", str(folder / "first.pdf")], env)
        series("check, connections", [2 * n for n in places], lambda c: [program, "check", str(folder / f"places{c // 2}.yaml")], env)
        certify = lambda name: [program, "certify", str(folder / name), "-o", str(folder / "out.pdf"), "--force"]
        series("certify, connections", [2 * n for n in places], lambda c: certify(f"places{c // 2}.yaml"), env)

        light = Image.linear_gradient("L").resize((1600, 1200))
        grain = Image.effect_noise((1600, 1200), 40)
        photos = [0, 2, 8, 16, 32]
        for i in range(max(photos)):
            Image.blend(light.rotate(90 * (i % 4)).resize((1600, 1200)), grain, 0.5).convert("RGB").save(folder / f"photo{i}.jpg", quality=80)
        for n in photos:
            listed = "".join(f"  - {{ id: f{i}, file: photo{i}.jpg, caption: Box {i} }}\n" for i in range(n))
            (folder / f"photos{n}.yaml").write_text(visit(f"F-{n}", 2) + ("photos:\n" + listed if n else ""))
        series("certify, photos of 1600 x 1200 passed through", photos, lambda n: [*certify(f"photos{n}.yaml"), "--full-photos"], env)

        files = [100, 200, 400, FILES]
        text = visit("{number}", 4)
        points = []
        for n in files:
            round_ = folder / f"round{n}"
            for i in range(n):
                (round_ / str(i)).mkdir(parents=True)
                (round_ / str(i) / "visit.yaml").write_text(text.replace("{number}", f"B-{n}-{i}"))
            cpu, wall = min(run([program, "certify", str(round_), "--force"], env) for _ in range(3))
            points.append((n, cpu))
            if n == FILES:
                print(f"certify {n} visits of 8 connections: {wall:.2f} s, {n / wall:.0f} a second, {cpu / n:.2f} ms each")
                told[f"certify {n} visits, each"] = cpu / n
        slope, start, r2 = fit(points)
        print(f"certify, files: {start:.1f} ms + {slope:.3f} ms each, r² {r2:.4f}")
        certificates = sorted((folder / f"round{FILES}").rglob("*.pdf"))
        many = folder / "many"
        many.mkdir()
        for i in range(10 * FILES):
            os.link(certificates[i % FILES], many / f"{i}.pdf")
        cpu, wall = min(run([program, "register", "--allow-uncompared", str(many), "--format", "csv"], env) for _ in range(2))
        print(f"register of {10 * FILES}: {wall:.2f} s, {cpu / 10 / FILES:.3f} ms each")
        told[f"register of {10 * FILES}, each"] = cpu / 10 / FILES
        cpu, wall = min(run([program, "verify", "--allow-uncompared", str(certificates[0]), "--no-known"], env) for _ in range(RUNS))
        print(f"verify one: {cpu:.1f} ms; {certificates[0].stat().st_size:,} bytes")
        shutil.rmtree(many)
        told["raw of one of the visits"] = raw([], certificates[0], folder)
        told["verify one"] = cpu
    return told


if __name__ == "__main__":
    run_all(str(pathlib.Path(sys.argv[1]).resolve()))
