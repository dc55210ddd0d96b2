#!/usr/bin/env python3
"""Time-stamps: openssl's authority on loopback stamps a certificate, pyHanko judges it.

    timestamps.py WARMLUG VISIT.yaml

An HTTP server on 127.0.0.1 hands requests to `openssl ts -reply`. The certificate must verify
with us, with pyHanko (baseline B-T: a valid token, from the trusted authority) and with
`openssl ts -verify` on the token taken out; with an issued identity and its issuer's list of
revoked certificates, pyHanko finds baseline B-LT. A certificate stamped later must verify with us
and with pyHanko. Then the server misbehaves in every way it can, and
the program must sign without a stamp, or with --timestamp-required nothing at all. Prints
"N passed, N failed".
"""

import http.server
import json
import logging
import pathlib
import subprocess
import sys
import tempfile
import threading

from asn1crypto import cms, pem
from pyhanko.keys import load_cert_from_pemder, load_private_key_from_pemder
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.signers import PdfTimeStamper
from pyhanko.sign.timestamps import DummyTimeStamper
from pyhanko.sign.validation import validate_pdf_signature, validate_pdf_timestamp
from pyhanko.sign.validation.dss import DocumentSecurityStore
from pyhanko.sign.validation.status import SignatureCoverageLevel
from pyhanko_certvalidator import ValidationContext

from ledger import close, expect, run

logging.disable(logging.CRITICAL)  # pyHanko tells every refusal twice
POLICY = "1.3.6.1.4.1.99999.1"
CONFIG = f"""
[tsa]
default_tsa = here
[here]
serial = $ENV::FOLDER/serial
signer_digest = sha256
default_policy = {POLICY}
other_policies = {POLICY}.7
digests = sha256, sha384, sha512
accuracy = secs:1
ess_cert_id_alg = sha256
"""


class Authority:
    """A root, an authority under it, and a server in front of `openssl ts`."""

    def __init__(self, folder):
        self.folder, self.answer, self.last = folder, None, b""
        (folder / "ts.cnf").write_text(CONFIG)
        (folder / "serial").write_text("01\n")
        self.root = folder / "root.pem"
        # With a short serial number the root sorts before the authority that openssl writes first:
        # tokens then carry their certificates in an order that DER would not write.
        self.openssl("req", "-x509", "-newkey", "rsa:2048", "-nodes", "-keyout", "root.key", "-out", "root.pem",
                     "-days", "3650", "-set_serial", "5", "-subj", "/CN=Clockmakers Root", "-addext", "basicConstraints=critical,CA:TRUE",
                     "-addext", "keyUsage=critical,keyCertSign,cRLSign")
        self.openssl("req", "-newkey", "rsa:2048", "-nodes", "-keyout", "tsa.key", "-out", "tsa.csr", "-subj", "/CN=Loopback Clock")
        (folder / "tsa.ext").write_text("basicConstraints=critical,CA:FALSE\nkeyUsage=critical,digitalSignature\n"
                                        "extendedKeyUsage=critical,timeStamping\nauthorityKeyIdentifier=keyid\n")
        self.openssl("x509", "-req", "-in", "tsa.csr", "-CA", "root.pem", "-CAkey", "root.key", "-set_serial", "7",
                     "-days", "3650", "-extfile", "tsa.ext", "-out", "tsa.pem")

    def openssl(self, *args):
        subprocess.run(["openssl", *args], check=True, capture_output=True, cwd=self.folder, env={"FOLDER": str(self.folder), "PATH": "/usr/bin:/bin"})

    def issue_identity(self):
        (self.folder / "ines.ext").write_text("basicConstraints=critical,CA:FALSE\nkeyUsage=critical,digitalSignature,nonRepudiation\n"
                                              "extendedKeyUsage=1.3.6.1.5.5.7.3.36\nauthorityKeyIdentifier=keyid\n")
        self.openssl("req", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-keyout", "ines.key", "-out",
                     "ines.csr", "-subj", "/CN=Ines Moreau")
        (self.folder / "ines.key").chmod(0o600)
        self.openssl("x509", "-req", "-in", "ines.csr", "-CA", "root.pem", "-CAkey", "root.key", "-set_serial", "9", "-days",
                     "3650", "-extfile", "ines.ext", "-out", "one.pem")
        (self.folder / "ines.pem").write_text((self.folder / "one.pem").read_text() + self.root.read_text())
        (self.folder / "ca.cnf").write_text("[ca]\ndefault_ca=here\n[here]\ndatabase=register\ndefault_md=sha256\n"
                                            "default_crl_days=30\ncrl_extensions=more\n[more]\nauthorityKeyIdentifier=keyid\n")
        self.list_of("")

    def revoke_identity(self):
        self.list_of("R\t461125000000Z\t260101000000Z\t09\tunknown\t/CN=Ines Moreau\n")

    def list_of(self, register):
        (self.folder / "register").write_text(register)
        self.openssl("ca", "-gencrl", "-config", "ca.cnf", "-cert", "root.pem", "-keyfile", "root.key", "-out", "root.crl")

    def stamp(self, request):
        (self.folder / "request").write_bytes(request)
        self.openssl("ts", "-reply", "-config", "ts.cnf", "-queryfile", "request", "-signer", "tsa.pem", "-inkey", "tsa.key",
                     "-chain", "root.pem", "-out", "reply")
        self.last = (self.folder / "reply").read_bytes()
        return self.last

    def serve(self):
        authority = self

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_POST(self):
                request = self.rfile.read(int(self.headers["Content-Length"]))
                expect("request has its media type", self.headers["Content-Type"] == "application/timestamp-query")
                status, body = authority.answer(request)
                self.send_response(status)
                self.send_header("Content-Type", "application/timestamp-reply")
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_):
                pass

        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        return server


def good(program, visit, authority, url, folder):
    authority.answer = lambda request: (200, authority.stamp(request))
    pdf = folder / "stamped.pdf"
    code, told = run(program, "certify", visit, "-o", pdf, "--force", "--timestamp", url, "--timestamp-required",
                     "--timestamp-policy", f"{POLICY}.7")
    expect("certify with a time-stamp", code == 0, told)
    code, told = run(program, "verify", "--no-known", "--allow-uncompared", "--format", "json", pdf)
    stamp = json.loads(told)["seal"]["signatures"][0]["stamp"]
    expect("verify finds the stamp", code == 0 and stamp["valid"]["answer"] == "yes", told)
    expect("the authority is not known", stamp["trusted"]["answer"] == "not-determined", stamp)
    expect("policy", stamp["policy"] == f"{POLICY}.7" and stamp["authority"] == "Loopback Clock", stamp)
    code, told = run(program, "verify", "--no-known", "--allow-uncompared", pdf)
    expect("verify tells the stamp", "by the authority “Loopback Clock”, NOT checked" in told, told)
    with pdf.open("rb") as file:
        signature = PdfFileReader(file).embedded_signatures[0]
        (folder / "signer.der").write_bytes(signature.signer_cert.dump())
        roots = [load_cert_from_pemder(str(authority.root))]
        status = validate_pdf_signature(
            signature, ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False),
            ts_validation_context=ValidationContext(trust_roots=roots, allow_fetching=False))
        expect("pyHanko: signature", status.bottom_line, status.summary())
        stamped = status.timestamp_validity
        expect("pyHanko: B-T token", stamped is not None and stamped.valid and stamped.intact and stamped.trusted, status.summary())
        start, open_, close, rest = signature.sig_object["/ByteRange"]
    data = pdf.read_bytes()
    info = cms.ContentInfo.load(bytes.fromhex(data[open_ + 1 : close - 1].decode()))["content"]["signer_infos"][0]
    token = next(a for a in info["unsigned_attrs"] if a["type"].native == "signature_time_stamp_token")["values"][0]
    (folder / "token").write_bytes(token.dump())
    (folder / "value").write_bytes(info["signature"].native)
    code, told = run("openssl", "ts", "-verify", "-token_in", "-in", folder / "token", "-data", folder / "value",
                     "-CAfile", authority.root)
    expect("openssl ts -verify", code == 0 and "Verification: OK" in told, told)
    # Both the signer and the authority are the reader's to trust.
    run("openssl", "x509", "-inform", "DER", "-in", folder / "signer.der", "-out", folder / "signer.pem")
    code, told = run(program, "verify", "--no-known", "--trust", authority.root, "--trust", folder / "signer.pem", pdf)
    expect("verify trusts the authority", code == 0 and "“Loopback Clock”, which you trust" in told, told)
    code, told = run("pdfsig", "-nocert", pdf)
    expect("pdfsig", "Signature is Valid" in told, told)
    target = folder / "client.pdf"
    code, told = run(program, "countersign", pdf, "--as", "client", "--name", "Amal Okafor", "-o", target, "--timestamp", url, "--timestamp-required")
    expect("countersign with a time-stamp", code == 0, told)
    code, told = run(program, "verify", "--no-known", "--allow-uncompared", target)
    stamped = [line for line in told.splitlines() if line.startswith("stamped ") and "Loopback Clock" in line]
    expect("both stamps", code == 0 and len(stamped) == 2, told)


def later(program, visit, authority, url, folder):
    """A time-stamp added after signing (DocTimeStamp), as pyHanko, qpdf and pdfsig judge it."""
    authority.answer = lambda request: (200, authority.stamp(request))
    pdf, target = folder / "plain.pdf", folder / "plain-stamped.pdf"
    code, told = run(program, "certify", visit, "-o", pdf)
    expect("certify without a time-stamp", code == 0, told)
    code, told = run(program, "stamp", pdf, "--timestamp", url, "--timestamp-policy", f"{POLICY}.7")
    expect("stamp", code == 0 and "by the authority “Loopback Clock”" in told, told)
    expect("the sealed bytes are kept", target.read_bytes().startswith(pdf.read_bytes()))
    code, told = run(program, "verify", "--no-known", "--allow-uncompared", target)
    expect("verify permits it", code == 0 and "a time-stamp in the field “Time-stamp”" in told, told)
    expect("verify tells it", "by the authority “Loopback Clock”, NOT checked" in told, told)
    with target.open("rb") as file:
        reader = PdfFileReader(file)
        seal, stamp = reader.embedded_signatures
        roots = [load_cert_from_pemder(str(authority.root))]
        times = ValidationContext(trust_roots=roots, allow_fetching=False)
        expect("pyHanko: kind", stamp.sig_object_type == "/DocTimeStamp" and stamp.field_name == "Time-stamp", stamp.sig_object)
        status = validate_pdf_timestamp(stamp, times)
        expect("pyHanko: document time-stamp", status.valid and status.intact and status.trusted, status.summary())
        expect("pyHanko: covers the whole file", status.coverage == SignatureCoverageLevel.ENTIRE_FILE, status.coverage)
        context = ValidationContext(trust_roots=[seal.signer_cert], allow_fetching=False)
        status = validate_pdf_signature(seal, context)
        expect("pyHanko: the seal permits it", status.bottom_line, status.pretty_print_details())
        (folder / "seal.pem").write_bytes(pem.armor("CERTIFICATE", seal.signer_cert.dump()))
    code, told = run(program, "verify", "--no-known", "--trust", authority.root, "--trust", folder / "seal.pem", target)
    expect("verify trusts the authority", code == 0 and "it was sealed by 2" in told and "as a time-stamp shows" in told, told)
    for check in [["qpdf", "--check"], ["pdfsig", "-nocert"]]:
        code, told = run(*check, target)
        expect(f"later stamp: {check[0]}", code == 0 and "NOT Verified" not in told, told)
    # pyHanko with its usual options also renews the date and program in document information and metadata.
    other = folder / "by-another-program.pdf"
    stamper = DummyTimeStamper(load_cert_from_pemder(str(folder / "tsa.pem")), load_private_key_from_pemder(str(folder / "tsa.key"), None))
    with pdf.open("rb") as before, other.open("wb") as after:
        PdfTimeStamper(stamper).timestamp_pdf(IncrementalPdfFileWriter(before), "sha256", output=after)
    code, told = run(program, "verify", "--no-known", "--allow-uncompared", other)
    expect("a later stamp by pyHanko is neither genuine nor called changed", code == 1
           and told.startswith("This file cannot be judged as it is now: added by another program, cannot be judged")
           and "another date and program in the metadata" in told and "NOT permitted" not in told, told)
    code, told = run(program, "stamp", pdf, "--timestamp", url)
    expect("nothing is overwritten", code == 1 and "exists" in told, told)
    authority.answer = lambda _: (500, b"sorry")
    code, told = run(program, "stamp", pdf, "--timestamp", url, "-o", folder / "none.pdf")
    expect("no reply, no file", code == 1 and "Nothing was written" in told and not (folder / "none.pdf").exists(), told)


def long_term(program, visit, authority, url, folder):
    """An issued identity, a time-stamp, the issuer's list: baseline B-LT, as pyHanko judges it."""
    authority.answer = lambda request: (200, authority.stamp(request))
    authority.issue_identity()
    pdf = folder / "long-term.pdf"
    code, told = run(program, "certify", visit, "-o", pdf, "--identity", folder / "ines.pem", "--key", folder / "ines.key",
                     "--timestamp", url, "--timestamp-required", "--crl", folder / "root.crl")
    expect("certify for long", code == 0, told)
    code, told = run(program, "verify", "--no-known", "--trust", authority.root, pdf)
    expect("verify: not revoked", code == 0 and "not at that time, according to the issuer's list inside" in told, told)
    expect("verify: vouched for", "vouched for by “Clockmakers Root”" in told, told)
    with pdf.open("rb") as file:
        signature = PdfFileReader(file).embedded_signatures[0]
        roots = [load_cert_from_pemder(str(authority.root))]
        # Everything but the root comes from the file, for the signer and the authority alike.
        store = DocumentSecurityStore.read_dss(signature.reader)
        expect("pyHanko: store", len(store.crls) == 1 and len(store.certs) == 2, store)
        for mode in ["require", "hard-fail"]:
            context = store.as_validation_context({"trust_roots": roots, "allow_fetching": False, "revocation_mode": mode})
            status = validate_pdf_signature(signature, context, ts_validation_context=context)
            expect(f"pyHanko: B-LT {mode}", status.bottom_line and status.timestamp_validity.trusted, status.summary())
        context = ValidationContext(trust_roots=roots, allow_fetching=False, revocation_mode="require", crls=[])
        status = validate_pdf_signature(signature, context, ts_validation_context=context)
        expect("pyHanko: not without the store", not status.bottom_line, status.summary())
    for check in [["qpdf", "--check"], ["pdfsig", "-nocert"]]:
        code, told = run(*check, pdf)
        expect(f"B-LT: {check[0]}", code == 0 and "NOT Verified" not in told, told)
    authority.revoke_identity()
    code, told = run(program, "certify", visit, "-o", folder / "revoked.pdf", "--identity", folder / "ines.pem", "--key",
                     folder / "ines.key", "--crl", folder / "root.crl")
    expect("a revoked identity is refused", code == 1 and "was revoked on" in told, told)
    expect("and leaves no file", not (folder / "revoked.pdf").exists())


def bad(program, visit, authority, url, folder):
    first = authority.last

    def flipped(request):
        reply = bytearray(authority.stamp(request))
        reply[-3] ^= 1
        return 200, bytes(reply)

    def refused(request):
        return 200, bytes.fromhex("30153013020102300e0c0c6e6f7420746f6f646179210a")[:23]

    for name, answer, reason in [
        ("server error", lambda _: (500, b"sorry"), "answered with status 500"),
        ("not found", lambda _: (404, b""), "answered with status 404"),
        ("a web page", lambda _: (200, b"<html>welcome</html>"), "no time-stamp reply"),
        ("empty", lambda _: (200, b""), "no time-stamp reply"),
        ("an old reply", lambda _: (200, first), "belongs to another signature"),
        ("a flipped bit", flipped, "time-stamp"),
        ("too much", lambda _: (200, bytes(1 << 20)), "too large for a time-stamp"),
        ("a refusal", refused, "refused"),
    ]:
        authority.answer = answer
        for required in [True, False]:
            pdf = folder / "bad.pdf"
            pdf.unlink(missing_ok=True)
            code, told = run(program, "certify", visit, "-o", pdf, "--timestamp", url, *(["--timestamp-required"] if required else []))
            if required:
                expect(f"{name}: nothing is written", code == 1 and not pdf.exists(), told)
            else:
                expect(f"{name}: signed without", code == 0 and "Signed without a time-stamp" in told, told)
                expect(f"{name}: verifies", run(program, "verify", "--no-known", "--allow-uncompared", pdf)[0] == 0)
            expect(f"{name}: says why", reason in told, told)
    pdf = folder / "away.pdf"
    code, told = run(program, "certify", visit, "-o", pdf, "--timestamp", "http://127.0.0.1:9/", "--timestamp-required")
    expect("nobody there", code == 1 and not pdf.exists() and "cannot be reached" in told, told)
    code, told = run(program, "certify", visit, "-o", pdf, "--timestamp", "https://127.0.0.1/")
    expect("only http", code == 2 and "plain HTTP only" in told, told)
    leftovers = [p.name for p in folder.iterdir() if ".part" in p.name]
    expect("no half-written file", not leftovers, leftovers)


def main():
    program, visit = pathlib.Path(sys.argv[1]).resolve(), sys.argv[2]
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary)
        authority = Authority(folder)
        server = authority.serve()
        url = f"http://127.0.0.1:{server.server_address[1]}/tsr"
        good(program, visit, authority, url, folder)
        later(program, visit, authority, url, folder)
        long_term(program, visit, authority, url, folder)
        bad(program, visit, authority, url, folder)
        server.shutdown()
    close()


if __name__ == "__main__":
    main()
