#!/usr/bin/env python3
"""One byte changed in 200 places: warmlug and pyHanko must refuse the file each time.

    flip.py WARMLUG CERTIFICATE.pdf

The places are drawn with a fixed seed from each region of the file: header, what was typeset,
the signature's dictionary, its digits, their padding, and the table and trailer at the end.
Where the two disagree, `explained` says why.
"""

import io
import logging
import random
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

logging.disable(logging.CRITICAL)


def regions(data):
    """Name, first byte, end, and how many places to draw."""
    gap = max(re.finditer(rb"/Contents (<[0-9a-f]+>)", data), key=lambda m: m.end())
    open_, close = gap.span(1)
    digits = data[open_ + 1 : close - 1]
    used = open_ + 1 + 2 * (int.from_bytes(bytes.fromhex(digits[4:8].decode()), "big") + 4)
    ends = [m.end() for m in re.finditer(rb"%%EOF\r?\n?", data)]
    revision = ends[-2] if len(ends) > 1 else 0
    dictionary = data.rindex(b"/Type /Sig", 0, open_)
    return [
        ("header", 0, 16, 8),
        ("typeset", 16, revision, 72),
        ("delimiters", open_, open_ + 1, 1),
        ("dictionary", dictionary, open_, 24),
        ("signature", open_ + 1, used, 48),
        ("padding", used, close - 1, 12),
        ("delimiters", close - 1, close, 1),
        ("table and trailer", close, len(data), 34),
    ]


def pyhanko(data):
    try:
        reader = PdfFileReader(io.BytesIO(data))
        (signature,) = reader.embedded_signatures
        context = ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False)
        status = validate_pdf_signature(signature, signer_validation_context=context)
        return status.bottom_line and signature.docmdp_level is not None
    except Exception:  # a reader that gives up does not accept
        return False


def letter(data, at, start):
    """The byte that the hexadecimal digit at this place belongs to, in lower case if it is a letter."""
    first = at - (at - start) % 2
    try:
        return bytes.fromhex(bytes(data[first : first + 2]).decode()).lower()
    except ValueError:  # no digit
        return None


def explained(region, data, flipped, at, start):
    """Why pyHanko may accept a file that warmlug refuses; None when nothing explains it."""
    if region == "padding":
        return "pyHanko does not look behind the signature value, warmlug wants nothing there"
    if region == "signature" and bytes([data[at]]).lower() == bytes([flipped[at]]).lower():
        return "the digit in the other case has the same value, but was not written by the signer"
    if region == "signature" and letter(data, at, start) == letter(flipped, at, start):
        return "a letter of the issuer's name in the other case, which RFC 5280, 7.1, does not tell apart"
    return None


def main():
    program, path = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    data = path.read_bytes()
    if subprocess.run([program, "verify", "--allow-uncompared", path], capture_output=True).returncode != 0 or not pyhanko(data):
        sys.exit("the certificate does not verify to begin with")
    draw = random.Random(2026)
    passed = failed = tried = 0
    reasons = {}
    with tempfile.TemporaryDirectory() as folder:
        for region, start, end, count in regions(data):
            for at in draw.sample(range(start, end), min(count, end - start)):
                tried += 1
                flipped = bytearray(data)
                flipped[at] ^= 1 << draw.randrange(8)
                target = Path(folder) / "flipped.pdf"
                target.write_bytes(flipped)
                ours = subprocess.run([program, "verify", target], capture_output=True, text=True)
                theirs = pyhanko(bytes(flipped))
                reason = explained(region, data, flipped, at, start)
                if ours.returncode == 1 and len(ours.stdout.strip()) > 20 and (not theirs or reason):
                    passed += 1
                    if theirs:
                        reasons[reason] = reasons.get(reason, 0) + 1
                else:
                    failed += 1
                    print(f"FAILED byte {at} in {region}: exit code {ours.returncode}, pyHanko "
                          f"{'accepts' if theirs else 'refuses'}\n{ours.stdout[:300]}{ours.stderr[:300]}")
    for reason, count in reasons.items():
        print(f"{count} times pyHanko alone accepts: {reason}")
    if tried < 200:
        print(f"only {tried} places were tried")
        failed += 1
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
