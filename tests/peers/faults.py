#!/usr/bin/env python3
"""Disks that are really full or read-only, and clocks that are really wrong.

    faults.py WARMLUG

Mounts small file systems in a name space of its own, which needs root or user name spaces, and
sets the program's clock with faketime. Never half a file, never an earlier one lost, always a
sentence and the exit code that goes with it.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from ledger import close, expect

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
VISIT = EXAMPLES / "townhouse-return" / "visit.yaml"

if os.environ.get("WARMLUG_FAULTS") != "inside":
    user = [] if os.getuid() == 0 else ["--map-root-user"]
    inside = {**os.environ, "WARMLUG_FAULTS": "inside"}
    sys.exit(subprocess.run(["unshare", *user, "--mount", sys.executable, *sys.argv], env=inside).returncode)

program = os.path.abspath(sys.argv[1])
work = Path(tempfile.mkdtemp())


def mount(name, options):
    folder = work / name
    folder.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", options, "none", folder], check=True)
    return folder


def run(*args, config="config", clock=None):
    command = [program, *map(str, args)]
    if clock:
        command = ["faketime", "-f", f"@{clock}", *command]
    done = subprocess.run(command, capture_output=True, text=True, cwd=work, stdin=subprocess.DEVNULL,
                          env={**os.environ, "XDG_CONFIG_HOME": str(work / config)})
    return done.returncode, done.stdout + done.stderr


def names(folder):
    return sorted(p.name for p in folder.iterdir())


code, told = run("certify", VISIT, "-o", work / "good.pdf")
expect("a certificate", code == 0, told)
good = (work / "good.pdf").read_bytes()

# A full disk: too small for the file, or without room for one more.
full = mount("full", "size=128k")
earlier = b"an earlier certificate\n" * 100
(full / "old.pdf").write_bytes(earlier)
for args in [("certify", VISIT, "-o", full / "new.pdf"), ("certify", VISIT, "-o", full / "old.pdf", "--force"),
             ("countersign", "good.pdf", "--as", "client", "--name", "A. B.", "-o", full / "new.pdf"),
             ("extract", "good.pdf", "-o", full, "--force")]:
    if args[0] == "extract":
        (full / "filler").write_bytes(b"x" * 108_000)
    code, told = run(*args)
    expect(f"full: {args[0]} ends with 4", code == 4, f"{code} {told}")
    expect(f"full: {args[0]} says so", "the disk is full" in told, told)
    expect(f"full: {args[0]} keeps what was there", (full / "old.pdf").read_bytes() == earlier)
left = set(names(full)) - {"old.pdf", "filler"}
whole = all((full / n).stat().st_size > 0 for n in left)
expect("full: no half file", not any(n.startswith(".") or n == "new.pdf" for n in left) and whole, left)
few = mount("few", "size=4m,nr_inodes=2")
(few / "only").write_text("")
code, told = run("certify", VISIT, "-o", few / "new.pdf")
expect("no room for a name", code == 4 and "the disk is full" in told and names(few) == ["only"], f"{code} {told}")

# No room for the key: no certificate either, and no half key that the next run would trip over.
mount("keys", "size=4k")
(work / "keys" / "filler").write_bytes(b"x" * 4096)
code, told = run("certify", VISIT, "-o", work / "keyless.pdf", config="keys")
expect("no room for a key", code == 4 and "the disk is full" in told, f"{code} {told}")
expect("no key, no certificate", not (work / "keyless.pdf").exists())
expect("no half key", not list((work / "keys").rglob("*.p12*")) and not list((work / "keys").rglob(".warm*")))
code, told = run("verify", "--allow-uncompared", "good.pdf", config="keys")
expect("verify answers without a list", code == 0 and "could not be stored" in told, f"{code} {told}")

# A read-only disk.
closed = mount("closed", "size=4m")
(closed / "old.pdf").write_bytes(good)
subprocess.run(["mount", "-o", "remount,ro", closed], check=True)
for args in [("certify", VISIT, "-o", closed / "new.pdf"), ("certify", VISIT, "-o", closed / "old.pdf", "--force")]:
    code, told = run(*args)
    expect("read-only", code == 4 and "permission" in told, f"{code} {told}")
code, told = run("verify", "--allow-uncompared", closed / "old.pdf")
expect("read-only: verify", code == 0, told)

# Clocks. A battery that went flat sets them back, a slip of the year ahead.
for clock, back in [("1970-01-02 00:00:00", True), ("2001-01-01 00:00:00", True), ("2090-05-05 00:00:00", False)]:
    config, target = f"clock-{clock[:4]}", work / f"{clock[:4]}.pdf"
    code, told = run("certify", VISIT, "-o", target, config=config, clock=clock)
    if back:
        expect(f"{clock}: refused", code == 1 and "correct this computer's clock" in told, f"{code} {told}")
        expect(f"{clock}: nothing made", not target.exists() and not (work / config).exists())
        continue
    expect(f"{clock}: certified", code == 0, told)
    code, told = run("verify", "--no-known", "--allow-uncompared", target)
    expect(f"{clock}: verify tells", code == 0 and "is in the future" in told, f"{code} {told}")
    code, told = run("certify", VISIT, "-o", work / "later.pdf", config=config)
    expect(f"{clock}: the key has not begun", code == 1 and "Check the date of this computer" in told, told)
    code, told = run("identity", "new", "--name", "Maren Ody", config=config)
    expect(f"{clock}: another key", code == 0, told)
    code, told = run("certify", VISIT, "-o", work / "later.pdf", config=config)
    expect(f"{clock}: and on it goes", code == 0, told)
code, told = run("certify", VISIT, "-o", work / "last.pdf", config="last", clock="9998-12-30 00:00:00")
expect("the end of days", code == 4 and "can't be right" in told and not (work / "last.pdf").exists(), f"{code} {told}")
close()
