#!/usr/bin/env python3
"""Forged and broken certificates: each must be refused, or its change named.

    hostile.py WARMLUG CERTIFICATE.pdf [FOLDER]

Builds the published classes of attacks on signed PDFs out of one genuine certificate, has
`WARMLUG verify` judge each within 2 seconds and 256 MiB, and puts pyHanko's verdict beside
ours. The classes and their names are those of the public research on PDF signatures:
universal forgery, incremental saving and signature wrapping (Mladenov and others, CCS 2019),
shadow attacks (Mainka and others, NDSS 2021), attacks on certified documents (Rohlmann and
others, IEEE S&P 2021). With FOLDER the files stay there for a look.

Where pyHanko accepts what warmlug refuses, the case stands in EXPLAINED with the reason.
"""

import io
import logging
import os
import re
import resource
import subprocess
import sys
import tempfile
import time
import zlib
from pathlib import Path

from asn1crypto import cms as asn1_cms
from asn1crypto import core as asn1_core
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.generic import pdf_name
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign import fields, signers
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

SECONDS = 2.0
MEBIBYTES = 256

# Cases that pyHanko lets pass although warmlug refuses them. It judges what a signature proves;
# warmlug also asks whether the file is a certificate as one is sealed.
EXPLAINED = {
    "mixed-case-digits": "same signature value; pyHanko does not look at how digits are written",
    "capital-digits": "same signature value; pyHanko does not look at how digits are written",
    "spaces-in-digits": "same signature value; pyHanko skips white space inside the digits",
    "odd-digits": "same signature value; a missing last digit of the padding counts as zero",
    "bytes-in-padding": "same signature value; pyHanko does not look behind it",
    "message-indefinite": "the same message in BER, which pyHanko reads; PAdES demands DER",
    "message-stranger-attribute": "pyHanko does not look at attributes that nobody signed",
    "message-other-digest": "a list outside of what is signed that pyHanko does not use",
    "resigned-without-certifying": "a fine signature, but nothing certifies the document",
    "signed-pkcs7": "a fine signature of the older kind, adbe.pkcs7.detached",
    "empty-signature-field": "pyHanko lets a certified file get new fields to sign in",
    "visible-signature": "pyHanko lets a new signature field show something on a page",
    "text-field": "pyHanko takes a new form field for filling in",
    "catalogue-other": "an equal catalogue under another number",
    "appearances-needed": "pyHanko lets the form ask for new appearances, which rewrites what fields show",
    "information-exchanged": "pyHanko does not judge the document information",
    **dict.fromkeys(
        [
            "newline-after-end", "zero-after-end", "comment-after-end", "noise-at-end", "empty-update",
            "unused-object", "objects-without-table", "objects-without-table-but-end", "trailer-alone",
            "signature-copied", "signed-part-doubled",
        ],
        "nothing to be seen differs, but bytes are there that nobody signed or needed",
    ),
}

logging.disable(logging.CRITICAL)


class Base:
    """The genuine file with what attackers need to know about it."""

    def __init__(self, data):
        self.data = data
        self.reader = PdfFileReader(io.BytesIO(data))
        signature = self.reader.embedded_signatures[0]
        self.signature = signature.sig_object
        self.signature_ref = signature.sig_field.raw_get("/V")
        self.field_ref = self.reader.root["/AcroForm"]["/Fields"].raw_get(0)
        self.root_ref = self.reader.trailer.raw_get("/Root")
        self.page_ref = first_page(self.reader)
        self.page = self.page_ref.get_object()
        contents = self.page.raw_get("/Contents")
        if not isinstance(contents, generic.IndirectObject):
            contents = contents.raw_get(0)
        self.content_ref = contents
        number = self.signature_ref.idnum
        start = re.search(rb"(?:^|[\r\n])(%d 0 obj)" % number, data).start(1)
        self.source = data[data.index(b"obj", start) + 3 : data.index(b"endobj", start)].strip()
        self.is_stream = b"/Type /XRef" in data or b"/Type/XRef" in data
        self.startxref = int(re.findall(rb"startxref\s+(\d+)", data)[-1])
        self.size = int(self.reader.trailer["/Size"])
        span = re.search(rb"/Contents\s*(<[0-9a-fA-F]+>)", data[start:])
        self.gap = (start + span.start(1), start + span.end(1))


def first_page(reader):
    node = reader.root.raw_get("/Pages")
    while node.get_object()["/Type"] != "/Page":
        node = node.get_object()["/Kids"].raw_get(0)
    return node


def update(base, objects, trailer=b"", entries=None, free=(), data=None, root=None, prev=None):
    """Appends objects by hand, with a table of the file's own kind."""
    data = base.data if data is None else data
    out = bytearray(data)
    if not out.endswith(b"\n"):
        out += b"\n"
    places = dict(entries or {})
    for number, body in objects.items():
        places[number] = len(out)
        out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    root = root or b"%d 0 R" % base.root_ref.idnum
    prev = base.startxref if prev is None else prev
    size = max([base.size, *[n + 1 for n in places]])
    identifier = b"[%s]" % b" ".join(b"<%s>" % getattr(i, "original_bytes", i).hex().encode() for i in base.reader.trailer["/ID"])
    start = len(out)
    if not base.is_stream:
        out += b"xref\n"
        for number in sorted({*places, *free}):
            if number in places:
                out += b"%d 1\n%010d 00000 n \n" % (number, places[number])
            else:
                out += b"%d 1\n0000000000 65535 f \n" % number
        out += b"trailer\n<</Size %d/Root %s/ID %s/Prev %d%s>>\n" % (size, root, identifier, prev, trailer)
    else:
        places[size] = start
        numbers = sorted({*places, *free})
        index = b" ".join(b"%d 1" % n for n in numbers)
        rows = b"".join(
            b"\x01" + places[n].to_bytes(4, "big") + b"\0\0" if n in places else b"\0\0\0\0\0\xff\xff"
            for n in numbers
        )
        out += b"%d 0 obj\n<</Type/XRef/Size %d/Root %s/ID %s/Prev %d/W[1 4 2]/Index[%s]/Length %d%s>>\nstream\n%s\nendstream\nendobj\n" % (
            size, size + 1, root, identifier, prev, index, len(rows), trailer, rows)
    out += b"startxref\n%d\n%%%%EOF\n" % start
    return bytes(out)


def stream(body, extra=b""):
    return b"<</Length %d%s>>\nstream\n%s\nendstream" % (len(body), extra, body)


def source_of(obj):
    out = io.BytesIO()
    obj.write_to_stream(out, None)
    return out.getvalue()


def here(writer, reference):
    return generic.Reference(reference.idnum, reference.generation, writer)


def edited(base, change):
    """An update made with pyHanko's writer: `change` gets the writer and the page."""
    writer = IncrementalPdfFileWriter(io.BytesIO(base.data))
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def universal_forgery(base):
    """The signature's dictionary made useless, so that a careless reader finds nothing to fail."""
    source = base.source
    ranges = re.search(rb"/ByteRange\s*\[[^\]]*\]", source).group()
    contents = re.search(rb"/Contents\s*<[^>]*>", source).group()
    numbers = [int(n) for n in re.findall(rb"\d+", ranges)]
    ours = re.search(rb"<([0-9a-fA-F]+)>", contents).group(1)
    swaps = {
        "range-missing": (ranges, b""),
        "range-null": (ranges, b"/ByteRange null"),
        "range-empty": (ranges, b"/ByteRange []"),
        "range-zeros": (ranges, b"/ByteRange [0 0 0 0]"),
        "range-negative": (ranges, b"/ByteRange [0 -1 -2 %d]" % len(base.data)),
        "range-huge": (ranges, b"/ByteRange [0 %d 18446744073709551615 1]" % numbers[1]),
        "range-overflow": (ranges, b"/ByteRange [0 %d %d 9223372036854775807]" % (numbers[1], numbers[2])),
        "range-three": (ranges, b"/ByteRange [%d %d %d]" % tuple(numbers[:3])),
        "range-six": (ranges, b"/ByteRange [%d %d %d %d 0 0]" % tuple(numbers)),
        "range-reals": (ranges, b"/ByteRange [0.0 %d.0 %d.0 %d.0]" % tuple(numbers[1:])),
        "range-names": (ranges, b"/ByteRange [/a /b /c /d]"),
        "range-string": (ranges, b"/ByteRange (0 1 2 3)"),
        "range-from-one": (ranges, b"/ByteRange [1 %d %d %d]" % (numbers[1] - 1, numbers[2], numbers[3])),
        "range-overlapping": (ranges, b"/ByteRange [0 %d %d %d]" % (numbers[2], numbers[1], numbers[3])),
        "range-short": (ranges, b"/ByteRange [0 %d %d %d]" % (numbers[1], numbers[2], numbers[3] - 1)),
        "range-old": (b"", b""),
        "contents-missing": (contents, b""),
        "contents-null": (contents, b"/Contents null"),
        "contents-empty": (contents, b"/Contents <>"),
        "contents-zero": (contents, b"/Contents <00>"),
        "contents-zeros": (contents, b"/Contents <" + b"00" * 512 + b">"),
        "contents-cut": (contents, b"/Contents <" + ours[:200] + b">"),
        "contents-odd": (contents, b"/Contents <" + ours[:-1] + b">"),
        "contents-literal": (contents, b"/Contents (forged)"),
        "contents-name": (contents, b"/Contents /forged"),
        "contents-not-hex": (contents, b"/Contents <zz" + ours[2:] + b">"),
        "contents-twice": (contents, contents + contents),
        "contents-indirect": (contents, b"/Contents %d 0 R" % (base.size + 1)),
        "subfilter-missing": (b"/SubFilter /ETSI.CAdES.detached", b""),
        "subfilter-unknown": (b"/SubFilter /ETSI.CAdES.detached", b"/SubFilter /Anything.Goes"),
        "subfilter-raw-rsa": (b"/SubFilter /ETSI.CAdES.detached", b"/SubFilter /adbe.x509.rsa_sha1"),
    }
    for name, (old, new) in swaps.items():
        changed = source.replace(old, new, 1) if old else source
        objects = {base.signature_ref.idnum: changed}
        if name == "contents-indirect":
            objects[base.size + 1] = b"<" + ours + b">"
        yield name, update(base, objects)
    number = base.field_ref.idnum
    field = source_of(base.field_ref.get_object())
    value = b"/V %d 0 R" % base.signature_ref.idnum
    assert value in field
    yield "value-missing", update(base, {number: field.replace(value, b"")})
    yield "value-null", update(base, {number: field.replace(value, b"/V null")})
    yield "value-dangling", update(base, {number: field.replace(value, b"/V %d 0 R" % (base.size + 7))})
    yield "value-inline", update(base, {number: field.replace(value, b"/V " + source)})


def incremental_saving(base):
    """Contents exchanged by appending, with tables, without, and with half of one."""
    page, content = base.page_ref.idnum, base.content_ref.idnum
    forged = stream(b"BT /F1 24 Tf 72 700 Td (Satisfactory) Tj ET")
    yield "content-exchanged", update(base, {content: forged})
    yield "content-freed", update(base, {}, free=[content])
    yield "page-exchanged", update(base, {page: source_of(base.page).replace(b"/Contents", b"/Was", 1)})
    root = source_of(base.reader.root)
    number = base.root_ref.idnum
    yield "catalogue-without-permissions", update(base, {number: root.replace(b"/Perms", b"/Was", 1)})
    yield "catalogue-without-form", update(base, {number: root.replace(b"/AcroForm", b"/Was", 1)})
    yield "catalogue-opens-script", update(
        base, {number: root[:-2] + b"/OpenAction <</S /JavaScript /JS (app.alert\\(1\\))>>>>"})
    yield "catalogue-other", update(base, {base.size + 3: root}, root=b"%d 0 R" % (base.size + 3))
    yield "names-exchanged", update(base, {number: root.replace(b"/Names", b"/Was", 1)})
    yield "metadata-exchanged", update(base, {number: root[:-2] + b"/Metadata %d 0 R>>" % (base.size + 1),
                                              base.size + 1: stream(b"<x/>", b"/Type/Metadata/Subtype/XML")})
    yield "information-exchanged", update(base, {base.size + 1: b"<</Title (Forged)>>"},
                                          trailer=b"/Info %d 0 R" % (base.size + 1))
    record = embedded_stream(base)
    if record is not None:
        yield "attachment-exchanged", update(base, {record: stream(b"visit: forged", b"/Type/EmbeddedFile")})
    yield "empty-update", update(base, {})
    yield "unused-object", update(base, {base.size + 1: b"(nothing to see)"})
    loose = b"%d 0 obj\n%s\nendobj\n" % (content, forged)
    yield "objects-without-table", base.data + loose
    yield "objects-without-table-but-end", base.data + loose + b"startxref\n%d\n%%%%EOF\n" % base.startxref
    yield "trailer-alone", base.data + b"trailer\n<</Root %d 0 R/Size %d>>\nstartxref\n%d\n%%%%EOF\n" % (
        number, base.size, base.startxref)
    yield "comment-after-end", base.data + b"% a comment\n"
    yield "newline-after-end", base.data + b"\n"
    yield "zero-after-end", base.data + b"\0"
    yield "end-twice", base.data + b"%%EOF\n"
    yield "noise-before-header", b"noise\n" + base.data
    yield "noise-at-end", base.data + os.urandom(64).replace(b"%", b"x")
    yield "cut-at-end", base.data[:-1][: -len(b"%%EOF")]
    yield "cut-in-half", base.data[: len(base.data) // 2]
    yield "signature-copied", update(base, {base.size + 1: base.source})
    # Another object's place under the content's number.
    places = [m.start(1) for m in re.finditer(rb"[\r\n](\d+ 0 obj)", base.data)]
    yield "table-points-elsewhere", update(base, {}, entries={content: places[0]})
    yield "table-points-nowhere", update(base, {}, entries={content: len(base.data) * 3})


def embedded_stream(base):
    names = base.reader.root.get("/Names", {})
    files = names.get("/EmbeddedFiles", {})
    if "/Names" not in files:
        return None
    return files["/Names"][1]["/EF"].raw_get("/F").idnum


def signature_wrapping(base):
    """The covered bytes kept, but moved apart to make room for others."""
    open_, close = base.gap
    data = base.data
    digits = data[open_ + 1 : close - 1]
    used = len(digits.rstrip(b"0")) + 1 & ~1
    room = len(digits) - used
    # The unsigned gap closes the digits early and hides an object behind them.
    hidden = b">/Note (hidden)/More <"
    assert room > len(hidden), "no padding to hide something in"
    yield "object-in-padding", data[: open_ + 1] + digits[:used] + hidden + b"0" * (room - len(hidden)) + data[close - 1 :]
    yield "bytes-in-padding", data[: close - 9] + b"deadbeef" + data[close - 1 :]
    yield "mixed-case-digits", data[: open_ + 1] + mixed(digits) + data[close - 1 :]
    yield "capital-digits", data[: open_ + 1] + digits.upper() + data[close - 1 :]
    spaced = digits[:used] + b" " * room
    yield "spaces-in-digits", data[: open_ + 1] + spaced + data[close - 1 :]
    yield "odd-digits", data[: open_ + 1] + digits[:-1] + b" " + data[close - 1 :]
    # A second dictionary with a wider gap; the old tail moves behind the new objects.
    content = base.content_ref.idnum
    tail = data[close:]
    evil = b"\n%d 0 obj\n%s\nendobj\n" % (content, stream(b"BT (Forged) Tj ET"))
    moved = data[:close] + evil
    new_range = b"/ByteRange [0 %d %d %d]" % (open_, len(moved), len(tail))
    wrapped = moved + tail
    again = re.sub(rb"/ByteRange\s*\[[^\]]*\]", new_range, base.source)
    yield "wrapped", update(base, {base.signature_ref.idnum: again}, data=wrapped,
                            entries={content: close + 1}, prev=base.startxref + len(evil))
    yield "wrapped-plainly", wrapped
    # The same, with the digits of the gap in a second string.
    twice = data[:close] + b"<00>" + tail
    yield "two-strings", twice
    yield "signed-part-doubled", data + data


def mixed(digits):
    out = bytearray(digits)
    for n, byte in enumerate(out):
        if chr(byte).isalpha():
            out[n : n + 1] = bytes([byte ^ 0x20])
            break
    return bytes(out)


def shadow(base):
    """Contents prepared before sealing that a later update shows, hides or exchanges."""
    page = base.page_ref.idnum

    def hide(writer):
        obj = writer.get_object(here(writer, base.page_ref))
        obj["/Annots"] = generic.ArrayObject()
        writer.update_container(obj)

    yield "annotations-hidden", edited(base, hide)

    def replace(writer):
        obj = writer.get_object(here(writer, base.page_ref))
        font = generic.DictionaryObject({
            pdf_name("/Type"): pdf_name("/Font"), pdf_name("/Subtype"): pdf_name("/Type3"),
            pdf_name("/FontBBox"): generic.ArrayObject(map(generic.NumberObject, [0, 0, 1, 1])),
        })
        resources = obj["/Resources"]
        resources["/Font"] = generic.DictionaryObject({pdf_name("/F1"): writer.add_object(font)})
        writer.update_container(resources)
        writer.update_container(obj)

    yield "fonts-exchanged", edited(base, replace)
    looks = base.field_ref.get_object().get("/AP")
    if looks is not None:
        number = looks.raw_get("/N").idnum
        yield "seal-looks-exchanged", update(
            base, {number: stream(b"0 0 m", b"/Type/XObject/Subtype/Form/BBox[0 0 200 50]")})
    field = source_of(base.field_ref.get_object())
    yield "seal-moved", update(base, {base.field_ref.idnum: re.sub(rb"/Rect\s*\[[^\]]*\]", b"/Rect [0 0 612 792]", field)})
    yield "page-repointed", update(base, {page: source_of(base.page).replace(
        b"%d 0 R" % base.content_ref.idnum, b"%d 0 R" % (base.size + 1), 1),
        base.size + 1: stream(b"BT (Forged) Tj ET")})
    yield "page-added", add_page(base)


def add_page(base):
    pages = base.reader.root.raw_get("/Pages")
    source = source_of(pages.get_object())
    new = base.size + 1
    count = int(pages.get_object()["/Count"])
    source = re.sub(rb"/Count \d+", b"/Count %d" % (count + 1), source)
    source = source.replace(b"]", b" %d 0 R]" % new, 1)
    return update(base, {pages.idnum: source, new: b"<</Type/Page/Parent %d 0 R/MediaBox[0 0 612 792]>>" % pages.idnum})


def annotation(subtype, **more):
    entries = {
        pdf_name("/Type"): pdf_name("/Annot"),
        pdf_name("/Subtype"): pdf_name(subtype),
        pdf_name("/Rect"): generic.ArrayObject(map(generic.NumberObject, [0, 0, 612, 792])),
        pdf_name("/Contents"): generic.TextStringObject("Satisfactory"),
        pdf_name("/F"): generic.NumberObject(4),
    }
    entries.update({pdf_name("/" + key): value for key, value in more.items()})
    return generic.DictionaryObject(entries)


def certification(base, attacker):
    """Things added that a careless reader of DocMDP takes for permitted."""

    def add(subtype, **more):
        def change(writer):
            page = writer.get_object(here(writer, base.page_ref))
            annotations = page.get("/Annots")
            if annotations is None:
                annotations = page["/Annots"] = generic.ArrayObject()
            annotations.append(writer.add_object(annotation(subtype, **more)))
            writer.update_container(annotations)
            writer.update_container(page)
        return change

    for subtype in ["FreeText", "Stamp", "Redact", "Square", "Link", "Highlight", "Watermark", "Screen"]:
        yield f"annotation-{subtype.lower()}", edited(base, add("/" + subtype))

    def text_field(writer):
        field = annotation("/Widget", FT=pdf_name("/Tx"), T=generic.TextStringObject("note"),
                           V=generic.TextStringObject("Satisfactory"), P=base.page_ref)
        reference = writer.add_object(field)
        form = writer.root["/AcroForm"]
        form["/Fields"].append(reference)
        writer.update_container(form)
        writer.update_root()
        page = writer.get_object(here(writer, base.page_ref))
        if "/Annots" not in page:
            page["/Annots"] = generic.ArrayObject()
        page["/Annots"].append(reference)
        writer.update_container(page["/Annots"])
        writer.update_container(page)

    yield "text-field", edited(base, text_field)

    def empty_field(writer):
        fields.append_signature_field(writer, fields.SigFieldSpec("Later"))

    yield "empty-signature-field", edited(base, empty_field)
    yield "visible-signature", approve(base.data, attacker, "Over", (0, 0, 612, 792))
    approved = approve(base.data, attacker, "Quiet")
    later = Base(approved)
    yield "approved-then-changed", update(later, {base.content_ref.idnum: stream(b"BT (Forged) Tj ET")})
    # Changed, approved, changed back: what the approver saw must not be taken back unseen.
    changed = update(base, {base.content_ref.idnum: stream(b"BT (Forged) Tj ET")})
    approved = Base(approve(changed, attacker, "Misled"))
    was = re.search(rb"[\r\n](%d 0 obj)" % base.content_ref.idnum, base.data)
    if was is not None:
        yield "approved-then-reverted", update(approved, {}, entries={base.content_ref.idnum: was.start(1)})

    def attach(writer):
        from pyhanko.pdf_utils import embed
        embed.embed_file(writer, embed.FileSpec("more.txt", embedded_data=embed.EmbeddedFileObject.from_file_data(
            writer, b"more", mime_type="text/plain")))

    yield "attachment-added", edited(base, attach)

    def script(writer):
        writer.root["/AA"] = generic.DictionaryObject({pdf_name("/WC"): generic.DictionaryObject({
            pdf_name("/S"): pdf_name("/JavaScript"), pdf_name("/JS"): generic.TextStringObject("1")})})
        writer.update_root()

    yield "script-added", edited(base, script)

    def layers(writer):
        writer.root["/OCProperties"] = generic.DictionaryObject()
        writer.update_root()

    yield "layers-added", edited(base, layers)

    def store(writer):
        writer.root["/DSS"] = generic.DictionaryObject({pdf_name("/Extra"): generic.NumberObject(1)})
        writer.update_root()

    yield "store-with-more", edited(base, store)

    def flags(writer):
        writer.root["/AcroForm"]["/SigFlags"] = generic.NumberObject(0)
        writer.update_container(writer.root["/AcroForm"])
        writer.update_root()

    yield "signature-flags-off", edited(base, flags)

    def appearances(writer):
        writer.root["/AcroForm"]["/NeedAppearances"] = generic.BooleanObject(True)
        writer.update_container(writer.root["/AcroForm"])
        writer.update_root()

    yield "appearances-needed", edited(base, appearances)
    bare = unsigned(base)
    if bare is not None:
        yield "resigned-without-certifying", approve(bare, attacker, "Seal")
        yield "signed-pkcs7", approve(bare, attacker, "Seal", certify=True,
                                      subfilter=fields.SigSeedSubFilter.ADOBE_PKCS7_DETACHED)
        yield "signed-sha1", approve(bare, attacker, "Seal", certify=True, digest="sha1",
                                     subfilter=fields.SigSeedSubFilter.ADOBE_PKCS7_DETACHED)


def approve(data, attacker, field, box=None, certify=False, digest="sha256",
            subfilter=fields.SigSeedSubFilter.PADES):
    writer = IncrementalPdfFileWriter(io.BytesIO(data))
    known = [name for name, value, _ in fields.enumerate_sig_fields(writer.prev)]
    spec = fields.SigFieldSpec(field, box=box) if field not in known else None
    meta = signers.PdfSignatureMetadata(field_name=field, md_algorithm=digest, subfilter=subfilter, certify=certify,
                                        docmdp_permissions=fields.MDPPerm.FILL_FORMS)
    out = io.BytesIO()
    signers.PdfSigner(meta, attacker, new_field_spec=spec).sign_pdf(writer, output=out, existing_fields_only=spec is None)
    return out.getvalue()


def unsigned(base):
    """The file as it was before sealing: its first revision."""
    ends = [m.end() for m in re.finditer(rb"%%EOF\r?\n?", base.data)]
    return base.data[: ends[0]] if len(ends) > 1 else None


def tables(base):
    """Structure that two readers could take in two ways, or that never ends."""
    data = base.data
    root = base.root_ref.idnum
    ok = update(base, {})
    yield "key-twice-in-trailer", update(base, {}, trailer=b"/Root %d 0 R" % base.page_ref.idnum)
    yield "key-twice-in-catalogue", update(base, {root: source_of(base.reader.root)[:-2] + b"/Type /Catalog/Type /Page>>"})
    yield "older-table-is-itself", update(base, {}, prev=len(data) if data.endswith(b"\n") else len(data) + 1)
    yield "older-table-ahead", update(base, {}, prev=len(ok) + 10)
    yield "older-table-negative", update(base, {}, prev=0).replace(b"/Prev 0", b"/Prev -9", 1)
    yield "older-table-gone", re.sub(rb"/Prev \d+", b"/Prev 0", ok)
    yield "start-elsewhere", re.sub(rb"startxref\s+\d+\s+%%EOF\s*$", b"startxref\n7\n%%EOF\n", data)
    yield "start-outside", re.sub(rb"startxref\s+\d+\s+%%EOF\s*$", b"startxref\n99999999\n%%EOF\n", data)
    yield "encrypted", update(base, {}, trailer=b"/Encrypt <</Filter /Standard/V 1/R 2/O (x)/U (x)/P -4>>")
    body = data + (b"" if data.endswith(b"\n") else b"\n")

    def with_table(text, trailer=b""):
        return body + b"xref\n" + text + b"trailer\n<</Size 9/Root %d 0 R/Prev %d%s>>\nstartxref\n%d\n%%%%EOF\n" % (
            root, base.startxref, trailer, len(body))

    line = b"%010d 00000 n \n" % 20
    yield "object-twice-in-table", with_table(b"9 1\n" + line + b"9 1\n" + line)
    yield "table-of-billions", with_table(b"0 4294967295\n" + line)
    yield "table-many-empty", with_table(b"0 0\n" * 200_000)
    yield "table-nonsense", with_table(b"x y\n")
    yield "two-kinds-of-table", with_table(b"0 0\n", b"/XRefStm %d" % base.startxref)
    # Made in pieces: memory of this program would count as memory of the one it starts.
    press = zlib.compressobj(9)
    bomb = b"".join([*(press.compress(bytes(1 << 20)) for _ in range(300)), press.flush()])
    head = b"9999 0 obj\n<</Type/XRef/Size 9/Root %d 0 R/Prev %d/W[1 4 2]/Filter/FlateDecode/Length %d>>\nstream\n" % (
        root, base.startxref, len(bomb))
    yield "table-bomb", body + head + bomb + b"\nendstream\nendobj\nstartxref\n%d\n%%%%EOF\n" % len(body)
    packed = stream(bomb, b"/Type/ObjStm/N 1/First 4/Filter/FlateDecode")
    yield "packed-bomb", packed_object(base, packed)
    yield "packed-in-itself", packed_object(base, stream(b"%d 0 1" % root, b"/Type/ObjStm/N 1/First 4"), inside=True)
    yield "packed-twice", packed_object(base, stream(b"%d 0 %d 0 (x)" % (root, root), b"/Type/ObjStm/N 2/First 12"))
    deep = 60_000
    yield "nested-arrays", update(base, {root: source_of(base.reader.root)[:-2] + b"/X " + b"[" * deep + b"]" * deep + b">>"})
    yield "nested-dictionaries", update(base, {root: b"<</A" * deep + b" 0" + b">>" * deep})
    yield "nested-strings", update(base, {root: b"(" * deep * 10 + b")" * deep * 10})
    field = source_of(base.field_ref.get_object())
    number = base.field_ref.idnum
    yield "field-inside-itself", update(base, {number: field[:-2] + b"/Kids [%d 0 R]>>" % number})
    wide = b"/Kids [" + b"%d 0 R " % number * 200_000 + b"]"
    yield "field-inside-itself-often", update(base, {number: field[:-2] + wide + b">>"})
    first, second = base.size + 1, base.size + 2
    yield "references-in-a-circle", update(base, {
        root: source_of(base.reader.root).replace(b"/AcroForm", b"/AcroForm %d 0 R/Was" % first, 1),
        first: b"%d 0 R" % second, second: b"%d 0 R" % first})
    yield "length-in-a-circle", update(base, {first: b"<</Length %d 0 R>>\nstream\nx\nendstream" % first,
                                              root: source_of(base.reader.root)[:-2] + b"/DSS %d 0 R>>" % first})
    chain = {base.size + n: b"<</Next %d 0 R>>" % (base.size + n + 1) for n in range(1, 20_001)}
    chain[root] = source_of(base.reader.root)[:-2] + b"/DSS %d 0 R>>" % (base.size + 1)
    yield "endless-store", update(base, chain)
    many = data
    for _ in range(80):
        start = len(many)
        many += b"xref\n0 0\ntrailer\n<</Size 9/Root %d 0 R/Prev %d>>\nstartxref\n%d\n%%%%EOF\n" % (
            root, int(re.findall(rb"startxref\s+(\d+)", many)[-1]), start)
    yield "eighty-revisions", many
    keys = b"".join(b"/K%d 0" % n for n in range(300_000))
    yield "huge-dictionary", update(base, {root: source_of(base.reader.root)[:-2] + keys + b">>"})
    yield "only-a-header", b"%PDF-1.7\n%%EOF\n"
    yield "nothing", b""


def packed_object(base, body, inside=False):
    out = bytearray(base.data if base.data.endswith(b"\n") else base.data + b"\n")
    holder, own = base.size + 1, base.size + 2
    place = len(out)
    out += b"%d 0 obj\n%s\nendobj\n" % (holder, body)
    start = len(out)
    rows = b"\x02" + holder.to_bytes(4, "big") + b"\0\0"
    rows += (b"\x02" + holder.to_bytes(4, "big") if inside else b"\x01" + place.to_bytes(4, "big")) + b"\0\0"
    rows += b"\x01" + start.to_bytes(4, "big") + b"\0\0"
    root = base.root_ref.idnum
    out += b"%d 0 obj\n<</Type/XRef/Size %d/Root %d 0 R/Prev %d/W[1 4 2]/Index[%d 1 %d 2]/Length %d>>\nstream\n%s\nendstream\nendobj\n" % (
        own, own + 1, root, base.startxref, root, holder, len(rows), rows)
    out += b"startxref\n%d\n%%%%EOF\n" % start
    return bytes(out)


def messages(base):
    """The signature value itself taken apart and put together wrongly."""
    open_, close = base.gap
    room = (close - open_ - 2) // 2

    def put(value):
        assert len(value) <= room, (len(value), room)
        return base.data[: open_ + 1] + value.hex().encode().ljust(2 * room, b"0") + base.data[close - 1 :]

    raw = bytes.fromhex(base.data[open_ + 1 : close - 1].decode())
    original = asn1_cms.ContentInfo.load(raw).dump()

    def changed(change):
        info = asn1_cms.ContentInfo.load(original)
        change(info["content"])
        return put(info.dump(force=True))

    yield "message-of-nothing", put(b"\x30\x00")
    yield "message-indefinite", put(b"\x30\x80" + original[4:] + b"\0\0")
    yield "message-deep", put(b"\x30\x03" * (room // 2))
    yield "message-wide-set", put(b"\x31\x82" + (room - 4).to_bytes(2, "big") + b"\x05\x00" * ((room - 4) // 2))

    def no_attributes(data):
        data["signer_infos"][0]["signed_attrs"] = asn1_cms.CMSAttributes([])
        del data["signer_infos"][0]["signed_attrs"]

    def no_signers(data):
        data["signer_infos"] = asn1_cms.SignerInfos([])

    def no_certificates(data):
        data["certificates"] = asn1_cms.CertificateSet([])

    def other_digest(data):
        data["digest_algorithms"] = asn1_cms.DigestAlgorithms([{"algorithm": "md5"}])

    def own_content(data):
        data["encap_content_info"]["content"] = b"signed instead"

    def zero_signature(data):
        data["signer_infos"][0]["signature"] = b"\0" * 70

    def null_signature(data):  # r = s = 0, which a careless check of ECDSA accepts
        data["signer_infos"][0]["signature"] = bytes.fromhex("3006020100020100")

    def other_type(data):
        data["encap_content_info"]["content_type"] = "signed_data"

    def beside(data, kind, value):
        data["signer_infos"][0]["unsigned_attrs"] = asn1_cms.CMSAttributes(
            [asn1_cms.CMSAttribute({"type": kind, "values": [value]})])

    def junk_time_stamp(data):
        beside(data, "signature_time_stamp_token", asn1_cms.ContentInfo({"content_type": "data", "content": b"noon"}))

    def stranger_attribute(data):  # room for bytes that nobody signed, in a place nobody covers
        beside(data, "1.3.6.1.4.1.99999.2", asn1_core.OctetString(b"certified by nobody"))

    for change in [junk_time_stamp, stranger_attribute, no_signers, no_certificates, other_digest, own_content, zero_signature, null_signature, other_type]:
        yield "message-" + change.__name__.replace("_", "-"), changed(change)


def all_cases(base, attacker):
    for family in [universal_forgery, incremental_saving, signature_wrapping, shadow]:
        for name, data in family(base):
            yield family.__name__, name, data
    for name, data in certification(base, attacker):
        yield "certification", name, data
    for family in [tables, messages]:
        for name, data in family(base):
            yield family.__name__, name, data


def make_attacker(folder):
    key, certificate = folder / "attacker.key", folder / "attacker.crt"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes",
         "-keyout", key, "-out", certificate, "-days", "3650", "-subj", "/CN=Mallory",
         "-addext", "keyUsage=critical,digitalSignature,nonRepudiation"], check=True, capture_output=True)
    return signers.SimpleSigner.load(key, certificate)


def ours(binary, path):
    """Exit code, output, seconds, MiB."""
    start = time.monotonic()
    process = subprocess.Popen([binary, "verify", "--no-known", path], stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    try:
        output = process.stdout.read()
        _, status, usage = os.wait4(process.pid, 0)
        code = os.waitstatus_to_exitcode(status)
    finally:
        process.stdout.close()
    return code, output.decode(errors="replace"), time.monotonic() - start, usage.ru_maxrss / 1024


def pyhanko(data):
    """True when pyHanko finds every signature good and every change permitted."""
    resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
    try:
        reader = PdfFileReader(io.BytesIO(data))
        signatures = reader.embedded_signatures
        if not signatures:
            return False
        for signature in signatures:
            context = ValidationContext(trust_roots=[signature.signer_cert], allow_fetching=False)
            if not validate_pdf_signature(signature, signer_validation_context=context).bottom_line:
                return False
        return True
    except (Exception, RecursionError):  # a reader that gives up does not accept
        return False


def main():
    binary, certificate = os.path.abspath(sys.argv[1]), Path(sys.argv[2])
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(sys.argv[3]) if len(sys.argv) > 3 else Path(temporary)
        folder.mkdir(exist_ok=True)
        base = Base(certificate.read_bytes())
        attacker = make_attacker(Path(temporary))
        passed = failed = differing = 0
        code, output, _, _ = ours(binary, certificate)
        if code != 5 or not pyhanko(base.data):
            print(f"the certificate itself does not verify: {output}")
            failed += 1
        for family, name, data in all_cases(base, attacker):
            path = folder / f"{family}-{name}.pdf"
            path.write_bytes(data)
            code, output, seconds, memory = ours(binary, path)
            problems = []
            if code != 1:
                problems.append(f"exit code {code}")
            if output.startswith(("Genuine", "Unchanged")):
                problems.append("the seal is said to hold")
            if len(output.strip()) < 20:
                problems.append("no plain sentence")
            if seconds > SECONDS:
                problems.append(f"{seconds:.1f} s")
            if memory > MEBIBYTES:
                problems.append(f"{memory:.0f} MiB")
            accepted = family != "tables" and pyhanko(data)
            if accepted and name not in EXPLAINED:
                problems.append("pyHanko accepts it, and nobody explains why")
            differing += accepted
            if problems:
                failed += 1
                print(f"FAILED {family} {name}: {', '.join(problems)}\n{output.strip()[:400]}")
            else:
                passed += 1
                if os.environ.get("VERBOSE"):
                    print(f"{family} {name}: pyHanko {'accepts' if accepted else 'refuses'}: {output.strip()[:160]}")
        print(f"pyHanko accepts {differing} of these files; each is explained in EXPLAINED")
        if passed + failed < 60:
            print("fewer than 60 files were built")
            failed += 1
        print(f"{passed} passed, {failed} failed")
        sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
