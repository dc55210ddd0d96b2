#!/usr/bin/env python3
"""Writes the hyphenation patterns of this folder from those in the crate `hypher`, whose automata take
twice the room when they are compressed.

    packed.py

Each line of a file is a group of patterns with the same levels: the levels between the letters, as
digits without the last zeros, and then each pattern in alphabetical order, as a capital letter that
says how many letters it shares with the one before (A: none), and its further letters.
"""

import json
import subprocess
from pathlib import Path

LANGUAGES = ("de", "en", "es", "fr")
HERE = Path(__file__).parent


def crate():
    metadata = json.loads(subprocess.run(
        ["cargo", "metadata", "--locked", "--format-version", "1"],
        check=True, capture_output=True, text=True).stdout)
    (hypher,) = (p for p in metadata["packages"] if p["name"] == "hypher")
    return Path(hypher["manifest_path"]).parent


def patterns(automaton):
    """The patterns of an automaton, each with the levels at places, counted in bytes."""

    def state(at):
        head, at_ = automaton[at], at + 1
        count = head & 31
        if count == 31:
            count, at_ = automaton[at_], at_ + 1
        levels = b""
        if head >> 7:
            place = automaton[at_] << 4 | automaton[at_ + 1] >> 4
            levels = automaton[place:place + (automaton[at_ + 1] & 15)]
            at_ += 2
        width = head >> 5 & 3
        letters = automaton[at_:at_ + count]
        at_ += count
        for n, letter in enumerate(letters):
            step = automaton[at_ + n * width:at_ + (n + 1) * width]
            step = int.from_bytes(step, "big", signed=width < 3) - (1 << 23 if width == 3 else 0)
            yield letter, at + step
        yield None, levels

    def below(at, word):
        for letter, found in state(at):
            if letter is not None:
                yield from below(found, word + bytes([letter]))
            elif found:
                place, levels = 0, {}
                for packed in found:
                    place += packed // 10
                    levels[place] = packed % 10
                yield word, levels

    return below(int.from_bytes(automaton[:4], "big"), b"")


def packed(automaton):
    groups = {}
    for word, levels in patterns(automaton):
        text = word.decode()
        places = [len(text[:n].encode()) for n in range(len(text) + 1)]
        assert set(levels) <= set(places), text
        digits = "".join(str(levels.get(place, 0)) for place in places).rstrip("0")
        groups.setdefault(digits, []).append(text)
    lines = []
    for digits in sorted(groups):
        line, before = digits, ""
        for text in sorted(groups[digits]):
            shared = 0
            while text[:shared + 1] == before[:shared + 1] and shared < min(len(text), len(before)):
                shared += 1
            line += chr(ord("A") + shared) + text[shared:]
            before = text
        lines.append(line + "\n")
    return "".join(lines)


for language in LANGUAGES:
    automaton = (crate() / "tries" / f"{language}.bin").read_bytes()
    (HERE / f"{language}.patterns").write_text(packed(automaton), encoding="utf-8")
