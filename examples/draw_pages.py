#!/usr/bin/env python3
"""Draws the pictures of pages that the README shows, into examples/pages.

    draw_pages.py WARMLUG

Needs pdftoppm (poppler-utils) and Pillow. The key is a new one each time, so the fingerprint in the
picture of the first page differs from run to run.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

HERE = Path(__file__).parent
# Name of the picture, page of the certificate.
PAGES = {"result": 1, "findings": 2, "heat": 3}
DOTS_PER_INCH = 72
COLOURS = 48

program = os.path.abspath(sys.argv[1])
(HERE / "pages").mkdir(exist_ok=True)
with tempfile.TemporaryDirectory() as folder:
    pdf = Path(folder, "certificate.pdf")
    subprocess.run([program, "certify", HERE / "townhouse-return" / "visit.yaml", "-o", pdf],
                   check=True, env={**os.environ, "XDG_CONFIG_HOME": folder}, stderr=subprocess.DEVNULL)
    for name, page in PAGES.items():
        subprocess.run(["pdftoppm", "-png", "-singlefile", "-r", str(DOTS_PER_INCH), "-f", str(page), pdf,
                        Path(folder, name)], check=True)
        picture = Image.open(Path(folder, f"{name}.png")).convert("RGB")
        picture = picture.quantize(COLOURS, dither=Image.Dither.NONE)
        picture.save(HERE / "pages" / f"{name}.png", optimize=True)
