#!/usr/bin/env python3
"""Every example's certificate, read by programs that are not ours.

    documents.py FOLDER      with NAME.pdf (signed) and NAME-draft.pdf (not) in it

qpdf finds no error; poppler's pdffonts shows every font embedded with a ToUnicode map, its
pdftotext the key facts in reading order, its pdfsig a valid signature over the whole document;
pyHanko validates signature, PAdES form and certification. Prints "N passed, N failed".
"""

import json
import pathlib
import re
import sys

import pikepdf
from pyhanko.keys import load_cert_from_pemder  # noqa: F401  (fails early when pyHanko is not whole)
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.fields import MDPPerm
from pyhanko.sign.validation import SignatureCoverageLevel, validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from ledger import close, expect, run

ROOT = pathlib.Path(__file__).resolve().parents[2]


def facts_in_order(name, text, record):
    """The owner's facts come first and in this order; every reading stands somewhere."""
    page = re.sub(r"\s+", " ", text.replace("\u00a0", " "))
    number = record["visit"]["number"]
    site = re.search(r"(?m)^site:\s*(?:\{\s*)?(?:\n\s+)?name:\s*[\"']?([^,\"'\n}]+)", record["source"]).group(1).strip()
    at = 0
    for fact in ["What to do" if "What to do" in page else number, number, site, "Signed by"]:
        found = page.find(fact, at)
        expect(f"{name}: “{fact}” in reading order", found >= 0, page[:400])
        at = max(found, at)
    for circuit in record["assessment"]["circuits"]:
        for connection in circuit["connections"]:
            expect(f"{name}: {connection['id']}", connection["id"] in page, "not in the text")
    for finding in record["assessment"]["findings"]:
        if finding["grade"] != "pass":
            words = finding["text"].replace("\u00a0", " ").replace("’", "'")[:60]
            expect(f"{name}: finding {finding['cause']}", words in page.replace("’", "'"), words)


def signed(path):
    name = path.stem
    code, told = run("qpdf", "--check", path)
    expect(f"{name}: qpdf --check", code == 0, told)
    code, told = run("pdffonts", path)
    rows = told.splitlines()[2:]
    expect(f"{name}: has fonts", bool(rows), told)
    for row in rows:
        embedded, _, unicode = row.split()[-5:-2]
        expect(f"{name}: font {row.split()[0]}", (embedded, unicode) == ("yes", "yes"), row)
    code, told = run("pdfsig", "-nocert", path)
    expect(f"{name}: pdfsig valid", "Signature is Valid" in told, told)
    expect(f"{name}: pdfsig whole", "Total document signed" in told, told)

    with pikepdf.open(path) as pdf:
        record = {
            "source": pdf.attachments["visit.yaml"].get_file().read_bytes().decode(),
            "assessment": json.loads(pdf.attachments["assessment.json"].get_file().read_bytes()),
        }
        record["visit"] = record["assessment"]["visit"]
    source = ROOT / "examples" / name / "visit.yaml"
    expect(f"{name}: visit file inside", record["source"] == source.read_text(), "differs")
    facts_in_order(name, run("pdftotext", path, "-")[1], record)

    with path.open("rb") as file:
        signature = PdfFileReader(file).embedded_signatures[0]
        context = ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False)
        status = validate_pdf_signature(signature, context)
        expect(f"{name}: pyHanko intact", status.intact and status.valid, status.summary())
        expect(f"{name}: pyHanko trusted", status.trusted, status.summary())
        expect(f"{name}: pyHanko whole", status.coverage == SignatureCoverageLevel.ENTIRE_FILE, status.coverage)
        expect(f"{name}: pyHanko unchanged", status.modification_level in (None, ModificationLevel.NONE), status.modification_level)
        expect(f"{name}: certified", signature.docmdp_level == MDPPerm.FILL_FORMS, signature.docmdp_level)
        expect(f"{name}: PAdES", signature.sig_object.get("/SubFilter") == "/ETSI.CAdES.detached", "")


def draft(path):
    pages = run("pdftotext", path, "-")[1].rstrip("\f").split("\f")
    expect(f"{path.stem}: DRAFT on every page", all("DRAFT" in page for page in pages), len(pages))
    with path.open("rb") as file:
        expect(f"{path.stem}: not signed", not PdfFileReader(file).embedded_signatures, "")
    code, told = run("qpdf", "--check", path)
    expect(f"{path.stem}: qpdf --check", code == 0, told)


def main():
    paths = sorted(pathlib.Path(sys.argv[1]).glob("*.pdf"))
    drafts = [p for p in paths if p.stem.endswith("-draft")]
    expect("four examples or more", len(paths) - len(drafts) >= 4, paths)
    for path in paths:
        if path in drafts:
            draft(path)
        else:
            signed(path)
    close()


if __name__ == "__main__":
    main()
