#!/usr/bin/env python3
"""What a register of many certificates costs: the first run, the next one, and hashing alone.

    cargo build --profile dist
    python3 tests/bench/register.py target/dist/warmlug [FILES]

Makes FILES certificates (1,000 if not given): half of a visit of eight connections, a quarter each of
`examples/townhouse-return` and `examples/landlord-six` without images, every one with a number and a
site of its own. A first run finds nothing kept; every certificate is verified and its pages are written
again. The next run finds the rows of the first one. `sha256sum` hashes the same files. Of each the
fastest of three runs counts, in processor and wall time. Needs Pillow (tests/bench/requirements.txt), as
`growth` does. A benchmark, not a test: nothing here passes or fails.
"""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

from growth import run, visit

EXAMPLES = pathlib.Path(__file__).resolve().parents[2] / "examples"
RUNS = 3


def alone(example):
    """An example without its images and earlier certificates."""
    kept = []
    for line in (EXAMPLES / example / "visit.yaml").read_text().splitlines(keepends=True):
        if line.startswith("photos:"):
            break
        if not re.search("logo:|signature:|earlier:", line):
            kept.append(line)
    return "".join(kept)


def own(text, number):
    """A visit with a number and a site of its own."""
    text = re.sub(r'number: *("[^"]*"|[^,}\s]+)', f'number: "{number}"', text, count=1)
    return re.sub(r"(site:\s*(?:\{\s*)?name:) *[^,}\n]+", rf"\1 Site {number}", text, count=1)


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    files = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    texts = [visit("B-0", 4), alone("townhouse-return"), visit("B-0", 4), alone("landlord-six")]
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        config = folder / "config"
        env = {**os.environ, "XDG_CONFIG_HOME": str(config)}
        for i in range(files):
            place = folder / "visits" / str(i)
            place.mkdir(parents=True)
            (place / "visit.yaml").write_text(own(texts[i % len(texts)], f"B-{i}"))
        run([program, "certify", str(folder / "visits")], env)
        many = folder / "certificates"
        many.mkdir()
        for i in range(files):
            (folder / "visits" / str(i) / "certificate.pdf").rename(many / f"{i}.pdf")
        bytes_ = sum(f.stat().st_size for f in many.iterdir())
        print(f"{files} certificates, {bytes_ / 1e6:.1f} MB")
        register = [program, "register", str(many), "--allow-uncompared", "--format", "csv"]

        def fresh():
            # Each name is met again, as on a machine that has seen no certificate yet.
            shutil.rmtree(config)
            config.mkdir()

        def told(what, command, before=lambda: None):
            times = []
            for _ in range(RUNS):
                before()
                times.append(run(command, env))
            cpu, wall = min(times)
            print(f"{what:28}{wall:8.2f} s{cpu / 1000:8.2f} s processor{cpu / files:8.3f} ms each")

        told("first run", register, fresh)
        told("next run", register)
        told("first run, --seals-only", [*register, "--seals-only"], fresh)
        told("next run, --seals-only", [*register, "--seals-only"])
        told("sha256sum", ["sha256sum", *map(str, sorted(many.iterdir()))])


if __name__ == "__main__":
    main()
