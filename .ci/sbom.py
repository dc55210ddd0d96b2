#!/usr/bin/env python3
"""Checks the list of what went into the program (CycloneDX), and takes this folder's name out of it.

    sbom.py LIST.json

The schema is the published one, as cyclonedx-python-lib carries it; and every crate of Cargo.lock
that the list names must have the check sum that stands there, and a licence.
"""

import json
import sys
import tomllib
from pathlib import Path

from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator

path = Path(sys.argv[1])
text = path.read_text().replace(f"path+file://{Path.cwd()}#", "path+file:///warmlug#")
path.write_text(text)
wrong = []
refused = JsonStrictValidator(SchemaVersion.V1_5).validate_str(text)
if refused:
    wrong.append(f"not CycloneDX 1.5: {refused}")
if str(Path.cwd()) in text:
    wrong.append("a folder of this machine is named")
locked = {(p["name"], p["version"]): p.get("checksum")
          for p in tomllib.loads(Path("Cargo.lock").read_text())["package"]}
components = json.loads(text)["components"]
for component in components:
    key = (component["name"], component["version"])
    sums = [h["content"] for h in component.get("hashes", [])]
    if locked.get(key) not in sums:
        wrong.append(f"{key}: not the check sum of Cargo.lock")
    if not component.get("licenses"):
        wrong.append(f"{key}: no licence")
needed = {"p256", "rsa", "sha2", "x509-cert", "libdeflate-sys", "granit-parser"}
missing = needed - {c["name"] for c in components}
if missing:
    wrong.append(f"not named: {sorted(missing)}")
print("\n".join(wrong) or f"{len(components)} crates named, each with its check sum and licence")
sys.exit(1 if wrong else 0)
