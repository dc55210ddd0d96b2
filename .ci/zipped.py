#!/usr/bin/env python3
"""Packs a folder as a zip file that is the same every time.

    zipped.py FOLDER FILE

Names in order, every file with the day of SOURCE_DATE_EPOCH (seconds since 1970, UTC).
"""

import os
import sys
import time
import zipfile
from pathlib import Path

folder, target = map(Path, sys.argv[1:])
when = time.gmtime(max(int(os.environ["SOURCE_DATE_EPOCH"]), 315532800))[:6]
with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as out:
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        entry = zipfile.ZipInfo(path.relative_to(folder).as_posix(), when)
        entry.compress_type = zipfile.ZIP_DEFLATED
        entry.external_attr = 0o644 << 16
        out.writestr(entry, path.read_bytes())
