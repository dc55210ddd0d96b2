#!/usr/bin/env python3
"""Tries every mutant of the engine that cargo-mutants lists, from one build.

    cargo install --locked cargo-mutants
    python3 tests/mutants/run.py [HOW_MANY]

Weaves all mutants into a copy of the committed program under target/mutants, each behind a switch
(what the compiler refuses is left out), builds the tests once, finds which test reaches which
mutant, and runs each mutant's tests, the quickest and most particular first, until one fails.
HOW_MANY tries a random choice of that size (seed 7). A run that was stopped goes on where it was;
delete target/mutants to begin anew. Prints what was caught, and names what was missed and stands
not among those that `explained.txt` gives a reason for.
"""

import functools
import json
import os
import pathlib
import random
import re
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor

ROOT = pathlib.Path(__file__).resolve().parents[2]
OUT = ROOT / "target/mutants"
TREE = OUT / "tree"
MUTATED = ["src/assess/**", "src/quantity/**"]
TESTS = ["assess", "compose", "trade", "visit"]
# Of those, what says nothing of findings, or goes over thousands of visits.
LEFT_OUT = ("gallery::", "properties::", "wordings::")
# A test that takes longer than this is left out, seconds.
SLOW = 10
ENV = dict(
    os.environ,
    INSTA_UPDATE="no",
    INSTA_OUTPUT="none",
    INSTA_WORKSPACE_ROOT=str(TREE),
    CARGO_MANIFEST_DIR=str(TREE),
    PROPTEST_DISABLE_FAILURE_PERSISTENCE="true",
    RUST_BACKTRACE="0",
    # The test harness stops at the first failure only where unstable options are allowed.
    RUSTC_BOOTSTRAP="1",
)


def cargo(*arguments, cwd=TREE, **more):
    return subprocess.run(["cargo", *arguments], cwd=cwd, stdout=subprocess.PIPE, text=True, **more)


def listed():
    file = OUT / "list.json"
    if not file.exists():
        filters = [a for glob in MUTATED for a in ("-f", glob)]
        file.write_text(cargo("mutants", "--list", "--json", *filters, check=True).stdout)
    return json.loads(file.read_text())


def weave(left_out):
    """The copy with all mutants but those left out; gives where each went."""
    subprocess.run(["git", "checkout", "-q", "src", "Cargo.toml"], cwd=TREE, check=True)
    (OUT / "left-out.txt").write_text("".join(f"{i}\n" for i in sorted(left_out)))
    tool = ROOT / "target/mutants/weave/release/weave"
    files = [OUT / "list.json", TREE, OUT / "left-out.txt", OUT / "map.json"]
    subprocess.run([tool, *files], check=True, stdout=subprocess.DEVNULL)
    library = TREE / "src/lib.rs"
    library.write_text(library.read_text() + (ROOT / "tests/mutants/switch.rs").read_text())
    manifest = TREE / "Cargo.toml"
    text = manifest.read_text().replace('debug = "line-tables-only"', "debug = 0\nopt-level = 1")
    manifest.write_text(re.sub(r"(?m)^unused_must_use.*\n", "", text))
    return json.loads((OUT / "map.json").read_text())


def refused(sites):
    """Mutants at which the compiler's errors point, with what it says."""
    told = cargo("check", "--lib", "--message-format=json", stderr=subprocess.DEVNULL).stdout
    found, errors, texts = {}, 0, {}
    for line in told.splitlines():
        message = json.loads(line).get("message")
        if not message or message["level"] != "error":
            continue
        if not message["spans"]:
            continue
        errors += 1
        # Where the error itself is at no mutant, what led to it is (a value moved before).
        for primary in (True, False):
            ids = set()
            for span in (s for s in message["spans"] if s["is_primary"] == primary):
                file, start, end = span["file_name"], span["byte_start"], span["byte_end"]
                if file not in texts:
                    texts[file] = (TREE / file).read_bytes()
                marked = re.finditer(rb"/\*<(\d+)\*/.*?/\*>\1\*/", texts[file], re.S)
                here = {int(m[1]) for m in marked if m.start() <= start and end <= m.end()}
                if not here:
                    around = [s for s in sites if s["file"] == file and s["start"] <= start and end <= s["end"]]
                    around.sort(key=lambda s: s["end"] - s["start"])
                    here = set(around[0]["ids"]) if around else set()
                ids |= here
            if ids:
                break
        else:
            sys.exit(f"{message['rendered']}: not at a mutant")
        found.update((i, message["message"]) for i in ids)
    return found, errors


def run(executable, tests, env, limit):
    """The exit code of tests of one executable; None when they took too long."""
    command = [executable, "--exact", "--test-threads=1", "-q", "-Zunstable-options", "--fail-fast", *tests]
    process = subprocess.Popen(command, cwd=TREE, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        return process.wait(limit)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        return None


def reached():
    """Every quick test with its time and the mutants that it reaches."""
    file = OUT / "reached.json"
    if file.exists():
        return json.loads(file.read_text())
    arguments = ["test", "--no-run", "--lib", "--message-format=json"]
    built = cargo(*arguments, *(a for t in TESTS for a in ("--test", t)), check=True).stdout
    found = []
    for line in built.splitlines():
        artifact = json.loads(line)
        if not artifact.get("executable") or not artifact["profile"]["test"]:
            continue
        executable = artifact["executable"]
        names = subprocess.run(
            [executable, "--list", "--format", "terse"], cwd=TREE, env=ENV, stdout=subprocess.PIPE, text=True, check=True
        ).stdout
        for name in (n[:-6] for n in names.splitlines() if n.endswith(": test") and not n.startswith(LEFT_OUT)):
            with tempfile.NamedTemporaryFile() as record:
                start = time.perf_counter()
                code = run(executable, [name], dict(ENV, MUTANTS_REACHED=record.name), 600)
                took = time.perf_counter() - start
                ids = sorted(set(map(int, record.read().split())))
            if code != 0:
                sys.exit(f"{artifact['target']['name']} {name} fails without a mutant")
            if ids and took < SLOW:
                found.append({"executable": executable, "test": name, "time": took, "ids": ids})
    file.write_text(json.dumps(found))
    return found


@functools.cache
def lines(file):
    return (ROOT / file).read_text().splitlines()


def known_as(mutant):
    """A mutant's name with the text of its line, since its number moves with every change above."""
    start = mutant["span"]["start"]
    line, column = lines(mutant["file"])[start["line"] - 1], start["column"] - 1
    name = re.sub(r":\d+:\d+:", ":", mutant["name"])
    return f"{name} | {(line[:column] + '▸' + line[column:]).strip()}"


def explained():
    text = (ROOT / "tests/mutants/explained.txt").read_text().splitlines()
    return {line for line in text if line and not line.startswith("#")}


def caught(mutant, tests):
    order = sorted(tests, key=lambda t: t["time"] * (200 + len(t["ids"])))
    budget = 0.15
    while order:
        chunk, total = [], 0.0
        while order and (not chunk or total + order[0]["time"] <= budget):
            total += order[0]["time"]
            chunk.append(order.pop(0))
        budget *= 2
        together = {}
        for test in chunk:
            together.setdefault(test["executable"], []).append(test["test"])
        for executable, names in together.items():
            if run(executable, names, dict(ENV, MUTANT=str(mutant)), 5 + 10 * total) != 0:
                return True
    return False


def main():
    OUT.mkdir(parents=True, exist_ok=True)
    if not TREE.exists():
        subprocess.run(["git", "clone", "-q", ROOT, TREE], check=True)
    tool = ["build", "--release", "--quiet", "--target-dir", str(OUT / "weave")]
    cargo(*tool, cwd=ROOT / "tests/mutants", check=True)
    mutants = listed()
    woven = OUT / "woven.json"
    if not woven.exists():
        left_out = {}
        while True:
            sites = weave(left_out)
            more, errors = refused(sites)
            left_out.update(more)
            if not errors:
                break
        woven.write_text(json.dumps(sorted({i for s in sites for i in s["ids"]})))
    ids = json.loads(woven.read_text())
    by_mutant = {}
    for test in reached():
        for i in test["ids"]:
            by_mutant.setdefault(i, []).append(test)
    random.Random(7).shuffle(ids)
    ids = ids[: int(sys.argv[1])] if len(sys.argv) > 1 else ids
    file = OUT / "tried.jsonl"
    done = dict(map(json.loads, file.read_text().splitlines())) if file.exists() else {}
    todo = [i for i in ids if i not in done]
    with file.open("a") as log, ThreadPoolExecutor(os.cpu_count()) as pool:
        for i, found in zip(todo, pool.map(lambda i: caught(i, by_mutant.get(i, [])), todo)):
            done[i] = found
            print(json.dumps([i, found]), file=log, flush=True)
    missed = sorted(i for i in ids if not done[i])
    known = explained()
    open_ = [mutants[i]["name"] for i in missed if known_as(mutants[i]) not in known]
    print(*open_, sep="\n")
    caught_ = len(ids) - len(missed)
    print(
        f"{len(mutants)} listed, {len(ids)} tried, {caught_} caught, {len(missed)} missed, "
        f"{len(open_)} of them not explained"
    )


if __name__ == "__main__":
    main()
