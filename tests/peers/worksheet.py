"""A worksheet is filled in with a program that is not ours, and its values come back.

    worksheet.py PROGRAM

Checks the empty sheet's fields as ISO 14289-1 (7.18) asks, fills it in with pikepdf, merges it,
certifies the visit and looks for the readings in its findings.
"""

import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

import pikepdf

program = os.path.abspath(sys.argv[1])
example = pathlib.Path("examples/townhouse-return/visit.yaml").absolute()
BIN = pathlib.Path(sys.executable).parent


def run(*args, code=0):
    ran = subprocess.run([program, *map(str, args)], capture_output=True, text=True)
    assert ran.returncode == code, (args, ran.returncode, ran.stdout, ran.stderr)
    return ran.stdout, ran.stderr


def elements(node, out):
    """All structure elements below one."""
    if isinstance(node, pikepdf.Array):
        for kid in node:
            elements(kid, out)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        out.append(node)
        if "/K" in node:
            elements(node["/K"], out)
    return out


def accessible(path):
    """Every field is told, named, and stands in the structure (ISO 14289-1, 7.18.1 and 7.18.4)."""
    with pikepdf.open(path) as pdf:
        form = pdf.Root.AcroForm
        fields = list(form.Fields)
        names = [str(f.T) for f in fields]
        assert len(names) == len(set(names)) > 30, names
        tree = pdf.Root.StructTreeRoot
        numbers = list(tree.ParentTree.Nums)
        parents = dict(zip(map(int, numbers[::2]), numbers[1::2]))
        for page in pdf.pages:
            assert page.Tabs == "/S"
        for field in fields:
            assert str(field.TU).strip(), field
            element = parents[int(field.StructParent)]
            assert element.S == "/Form", element
            kids = element.K if isinstance(element.K, pikepdf.Array) else [element.K]
            assert any(
                isinstance(k, pikepdf.Dictionary) and k.get("/Obj") is not None and k.Obj.objgen == field.objgen
                for k in kids
            ), element
            assert field.P.objgen in [p.objgen for p in pdf.pages]
            assert "/N" in field.AP and int(field.F) & 4
        assert all(e.S != "/Link" for e in elements(tree.K, []) if "field:" in str(e)), "a box left"
        face = form.DR.Font.F1
        assert "/FontFile2" in face.FontDescriptor and len(face.Widths) == 224
        return names


def answer(name):
    """What somebody writes into a box."""
    parts = name.split("/")
    if parts[1] == "isolation":
        return {"locked": "yes", "dead": "0", "proved_before": "240"}.get(parts[2], "240 V")
    if parts[1] == "looked_at":
        return "dust" if parts[3] == "seen" else "Spider web: brushed out, 7 °C outside"
    if parts[1] == "torque":
        return {"found": "held", "left": "45" if "breaker" in name else "22"}.get(parts[3], "")
    if parts[1] != "heat":
        return ""  # what only some visits have: repairs, further proofs, what was not read
    if parts[2] == "charging_from":
        return "09:55"
    rounds = {"1": ("09:44", "66.0", "0"), "2": ("10:10", "66.2", "40"), "3": ("10:56", "66.7", "40")}
    at, air, current = rounds[parts[2]]
    rise = {"1": 0, "2": 6, "3": 9}[parts[2]]
    return {"at": at, "air": air, "current": current, "voltage": "240"}.get(
        parts[3], f"{float(air) + rise:.1f}"
    )


with tempfile.TemporaryDirectory() as name:
    folder = pathlib.Path(name)
    visit, sheet = folder / "visit.yaml", folder / "worksheet.pdf"
    run("new", "--from", example, "-o", visit, "--date", "2025-11-12")
    visit.write_text(visit.read_text().replace("number: 2025-0047", "number: 2025-0047  # ours"))
    run("worksheet", visit, "--made-at", "2025-11-12T08:00:00-05:00")
    again = folder / "again.pdf"
    run("worksheet", visit, "--made-at", "2025-11-12T08:00:00-05:00", "-o", again)
    assert sheet.read_bytes() == again.read_bytes(), "the same sheet every time"
    names = accessible(sheet)

    checked = subprocess.run(["qpdf", "--check", sheet], capture_output=True, text=True)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    # A cell that holds a box to fill in counts as empty to outloud; the head of a table that goes on
    # overleaf is repeated there as an artifact of pagination (ISO 32000-2, 14.8.2.2).
    for told in (["pdfua", "check"], ["outloud", "--fail-on", "warning", "--skip", "TBL-012", "--skip", "TAG-002"]):
        checked = subprocess.run([BIN / told[0], *told[1:], sheet], capture_output=True, text=True)
        assert checked.returncode == 0, checked.stdout + checked.stderr
    text = subprocess.run(["pdftotext", "-layout", sheet, "-"], capture_output=True, text=True).stdout
    for told in ("Look here first (certificate 2025-0046", "last time 92 °F under load", "specified 45 in·lb"):
        assert told in " ".join(text.split()), told
    assert text.index("Electrical work can kill") < text.index("1. Isolate and prove dead") < text.index("3. Check the torque") < text.index("4. Measure")

    # An empty sheet has nothing to give.
    assert "no box of the sheet" in run("fill", visit, "--with", sheet, code=1)[1]

    filled = folder / "filled.pdf"
    with pikepdf.open(sheet) as pdf:
        for field in pdf.Root.AcroForm.Fields:
            field.V = pikepdf.String(answer(str(field.T)))
        pdf.save(filled)
    before = visit.read_text()
    run("fill", visit, "--with", filled)
    after = visit.read_text()
    lines = iter(after.splitlines())
    assert all(line in lines for line in before.splitlines()), "a line of the file is gone"
    found = json.loads(run("check", visit, "--format", "json")[0])
    assert found["complete"], found["limitations"]
    breaker = found["circuits"][0]["connections"][0]
    assert [r["at"] for r in breaker["rounds"]] == ["09:44", "10:10", "10:56"], breaker
    assert abs(breaker["rounds"][2]["shown_c"] - (75.7 - 32) / 1.8) < 0.01, breaker
    assert re.search(r"note: \"Spider web: brushed out, 7 °C outside\"", after)
    # The same sheet again changes nothing; another value is refused.
    run("fill", visit, "--with", filled)
    assert visit.read_text() == after
    with pikepdf.open(filled) as pdf:
        for field in pdf.Root.AcroForm.Fields:
            if str(field.T) == "garage/torque/breaker-L1/found":
                field.V = pikepdf.String("20 bananas")
        pdf.save(folder / "other.pdf")
    assert "already has `torque:`" in run("fill", visit, "--with", folder / "other.pdf", code=1)[1]
    said = run("fill", visit, "--with", folder / "other.pdf", "--replace", code=1)[1]
    assert "20 bananas" in said and visit.read_text() == after, said
    print(f"worksheet: {len(names)} fields told and tagged; filled in with pikepdf, merged, judged")
