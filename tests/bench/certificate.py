#!/usr/bin/env python3
"""Whole-process time, peak memory and file size of one certificate.

    cargo build --profile dist
    python3 tests/bench/certificate.py target/dist/warmlug

Needs GNU time (Debian: time). Runs the program itself, start included, on an example without and
with its photos, and on the same photos raw (hashing them, hashing and writing the certificate) as the cost that
nobody can avoid. Prints the median of the runs. A benchmark, not a test: nothing here passes or fails.
"""

import hashlib
import os
import pathlib
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

RUNS = 30
EXAMPLE = "townhouse-return"


def measure(command, env):
    """Median wall and processor time in milliseconds, and peak memory in MiB."""
    wall, cpu = [], []
    for _ in range(RUNS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        start = time.perf_counter()
        process = subprocess.Popen(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        status = process.wait()
        wall.append((time.perf_counter() - start) * 1000)
        if status != 0:
            sys.exit(f"{command} ended with status {status}")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        cpu.append(1000 * (after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime))
    return statistics.median(wall), statistics.median(cpu), peak(command, env)


def peak(command, env):
    """Peak memory in MiB, by GNU time: a process started from here would count Python's own."""
    told = subprocess.run(
        ["/usr/bin/time", "-f", "%M", *command], env=env, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=True
    )
    return int(told.stderr.split()[-1]) / 1024


def raw(photos, certificate, folder):
    """Processor milliseconds that nobody can avoid, signature apart: read and hash the photos,
    hash the finished file, write it."""
    data, times = certificate.read_bytes(), []
    for _ in range(RUNS):
        start = time.process_time()
        for path in photos:
            hashlib.sha256(path.read_bytes()).digest()
        hashlib.sha256(data).digest()
        (folder / "copy").write_bytes(data)
        times.append(1000 * (time.process_time() - start))
    return statistics.median(times)


def run(program):
    """Prints the table; gives processor milliseconds by name of the row."""
    told = {}
    root = pathlib.Path(__file__).resolve().parents[2]
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for example in root.joinpath("examples").iterdir():
            if example.is_dir():
                shutil.copytree(example, folder / example.name, ignore=shutil.ignore_patterns("*.pdf"))
        visit = folder / EXAMPLE / "visit.yaml"
        text = visit.read_text()
        bare = re.sub(r"(?ms)^photos:.*?(?=^\S|\Z)", "", text)
        bare = re.sub(r"(?m)^.*\b(logo|signature):.*$", "", bare)
        (folder / EXAMPLE / "bare.yaml").write_text(bare)
        env = dict(os.environ, XDG_CONFIG_HOME=str(folder / "config"))

        print(f"{'':34}{'wall ms':>9}{'cpu ms':>9}{'peak MiB':>10}{'bytes':>10}")
        for name, arguments, file in [
            ("start (--version)", ["--version"], None),
            ("check, no photos", ["check", str(folder / EXAMPLE / "bare.yaml")], None),
            ("certify, no photos", ["certify", str(folder / EXAMPLE / "bare.yaml")], "bare-certificate.pdf"),
            ("certify, example's photos", ["certify", str(visit)], "certificate.pdf"),
        ]:
            command = [program, *arguments] + (["--force"] if file else [])
            wall, cpu, peak = measure(command, env)
            size = (folder / EXAMPLE / file).stat().st_size if file else ""
            print(f"{name:34}{wall:9.1f}{cpu:9.1f}{peak:10.1f}{size:>10}")
            told[name] = cpu
        certificate = folder / EXAMPLE / "certificate.pdf"
        wall, cpu, peak = measure([program, "verify", "--allow-uncompared", str(certificate)], env)
        print(f"{'verify, example':34}{wall:9.1f}{cpu:9.1f}{peak:10.1f}")
        told["verify, example"] = cpu
        photos = sorted((folder / EXAMPLE / "photos").iterdir())
        told["raw, example"] = raw(photos, certificate, folder)
        print(f"{'raw: hash photos, hash and write it':34}{'':9}{told['raw, example']:9.1f}")
    return told


if __name__ == "__main__":
    run(str(pathlib.Path(sys.argv[1]).resolve()))
