#!/usr/bin/env python3
"""Keys on a token: SoftHSM holds them, the program signs with them over PKCS#11.

    tokens.py WARMLUG VISIT.yaml      (WARMLUG built with --features pkcs11)

Needs softhsm2 and opensc. P-256, P-384 and RSA keys each seal a certificate that we and openssl
find genuine; a wrong PIN, a token without a key, several keys and a key whose certificate is
another's are each refused. Prints "N passed, N failed".
"""

import os
import pathlib
import sys
import tempfile

import ledger
from ledger import close, expect

MODULE = "/usr/lib/softhsm/libsofthsm2.so"
KEYS = pathlib.Path(__file__).resolve().parents[1] / "seal_keys"


class Token:
    def __init__(self, folder):
        self.folder = folder
        (folder / "tokens").mkdir(parents=True)
        (folder / "softhsm.conf").write_text(f"directories.tokendir = {folder}/tokens\nlog.level = ERROR\n")
        self.env = {**os.environ, "SOFTHSM2_CONF": str(folder / "softhsm.conf"), "WARMLUG_PASSPHRASE": "4711"}
        self.must("softhsm2-util", "--init-token", "--free", "--label", "bench", "--pin", "4711", "--so-pin", "0815")

    def run(self, *command, **env):
        return ledger.run(*command, env={**self.env, **env})

    def must(self, *command):
        code, told = self.run(*command)
        if code:
            sys.exit(f"{command}: {told}")

    def put(self, key, certificate, label, identifier):
        pkcs8, der = self.folder / "key.p8", self.folder / "certificate.der"
        self.must("openssl", "pkcs8", "-topk8", "-nocrypt", "-in", KEYS / key, "-out", pkcs8)
        self.must("openssl", "x509", "-in", KEYS / certificate, "-outform", "DER", "-out", der)
        self.must("softhsm2-util", "--import", pkcs8, "--token", "bench", "--label", label, "--id", identifier, "--pin", "4711")
        self.must("pkcs11-tool", "--module", MODULE, "--login", "--pin", "4711", "--write-object", der, "--type", "cert",
                  "--id", identifier, "--label", label)


def main():
    program, visit = pathlib.Path(sys.argv[1]).resolve(), sys.argv[2]
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary)
        pdf = folder / "sealed.pdf"

        def certify(token, *more, **env):
            pdf.unlink(missing_ok=True)
            return token.run(program, "certify", visit, "-o", pdf, "--token", MODULE, *more, **env)

        token = Token(folder / "one")
        code, told = certify(token)
        expect("an empty token", code == 1 and "no token with a signing key" in told, told)
        for n, (name, algorithm) in enumerate([("p256", "P-256 with SHA-256"), ("p384", "P-384 with SHA-384"), ("rsa2048", "RSA 2048 with SHA-256")]):
            token.put(f"{name}.key", f"{name}.crt", name, f"a{n}")
            code, told = certify(token, "--token-label", name)
            expect(f"{name}: certify", code == 0, told)
            code, told = token.run(program, "verify", "--no-known", "--trust", KEYS / f"{name}.crt", pdf)
            expect(f"{name}: verify", code == 0 and algorithm in told, told)
            # A token draws its own numbers: half of its signatures would have the larger s.
            for _ in range(0 if name.startswith("rsa") else 6):
                certify(token, "--token-label", name)
                _, again = token.run(program, "verify", "--no-known", pdf)
                expect(f"{name}: the smaller s", "signed by" in again and "high s" not in again, again)
            code, told = token.run("pdfsig", "-nocert", pdf)
            expect(f"{name}: pdfsig", "Signature is Valid" in told, told)
        code, told = certify(token)
        expect("several keys", code == 1 and "--token-label" in told and not pdf.exists(), told)
        code, told = certify(token, "--token-label", "p256", WARMLUG_PASSPHRASE="0000")
        expect("a wrong PIN", code == 1 and "wrong passphrase" in told and not pdf.exists(), told)
        expect("no PIN in the message", "4711" not in told and "0000" not in told, told)
        code, told = certify(token, "--token-label", "nobody")
        expect("an unknown label", code == 1 and "no token with a signing key" in told, told)
        other = Token(folder / "two")
        other.put("p256.key", "issued.crt", "mixed", "b1")
        code, told = certify(other)
        expect("another's certificate", code == 1 and "another key than its certificate's" in told and not pdf.exists(), told)
        code, told = token.run(program, "certify", visit, "-o", pdf, "--token", KEYS / "p256.crt")
        expect("no module", code == 1 and "as a PKCS#11 module" in told, told)
    close()


if __name__ == "__main__":
    main()
