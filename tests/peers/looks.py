#!/usr/bin/env python3
"""Compares the gallery's pages, rendered by poppler, with the pages that were approved.

    python tests/peers/looks.py                           compare
    python tests/peers/looks.py --approve                 take the present pages as approved

The drawn documents of the gallery are compared, and the first pages of the visit told in each language
(of the German one, with the longest words, the tables too): other words belong to other checks.
Approve only pages that you have looked at (`tests/gallery/make`). Needs poppler-utils, Pillow
(which pikepdf brings) and the gallery, which `cargo test --test compose gallery` writes.
"""

import pathlib
import subprocess
import sys
import tempfile

from PIL import Image, ImageChops

ROOT = pathlib.Path(__file__).resolve().parents[2]
GALLERY = ROOT / "target" / "tmp" / "gallery"
APPROVED = ROOT / "tests" / "gallery" / "approved"
SHOWN = ROOT / "target" / "looks"
# Coarse pages in sixteen greys: a moved line or a lost word shows, and a page takes few bytes.
DPI = 48
# Documents, and how many of their pages.
COMPARED = {
    "usual": 99, "one-connection": 99, "forty-connections": 99, "three-phases": 99, "long-names": 99,
    "sixty-photos": 6, "draft": 99, "a4": 99, "unknown": 1,
    "language-en": 2, "language-es": 2, "language-fr": 2, "language-de": 9,
}
# Two versions of poppler differ at the edges of letters. A pixel counts as changed beyond a fifth
# of the range; a page may have so many of them. A lost word of six letters has about 60.
STEP = 48
CHANGED = 25


def pages(folder):
    """Pages of the gallery as grey pictures, by name."""
    found = {}
    for name, count in COMPARED.items():
        pdf = GALLERY / f"{name}.pdf"
        if not pdf.exists():
            sys.exit(f"{pdf} is missing: run `cargo test --test compose gallery` first")
        subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-l", str(count), pdf, folder / name], check=True)
    for path in sorted(folder.glob("*.pgm")):
        name, _, page = path.stem.rpartition("-")
        found[f"{name}-{int(page)}"] = Image.open(path).copy()
    return found


def approve(present):
    APPROVED.mkdir(exist_ok=True)
    for path in APPROVED.glob("*.png"):
        path.unlink()
    for name, page in present.items():
        page.point(lambda v: v // 16 * 17).quantize(16).save(APPROVED / f"{name}.png", optimize=True)
    print(f"{len(present)} pages approved")


def compare(present):
    approved = {path.stem: path for path in APPROVED.glob("*.png")}
    faults = [f"{name}: approved, but not there any more" for name in approved.keys() - present.keys()]
    faults += [f"{name}: not yet approved" for name in present.keys() - approved.keys()]
    SHOWN.mkdir(parents=True, exist_ok=True)
    for name in sorted(present.keys() & approved.keys()):
        now, then = present[name], Image.open(approved[name]).convert("L")
        if now.size != then.size:
            faults.append(f"{name}: {now.size} instead of {then.size} pixels")
            continue
        difference = ImageChops.difference(now, then).point(lambda v: 255 if v > STEP else 0)
        changed = difference.histogram()[255]
        if changed > CHANGED:
            both = Image.merge("RGB", (then, now, now))  # red: new, cyan: gone
            both.resize((now.width * 2, now.height * 2)).save(SHOWN / f"{name}.png")
            faults.append(f"{name}: {changed} pixels changed, see {SHOWN.relative_to(ROOT) / name}.png")
    return faults


def prove(present):
    """A page that lost a word is seen to differ."""
    name, page = next(iter(present.items()))
    spoiled = page.copy()
    # The first words of the page: the letterhead's name.
    box = (int(0.10 * page.width), int(0.06 * page.height), int(0.24 * page.width), int(0.09 * page.height))
    spoiled.paste(255, box)
    return [] if compare({**present, name: spoiled}) else ["a page without its letterhead was not seen to differ"]


def main():
    with tempfile.TemporaryDirectory() as folder:
        present = pages(pathlib.Path(folder))
    if "--approve" in sys.argv:
        approve(present)
        return
    faults = prove(present) + compare(present)
    for fault in faults:
        print(fault)
    print(f"{len(present)} pages compared with those approved, {len(faults)} faults")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
