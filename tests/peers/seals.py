#!/usr/bin/env python3
"""Seals and countersignatures, judged by programs that are not ours.

    seals.py WARMLUG FOLDER      with NAME.pdf (signed) in FOLDER

openssl verifies the signature taken out of each certificate over the bytes it covers; asn1crypto
finds the attributes that RFC 5652, RFC 5035 and EN 319 142-1 ask for and no other; zxing reads
the code on the rendered page and on the label, and `verify --check-line` accepts it for this file only; pyHanko
and poppler accept a countersigned certificate. Prints "N passed, N failed".
"""

import os
import pathlib
import sys
import tempfile

import zxingcpp
from asn1crypto import cms
from PIL import Image
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.diff_analysis import ModificationLevel
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from ledger import close, expect, run

# RFC 5652, 11.1 and 11.2; RFC 5035, 5.4.1. EN 319 142-1, 6.3 forbids signing-time here.
ATTRIBUTES = {"content_type", "message_digest", "signing_certificate_v2"}


def parts(data, signature):
    """The covered bytes and the DER message of a signature."""
    start, open_, close, rest = signature.sig_object["/ByteRange"]
    raw = bytes.fromhex(data[open_ + 1 : close - 1].decode())
    return data[start:open_] + data[close : close + rest], cms.ContentInfo.load(raw).dump()


def openssl(name, covered, message, certificate, folder):
    (folder / "covered").write_bytes(covered)
    (folder / "message").write_bytes(message)
    (folder / "signer").write_bytes(certificate.dump())
    run("openssl", "x509", "-inform", "DER", "-in", folder / "signer", "-out", folder / "signer.pem")
    command = ["openssl", "cms", "-verify", "-binary", "-inform", "DER", "-in", folder / "message", "-content",
               folder / "covered", "-CAfile", folder / "signer.pem", "-partial_chain", "-purpose", "any",
               "-cades", "-no_check_time", "-out", os.devnull]
    code, told = run(*command)
    expect(f"{name}: openssl cms -verify", code == 0, told)
    (folder / "covered").write_bytes(covered[:-1] + bytes([covered[-1] ^ 1]))
    expect(f"{name}: openssl refuses one changed bit", run(*command)[0] != 0)


def attributes(name, message):
    signer = cms.ContentInfo.load(message)["content"]["signer_infos"][0]
    found = {a["type"].native for a in signer["signed_attrs"]}
    expect(f"{name}: signed attributes", found == ATTRIBUTES, found)
    bound = [a for a in signer["signed_attrs"] if a["type"].native == "signing_certificate_v2"]
    expect(f"{name}: one certificate bound", len(bound) == 1 and len(bound[0]["values"][0]["certs"]) == 1)


def code_of(path, folder):
    run("pdftoppm", "-r", "150", "-png", "-l", "3", path, folder / "page")
    found = [code.text for page in sorted(folder.glob("page*.png")) for code in zxingcpp.read_barcodes(Image.open(page))]
    for page in folder.glob("page*.png"):
        page.unlink()
    return found


def countersigned(program, path, folder):
    target = folder / "countersigned.pdf"
    code, told = run(program, "countersign", path, "--as", "client", "--name", "Amal Okafor", "-o", target, "--force")
    expect("countersign", code == 0, told)
    code, told = run(program, "verify", "--no-known", "--allow-uncompared", target)
    expect("countersigned: verify", code == 0 and "as permitted by the seal" in told, told)
    code, told = run("pdfsig", "-nocert", target)
    expect("countersigned: pdfsig", told.count("Signature is Valid") == 2, told)
    with target.open("rb") as file:
        seal, client = PdfFileReader(file).embedded_signatures
        for signature, level in [(seal, ModificationLevel.FORM_FILLING), (client, ModificationLevel.NONE)]:
            context = ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False)
            status = validate_pdf_signature(signature, context)
            expect(f"countersigned: pyHanko {signature.field_name}", status.bottom_line, status.summary())
            found = status.modification_level or ModificationLevel.NONE
            expect(f"countersigned: changes after {signature.field_name}", found <= level, found)
    code, told = run("qpdf", "--check", target)
    expect("countersigned: qpdf --check", code == 0, told)


def main():
    program, certificates = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    paths = [p for p in sorted(certificates.glob("*.pdf")) if not p.stem.endswith("-draft")]
    expect("four examples or more", len(paths) >= 4, paths)
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary)
        codes = {}
        for path in paths:
            data = path.read_bytes()
            with path.open("rb") as file:
                signature = PdfFileReader(file).embedded_signatures[0]
                covered, message = parts(data, signature)
                openssl(path.stem, covered, message, signature.signer_cert, folder)
                attributes(path.stem, message)
            found = code_of(path, folder)
            expect(f"{path.stem}: one code that can be scanned", len(found) == 1, found)
            codes[path] = found[0] if found else ""
            label = folder / "label.pdf"
            code, told = run(program, "extract", path, "--label", "-o", label, "--force")
            expect(f"{path.stem}: label", code == 0, told)
            on_labels = set(code_of(label, folder))
            expect(f"{path.stem}: the code of the label is that of page 1", on_labels == {codes[path]}, on_labels)
        for path in paths:
            for other, code in codes.items():
                verdict, told = run(program, "verify", "--no-known", "--allow-uncompared", path, "--check-line", code)
                expect(f"{path.stem}: code of {other.stem}", verdict == (0 if other == path else 1), told)
        countersigned(program, paths[0], folder)
    close()


if __name__ == "__main__":
    main()
