#!/usr/bin/env python3
"""Other programs read our files: whole, with fonts embedded, and told in the right order.

    python tests/peers/accessibility.py FOLDER

Needs qpdf, poppler-utils, mupdf-tools and the packages of requirements.txt. Reads every PDF of the folder and
of the gallery; says what is wrong, file by file, and ends with 1 if anything is.
"""

import pathlib
import re
import subprocess
import sys
import tempfile

import reading

BIN = pathlib.Path(sys.executable).parent


def run(*command):
    done = subprocess.run([str(c) for c in command], capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


def squeezed(text):
    """Characters without white space: programs differ in where they see a space."""
    return re.sub(r"\s", "", text)


def whole(path):
    code, out = run("qpdf", "--check", path)
    if code != 0 or "WARNING" in out:
        yield f"qpdf --check: {out.strip()}"


def cleaned(path):
    """MuPDF reads the file without a complaint, and what it writes anew says the same."""
    with tempfile.TemporaryDirectory() as folder:
        copy = pathlib.Path(folder) / "clean.pdf"
        code, out = run("mutool", "clean", "-gggg", path, copy)
        said = [line for line in out.splitlines() if line and "ICC support" not in line]
        if code != 0 or said:
            yield f"mutool clean: {said or code}"
            return
        if run("pdftotext", "-raw", path, "-") != run("pdftotext", "-raw", copy, "-"):
            yield "mutool clean: the copy says something else"
    code, out = run("mutool", "draw", "-q", "-F", "text", "-o", "/dev/null", path)
    said = [line for line in out.splitlines() if line and "ICC support" not in line]
    if code != 0 or said:
        yield f"mutool draw: {said or code}"


def grey(document):
    """Every text can be read where the printer has no colour: 4.5 to 1 in luminance (WCAG 2.2, 1.4.3).

    White text stands on the dark discs of marks; the word across a draft is no content."""
    for page, stream in enumerate(document.pages):
        for mcid, text, (r, g, b) in stream.coloured:
            if mcid is None or (r, g, b) == (1, 1, 1):
                continue
            linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in (r, g, b)]
            contrast = 1.05 / (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05)
            if contrast < 4.5:
                yield f"page {page + 1}: “{text}” has a contrast of {contrast:.1f} to 1"


def fonts(path):
    _, out = run("pdffonts", path)
    rows = out.splitlines()[2:]
    if not rows:
        yield "pdffonts finds no font"
    for row in rows:
        if row.split()[-5:-2] != ["yes", "yes", "yes"]:
            yield f"font not embedded, not cut or without characters: {row}"


def order(path, document):
    """The structure, the content stream and poppler tell the text in the same order."""
    told = document.in_structure_order()
    for page, stream in enumerate(document.pages):
        shown = "".join(text for mcid, text in stream.runs if mcid is not None)
        if squeezed(told.get(page, "")) != squeezed(shown):
            yield f"page {page + 1}: the structure tells the text in another order than it is shown"
        # Poppler sorts text at an angle apart: the word across a draft.
        if "draft" in path.stem:
            continue
        _, text = run("pdftotext", "-raw", "-f", page + 1, "-l", page + 1, path, "-")
        if squeezed(text) != squeezed(document.in_stream_order(page)):
            yield f"page {page + 1}: pdftotext reads another text"


def feet(path, document):
    """Every page has its number, as an artifact; a label has no foot."""
    if path.stem.startswith("label-"):
        return
    for page, stream in enumerate(document.pages):
        artifacts = " ".join(text for mcid, text in stream.runs if mcid is None)
        wanted = rf"\b{page + 1} (of|de|sur|von) {len(document.pages)}\b"
        if not re.search(wanted, artifacts):
            yield f"page {page + 1}: no number of the page in its foot"
        if "draft" in path.stem and "DRAFT" not in artifacts:
            yield f"page {page + 1}: does not say DRAFT"


def accessible(path, pages):
    code, out = run(BIN / "pdfua", "check", path)
    if code != 0:
        yield f"pdfua: {out.strip()}"
    # Repeated captions of sixty like photos, and of the charts of six like circuits, look like
    # running heads to it.
    skip = ["--skip", "PAG-001"] if path.stem.removesuffix("-draft") in ("sixty-photos", "landlord-six") else []
    # The grid of a chart with the numbers of its axis looks like a table to it, where several charts of
    # the same axis are abreast; all of them are in tagged figures.
    if path.stem.removesuffix("-draft") in ("a4", "townhouse-return"):
        skip += ["--skip", "TBL-014"]
    # It knows a running foot by its return on other pages; on an only page, a long one looks like prose.
    if pages == 1:
        skip += ["--skip", "TAG-002"]
    code, out = run(BIN / "outloud", "--fail-on", "warning", *skip, path)
    if code != 0:
        yield f"outloud: {out.strip()}"


def main():
    paths = reading.files(sys.argv)
    wrong = 0
    for path in paths:
        document = reading.Document(path)
        found = [*whole(path), *cleaned(path), *grey(document), *fonts(path), *order(path, document), *feet(path, document), *accessible(path, len(document.pages))]
        for fault in found:
            print(f"{path.name}: {fault}")
        wrong += len(found)
    print(f"{len(paths)} files read by qpdf, mutool, poppler, pikepdf, pdfua and outloud; {wrong} faults")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
