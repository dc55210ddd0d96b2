#!/usr/bin/env python3
"""Prints the notices of everyone whose code is in the program, as their licences ask.

    notices.py

Asks cargo which crates are built in for Linux (not those of tests and of building) and takes the
licence files that lie in them. A crate without one is named with its licence's name.
"""

import json
import subprocess
from pathlib import Path

TARGET = "x86_64-unknown-linux-musl"
NAMES = ("license", "licence", "copying", "notice", "copyright", "unlicense")

metadata = json.loads(subprocess.run(
    ["cargo", "metadata", "--locked", "--features", "parquet", "--format-version", "1", "--filter-platform", TARGET],
    check=True, capture_output=True, text=True).stdout)
packages = {p["id"]: p for p in metadata["packages"]}
nodes = {n["id"]: n for n in metadata["resolve"]["nodes"]}
root = metadata["resolve"]["root"]
built_in, waiting = set(), [root]
while waiting:
    for dependency in nodes[waiting.pop()]["deps"]:
        normal = any(kind["kind"] is None for kind in dependency["dep_kinds"])
        if normal and dependency["pkg"] not in built_in:
            built_in.add(dependency["pkg"])
            waiting.append(dependency["pkg"])

print("warmlug contains the work of others, under these licences.\n")
texts = {}
for package in sorted((packages[i] for i in built_in), key=lambda p: (p["name"], p["version"])):
    name = f"{package['name']} {package['version']} ({package['license']})"
    folder = Path(package["manifest_path"]).parent
    files = sorted(f for f in folder.iterdir() if f.is_file() and f.name.lower().startswith(NAMES))
    if not files:
        texts.setdefault(f"Licensed under {package['license']}; the crate carries no text.", []).append(name)
    for file in files:
        texts.setdefault(file.read_text(errors="replace").strip(), []).append(name)
for fonts in sorted(Path("fonts").glob("*LICEN*")) + sorted(Path("fonts").glob("*OFL*")):
    texts.setdefault(fonts.read_text().strip(), []).append("the embedded fonts")
patterns = Path("templates/hyphenation/LICENCES.txt")
texts.setdefault(patterns.read_text().strip(), []).append("the hyphenation patterns")
for text, names in texts.items():
    print("=" * 80)
    print("\n".join(sorted(set(names))))
    print("-" * 80)
    print(text + "\n")
