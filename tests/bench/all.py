#!/usr/bin/env python3
"""One table: how long ours takes beside general document engines that do the same work.

    cargo build --profile dist
    python3 -m venv target/bench && target/bench/bin/pip install -r tests/bench/requirements.txt
    target/bench/bin/python tests/bench/all.py target/dist/warmlug [RUNS]

The engines get the finished words of our certificate, read from its structure tree (`engines.py`): the
same headings, lists, tables and pages, a drawing for each figure, and the photos in the size in which
ours prints them, scaled by Pillow where ours scales. They neither compute findings nor sign nor attach
anything. Every row is measured in turn, ours and each engine once and then again, so that whatever
else the machine does slows all of them; the figures are medians of wall time. For a batch, ours and
the engines have two processors and as many documents, and the start of the engines' Python is not
counted. Memory is the peak of the largest process (GNU time). A benchmark, not a test: nothing here
passes or fails. The last column says what is asked for in `RESULTS.md`.
"""

import json
import os
import pathlib
import platform
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

import engines

ENGINES = {"typst": engines.TYPST, "reportlab": engines.REPORTLAB}
BATCH = int(os.environ.get("BATCH", "200"))

# Photos in the pixels in which ours prints them: decoded at a reduced size where that is enough.
SCALE = '''
def scaled(blocks, sizes):
    from PIL import Image
    import pathlib
    here = pathlib.Path(sys.argv[1]).parent
    out = []
    for kind, content in blocks:
        if kind == "photo" and content in sizes:
            photo = Image.open(here / content)
            photo.draft("RGB", sizes[content])
            small = "small-" + content
            photo.resize(sizes[content], Image.Resampling.LANCZOS).save(here / small, quality=85)
            content = small
        out.append([kind, content])
    return out
'''

ONE = '''
blocks = json.load(open(sys.argv[1]))
open(sys.argv[2], "wb").write(make(scaled(blocks, json.loads(sys.argv[3]))))
'''

# Two processes with half of the documents each; prints the seconds from the first to the last.
MANY = '''
import multiprocessing, os, time
content = sys.argv[1]
def some(numbers):
    blocks = json.load(open(content))
    # An engine that writes a file first must not write that of the other process.
    sys.argv[1] = f"{sys.argv[2]}-{os.getpid()}.json"
    for n in numbers:
        blocks[0] = ["paragraph", f"Certificate {n}"]
        open(f"{sys.argv[2]}-{n}.pdf", "wb").write(make(blocks))
if __name__ == "__main__":
    count = int(sys.argv[3])
    with multiprocessing.Pool(2) as pool:
        pool.map(some, [[0], [1]], chunksize=1)
        start = time.perf_counter()
        pool.map(some, [range(0, count, 2), range(1, count, 2)], chunksize=1)
        print(time.perf_counter() - start)
'''


def wall(command, env):
    """Milliseconds of a whole process; of a batch of an engine, what it prints."""
    start = time.perf_counter()
    done = subprocess.run(command, env=env, stdin=subprocess.DEVNULL, capture_output=True, text=True)
    took = time.perf_counter() - start
    if done.returncode != 0:
        sys.exit(f"{command}: {done.stderr}")
    printed = done.stdout.strip()
    return 1000 * (float(printed) if re.fullmatch(r"\d+\.\d+", printed) else took)


def peak(command, env):
    """Peak memory of the largest process of a command, MB."""
    told = subprocess.run(["/usr/bin/time", "-f", "%M", *command], env=env, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=True)
    return int(told.stderr.split()[-1]) * 1024 / 1e6


def in_turn(commands, env, runs):
    """Median milliseconds of each command, and peak memory."""
    times = {name: [] for name in commands}
    for _ in range(runs):
        for name, command in commands.items():
            times[name].append(wall(command, env))
    return {name: (statistics.median(all_), max(all_), peak(commands[name], env)) for name, all_ in times.items()}


def printed_sizes(certificate, names):
    """Width and height in pixels of the photos in a certificate, in the order of its pages."""
    import pikepdf

    sizes = []
    with pikepdf.open(certificate) as pdf:
        for page in pdf.pages:
            for _, image in sorted(page.get_images().items()):
                if int(image.Width) > 300:
                    sizes.append((int(image.Width), int(image.Height)))
    return dict(zip(names, sizes))


class Table:
    def __init__(self):
        columns = f"{'ours':>8}{'typst':>9}{'ratio':>7}{'reportlab':>11}{'ratio':>7}{'slowest':>9}{'MB':>6}{'typst':>7}{'reportlab':>11}"
        print(f"{'wall ms, medians in turn':44}{columns}  asked for", flush=True)

    def row(self, name, told, asked="", each=1):
        ours, slowest, memory = told["ours"]
        line = f"{name:44}{ours / each:8.1f}"
        for engine, width in [("typst", 9), ("reportlab", 11)]:
            line += f"{told[engine][0] / each:{width}.1f}{told[engine][0] / ours:7.1f}" if engine in told else f"{'':{width + 7}}"
        line += f"{slowest / each:9.1f}{memory:6.0f}"
        for engine, width in [("typst", 7), ("reportlab", 11)]:
            line += f"{told[engine][2]:{width}.0f}" if engine in told else f"{'':{width}}"
        print(f"{line}  {asked}".rstrip(), flush=True)


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 15
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        env = dict(os.environ, XDG_CONFIG_HOME=str(folder / "config"))
        shutil.copytree(engines.ROOT / "examples", folder / "examples", ignore=shutil.ignore_patterns("*.pdf"))
        print(f"{platform.platform()}, {os.cpu_count()} processors, load {os.getloadavg()[0]:.2f}")
        table = Table()
        table.row("start (--version)", in_turn({"ours": [program, "--version"]}, env, 2 * runs), "under 2 ms")

        def certify(visit, *more):
            return [program, "certify", str(visit), "-o", str(visit.with_suffix(".pdf")), "--force", *more]

        def peers(certificate, name, photos=(), sizes=None):
            """The commands of the engines for the words of a certificate."""
            content = folder / f"{name}.json"
            content.write_text(json.dumps(engines.blocks(certificate) + [["photo", photo] for photo in photos]))
            head = f"LINES, POINTS, LABELS = {engines.LINES}, {engines.POINTS}, {engines.LABELS}\n"
            commands = {}
            for engine, code in ENGINES.items():
                script = folder / f"{name}_{engine}.py"
                script.write_text(head + code + SCALE + ONE)
                commands[engine] = [sys.executable, str(script), str(content), str(folder / f"{name}-{engine}.pdf"), json.dumps(sizes or {})]
            return commands

        bare = {}
        for example in engines.EXAMPLES:
            visit = folder / "examples" / example / "visit.yaml"
            text = re.sub(r"(?ms)^photos:.*?(?=^\S|\Z)", "", visit.read_text())
            bare[example] = visit.with_name("bare.yaml")
            bare[example].write_text(re.sub(r"(?m)^.*\b(logo|signature):.*$", "", text))
            wall(certify(bare[example]), env)
            commands = {"ours": certify(bare[example]), **peers(bare[example].with_suffix(".pdf"), example)}
            told = in_turn(commands, env, runs)
            count = [engines.pages(bare[example].with_suffix(".pdf")), *(engines.pages(pathlib.Path(c[3])) for n, c in commands.items() if n != "ours")]
            table.row(f"certify {example} ({', '.join(map(str, count))} pages)", told, "ratio 10")
            verify = [program, "verify", "--no-known", "--allow-uncompared", str(bare[example].with_suffix(".pdf"))]
            checked = in_turn({"ours": verify, "certify": certify(bare[example])}, env, runs)
            share = checked["ours"][0] / checked["certify"][0]
            table.row(f"verify it ({share:.2f} of certify)", checked, "at most 1.5 of certify")

        visit = bare[engines.EXAMPLES[0]].with_name("photos.yaml")
        names = ["photo0.jpg", "photo1.jpg"]
        for seed, name in enumerate(names):
            engines.photo(visit.with_name(name), seed)
            shutil.copy(visit.with_name(name), folder / name)
        listed = "".join(f"  - {{ id: {name[:-4]}, file: {name}, caption: Panel {name} }}\n" for name in names)
        visit.write_text(bare[engines.EXAMPLES[0]].read_text() + "photos:\n" + listed)
        for name, more, asked in [("passed through", ["--full-photos"], ""), ("scaled", [], "ratio 3, at most 60 MB")]:
            wall(certify(visit, *more), env)
            made = visit.with_suffix(".pdf")
            sizes = {} if more else printed_sizes(made, names)
            told = in_turn({"ours": certify(visit, *more), **peers(made, name.replace(" ", "-"), names, sizes)}, env, runs)
            table.row(f"certify, two photos of 12 MP {name}", told, asked)

        # Without the visits before, which are files in another folder.
        text = re.sub(r"(?m)^earlier:.*\n(?:[ -].*\n)*", "", bare[engines.EXAMPLES[1]].read_text())
        visits = folder / "batch"
        for n in range(BATCH):
            visit = visits / str(n) / "visit.yaml"
            visit.parent.mkdir(parents=True)
            visit.write_text(re.sub(r"(number: *)\S+?(?=[,\s])", rf"\g<1>B-{n}", text, count=1))
        commands = {"ours": [program, "certify", str(visits), "--force"]}
        wall(commands["ours"], env)
        content = folder / "many.json"
        content.write_text(json.dumps(engines.blocks(visits / "0" / "certificate.pdf")))
        head = f"LINES, POINTS, LABELS = {engines.LINES}, {engines.POINTS}, {engines.LABELS}\n"
        for engine, code in ENGINES.items():
            script = folder / f"many_{engine}.py"
            script.write_text(head + code + MANY)
            commands[engine] = [sys.executable, str(script), str(content), str(folder / engine), str(BATCH)]
        told = in_turn(commands, env, max(3, runs // 5))
        table.row(f"each of a batch of {BATCH} on two processors", told, "ratio 20, at most 40 MB", BATCH)


if __name__ == "__main__":
    main()
