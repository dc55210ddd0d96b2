"""Every example printed in the units of both worlds, on both papers, and read by poppler: no unit of
the other world stands anywhere, every sheet has the size that was asked for, and what is a difference
of temperatures was converted as one.

    units.py PROGRAM

The inspector's own words (captions, notes, remarks) keep the units they were written in, and are
taken out before; so do cited sources, whose few numbers are let pass. A conductor's size is named in
its own system, mm² or AWG, which is no unit of a measurement.
"""

import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import yaml

from ledger import close, expect, run

program = os.path.abspath(sys.argv[1])
ROOT = pathlib.Path("examples")

# A number with its unit, or the unit alone as at the head of a table.
NUMBER = "[0-9]+(?:[.,][0-9]+)?[ \u00a0]"
UNITS = {
    "us": rf"(?:{NUMBER})?(?:°F|in·lb)|{NUMBER}(?:ft|in)(?![\w·])(?! [a-z])",
    "si": rf"(?:{NUMBER})?(?:°C|N·m)|{NUMBER}(?:K|m|cm|mm)(?![\w·²])",
}
PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}


def silent(value):
    """The visit without the inspector's own words."""
    if isinstance(value, dict):
        return {
            k: "…" if k in ("caption", "note", "because") else silent(v)
            for k, v in value.items()
            if k not in ("remarks", "earlier")
        }
    if isinstance(value, list):
        return [silent(v) for v in value]
    return value


def pages(pdf):
    return subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True).stdout


def sources(value):
    """Every source that a rule set cites."""
    if isinstance(value, dict):
        yield from (v for k, v in value.items() if k == "source")
        value = list(value.values())
    if isinstance(value, list):
        for v in value:
            yield from sources(v)


def cited(rules):
    """Numbers with a unit in the sources of a rule set."""
    _, told = run(program, "rules", rules, "--format", "json")
    text = " ".join(sources(json.loads(told)))
    return {m for pattern in UNITS.values() for m in re.findall(pattern, text)}


def foreign(text, units, allowed):
    pattern = UNITS["si" if units == "us" else "us"]
    return [m for m in re.findall(pattern, text) if m.replace("\u00a0", " ") not in allowed]


def sizes(pdf):
    _, told = run("pdfinfo", "-f", "1", "-l", "99", pdf)
    return {(float(w), float(h)) for w, h in re.findall(r"size:\s+([\d.]+) x ([\d.]+) pts", told)}


with tempfile.TemporaryDirectory() as scratch:
    scratch = pathlib.Path(scratch)
    for source in sorted(ROOT.glob("*/visit.yaml")):
        name = source.parent.name
        folder = scratch / name
        shutil.copytree(source.parent, folder)
        visit = silent(yaml.safe_load(source.read_text()))
        found = {}
        allowed = cited(visit["visit"]["rules"])
        for units in UNITS:
            for paper, size in PAPERS.items():
                visit["print"] = {"units": units, "paper": paper, "language": "en"}
                path = folder / "visit.yaml"
                path.write_text(yaml.safe_dump(visit, allow_unicode=True, sort_keys=False))
                what = f"{name}, {units} on {paper}"
                for kind, command in {
                    "certificate": ["certify", "--draft", "--force"],
                    "worksheet": ["worksheet", "--force"],
                }.items():
                    pdf = folder / f"{kind}-{units}-{paper}.pdf"
                    code, told = run(program, command[0], path, *command[1:], "-o", pdf)
                    expect(f"{what}: {kind} written", code == 0, told)
                    if code:
                        continue
                    text = pages(pdf)
                    expect(f"{what}: units of the {kind}", not foreign(text, units, allowed), foreign(text, units, allowed))
                    own = re.findall(UNITS[units], text)
                    expect(f"{what}: the {kind} has units at all", len(own) > 5, own)
                    fits = all(abs(w - size[0]) < 0.1 and abs(h - size[1]) < 0.1 for w, h in sizes(pdf))
                    expect(f"{what}: paper of the {kind}", fits and sizes(pdf), sizes(pdf))
                code, text = run(program, "check", path)
                expect(f"{what}: findings in the terminal", code == 0, text)
                expect(f"{what}: units in the terminal", not foreign(text, units, set()), foreign(text, units, set()))
                _, told = run(program, "check", path, "--format", "json")
                found[units] = json.loads(told)["checks"]
        # The JSON is in SI whatever is printed; only its sentences differ. A difference of d K is
        # 9/5·d °F, without the 32 of a temperature.
        compared = 0
        for us, si in zip(found["us"], found["si"], strict=True):
            keys = ("id", "value", "limit", "unit", "grade")
            expect(f"{name}: {us['id']} is the same in both", all(us[k] == si[k] for k in keys))
            if us["id"] not in ("rise", "leg-difference", "worse-than-before", "hot-without-load"):
                continue
            said = [re.findall(rf"([0-9.]+)\s(?:{sign})", f["text"]) for f, sign in ((us, "°F"), (si, "K"))]
            for f, c in zip(*said, strict=True):
                whole = lambda v: 0.5 if "." not in v else 0.05
                slack = whole(f) + 1.8 * whole(c)
                expect(f"{name}: {us['id']}, {c} K and {f} °F", abs(float(f) - 1.8 * float(c)) <= slack + 1e-9)
                compared += 1
        # An incomplete visit may have none.
        expect(f"{name}: differences compared", compared > 0 or name == "limited-visit", compared)

close()
