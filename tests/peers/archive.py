#!/usr/bin/env python3
"""Holds our files to ISO 19005-3 (PDF/A-3), level B, and to what ISO 14289-1 (PDF/UA-1) asks of
the file as a whole, clause by clause.

    python tests/peers/archive.py FOLDER

The clause stands beside each check; the clauses of ISO 19005-3 are those of the public
validation profile for PDF/A-3B of the veraPDF consortium. A clause that our files cannot break
because they do not use what it is about (spot colours, JPEG 2000, optional content) is held by
refusing that thing altogether.
"""

import decimal
import io
import pathlib
import re
import sys
import tempfile
import xml.etree.ElementTree as ET

import pikepdf
from asn1crypto import cms
from fontTools.ttLib import TTFont
from pikepdf import Array, Dictionary, Name, Stream, String

import reading

FILTERS = {"/FlateDecode", "/DCTDecode"}
OPERATORS = set(
    "q Q cm w J j M d m l c v y h re S s f F f* B B* b b* n W W* BT ET Td Tm Tf Tj rg RG g G Do BMC BDC EMC".split())
STANDARD_TYPES = set(
    "Document P H1 H2 H3 L LI Lbl LBody Table TR TH TD Caption Figure Link Form Span".split())
NS = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfaid": "http://www.aiim.org/pdfa/ns/id/",
    "pdfuaid": "http://www.aiim.org/pdfua/ns/id/",
    "pdfaExtension": "http://www.aiim.org/pdfa/ns/extension/",
    "pdfaSchema": "http://www.aiim.org/pdfa/ns/schema#",
    "pdfaProperty": "http://www.aiim.org/pdfa/ns/property#",
}


def wide(row):
    """Columns of a row: a cell may span several (ISO 32000-1, table 349)."""
    return sum(int(cell.get("/A", {}).get("/ColSpan", 1)) for cell in reading.kids(row))


class Faults:
    """What breaks which clause."""

    def __init__(self):
        self.found = []
        self.held = 0

    def hold(self, clause, holds, what):
        self.held += 1
        if not holds:
            self.found.append(f"{clause}: {what}")


def walk(pdf):
    """Every object of the file with every value in it."""

    def values(value):
        yield value
        if isinstance(value, (Dictionary, Stream)):
            for key, inner in value.items():
                yield Name(key)
                if not (isinstance(inner, pikepdf.Object) and inner.is_indirect):
                    yield from values(inner)
        elif isinstance(value, Array):
            for inner in value:
                if not (isinstance(inner, pikepdf.Object) and inner.is_indirect):
                    yield from values(inner)

    for thing in pdf.objects:
        yield from values(thing)


def file_structure(hold, path, pdf):
    raw = path.read_bytes()
    hold("6.1.2", re.match(rb"%PDF-1\.[0-7]\n%[\x80-\xff]{4}", raw), "header or binary mark")
    hold("6.1.3", re.search(rb"%%EOF\r?\n?\Z", raw), "bytes after the end of the file")
    trailer = pdf.trailer
    hold("6.1.3", "/ID" in trailer and len(bytes(trailer.ID[0])) >= 16, "no identifier in the trailer")
    hold("6.1.3", "/Encrypt" not in trailer, "encrypted")
    for number in re.finditer(rb"(\d+) (\d+) obj(.)", raw, re.S):
        # Inside of compressed streams the same letters may stand by chance.
        if raw[number.start() - 1 : number.start()] in (b"\n", b"\r"):
            hold("6.1.9", number[3] in b"\n\r", f"obj {number[1].decode()} without a line end")
    for end in re.finditer(rb"endobj(.)", raw, re.S):
        if raw[end.start() - 1 : end.start()] in (b"\n", b"\r"):
            hold("6.1.9", end[1] in b"\n\r", "endobj without a line end")
    # Tables of cross-references: the keyword alone on its line, then the first subsection.
    for table in re.finditer(rb"(?<!start)xref(?=[\s\d])(.{0,12})", raw, re.S):
        if raw[table.start() - 1 : table.start()] in (b"\n", b"\r"):
            hold("6.1.4", re.match(rb"(\r\n|\n|\r)\d+ \d+(\r\n|\n|\r| )", table[1]), "head of the cross-reference table")
    hold("6.1.3", "/Version" not in pdf.Root or str(pdf.Root.Version) in ("/1.4", "/1.5", "/1.6", "/1.7"), "version in the catalog")
    hold("6.1.3, linearised", b"/Linearized" not in raw[:1024], "linearised: its first trailer would be another")
    for value in walk(pdf):
        if isinstance(value, Stream):
            keys = set(value.keys())
            hold("6.1.7.1", "/Length" in value, "a stream without a length")
            hold("6.1.7", not keys & {"/F", "/FFilter", "/FDecodeParms"}, "a stream in another file")
            filters = value.get("/Filter")
            names = [] if filters is None else list(filters) if isinstance(filters, Array) else [filters]
            hold("6.1.7", all(str(n) in FILTERS for n in names), f"filter {names}")
        elif isinstance(value, String):
            hold("6.1.13", len(bytes(value)) < 32767, "a string of 32767 bytes or more")
        elif isinstance(value, Name):
            name = str(value)
            hold("6.1.13", len(name.encode()) <= 128, f"name {name} longer than 127 bytes")
        elif isinstance(value, int) and not isinstance(value, bool):
            hold("6.1.13", -(2**31) <= value < 2**31, f"integer {value}")
        elif isinstance(value, decimal.Decimal):
            hold("6.1.13", value == 0 or decimal.Decimal("1.175e-38") <= abs(value) <= decimal.Decimal("3.403e38"), f"number {value}")
    perms = pdf.Root.get("/Perms", {})
    hold("6.1.12", set(perms.keys()) <= {"/DocMDP", "/UR3"}, f"permissions {list(perms.keys())}")
    for reference in perms.get("/DocMDP", {}).get("/Reference", []):
        hold("6.1.12", not set(reference.keys()) & {"/DigestLocation", "/DigestMethod", "/DigestValue"}, "digests in the permissions")
    hold("6.1.13", len(pdf.objects) <= 8388607, "too many objects")
    for stream in re.finditer(rb"stream(\r\n|\n|\r)", raw):
        hold("6.1.7", stream[1] != b"\r" or raw[stream.start() - 3 : stream.start()] == b"end", "stream keyword")


def device_colours(space):
    """DeviceRGB or DeviceGray, or a palette of DeviceRGB."""
    if isinstance(space, Array):
        return space[0] == Name.Indexed and space[1] == Name.DeviceRGB and len(bytes(space[3])) == 3 * (int(space[2]) + 1)
    return space in (Name.DeviceRGB, Name.DeviceGray)


def graphics(hold, document):
    pdf = document.pdf
    intents = pdf.Root.get("/OutputIntents", [])
    hold("6.2.3", len(intents) == 1 and intents[0].S == Name.GTS_PDFA1, "no output intent of its own")
    profile = intents[0].DestOutputProfile.read_bytes()
    hold("6.2.3", profile[12:16] == b"mntr" and profile[16:20] == b"RGB ", "the profile is not a monitor's in RGB")
    hold("6.2.3", profile[8] < 5 and len(profile) == int.from_bytes(profile[:4], "big"), "version or size of the profile")
    hold("6.2.3", int(intents[0].DestOutputProfile.N) == 3, "components of the profile")
    streams = document.pages + [s for streams in document.forms.values() for s in streams]
    for stream in streams:
        # No inline images (6.1.10), rendering intents (6.2.6), graphics states (6.2.5), shadings,
        # spot colours or other colour spaces (6.2.4) and no PostScript (6.2.9) among them.
        hold("6.2.2", stream.operators <= OPERATORS, f"operators {stream.operators - OPERATORS}")
        hold("6.1.13", stream.nesting <= 28, "graphics states nested too deep")
    for page in pdf.pages:
        hold("6.2.2", "/Resources" in page.obj, "a page without resources of its own")
        hold("6.2.5, 6.2.10", not set(page.obj.Resources.keys()) & {"/ExtGState", "/ColorSpace", "/Shading", "/Pattern"},
             "graphics states, patterns or colour spaces")
        hold("6.2.10", "/Group" not in page.obj, "a transparency group")
        box = [float(v) for v in page.obj.MediaBox]
        hold("6.1.13", all(3 <= box[i + 2] - box[i] <= 14400 for i in (0, 1)), "size of the page")
        hold("6.5.2", "/AA" not in page.obj, "actions of a page")
        hold("6.10", "/PresSteps" not in page.obj, "presentation steps")
    for thing in pdf.objects:
        if isinstance(thing, Stream) and thing.get("/Subtype") == Name.Image:
            hold("6.2.8", not set(thing.keys()) & {"/Alternates", "/OPI", "/SMask", "/Mask"}, "alternates or masks of an image")
            hold("6.2.8", thing.get("/Interpolate", False) is False, "an interpolated image")
            hold("6.2.4.3", device_colours(thing.ColorSpace), "colour space of an image")
            hold("6.2.8", int(thing.BitsPerComponent) == 8, "depth of an image")
            hold("6.2.6", "/Intent" not in thing, "rendering intent of an image")
            hold("6.2.8.3", thing.get("/Filter") != Name.JPXDecode, "JPEG 2000")
            if thing.get("/Filter") == Name.DCTDecode:
                data = thing.read_raw_bytes()
                hold("6.2.8", data[:2] == b"\xff\xd8" and data[-2:] == b"\xff\xd9", "a JPEG cut short")
                for kind in (b"Exif\0", b"http://ns.adobe.com/xap", b"Photoshop"):
                    hold("no metadata of the camera", kind not in data, f"{kind} in a photo")
        if isinstance(thing, Stream) and thing.get("/Subtype") == Name.Form:
            hold("6.2.9", not set(thing.keys()) & {"/OPI", "/PS", "/Ref", "/Subtype2"}, "PostScript or references in a form")
            hold("6.2.2", "/Resources" in thing, "a form without resources of its own")


def fonts(hold, document):
    pdf = document.pdf
    used = {}
    for page, stream in zip(pdf.pages, document.pages):
        for name, codes in stream.used.items():
            font = page.obj.Resources.Font[name]
            used.setdefault(font.objgen, (font, set()))[1].update(codes)
    for number, streams in document.forms.items():
        for annotation in pdf.pages[number].obj.Annots:
            if annotation.Subtype == Name.Widget:
                for stream in streams:
                    for name, codes in stream.used.items():
                        font = annotation.AP.N.Resources.Font[name]
                        used.setdefault(font.objgen, (font, set()))[1].update(codes)
    hold("6.2.11.4", used, "no font used")
    for font, codes in used.values():
        name = str(font.BaseFont)
        hold("6.2.11.2", font.Type == Name.Font and font.Subtype == Name.Type0, f"kind of {name}")
        hold("6.2.11.2", re.match(r"/[A-Z]{6}\+", name), f"{name} is cut but does not say so")
        hold("6.2.11.3.3", font.Encoding == Name("/Identity-H"), f"encoding of {name}")
        cid = font.DescendantFonts[0]
        system = cid.CIDSystemInfo
        hold("6.2.11.3.1", (str(system.Registry), str(system.Ordering)) == ("Adobe", "Identity") and int(system.Supplement) >= 0,
             f"character collection of {name}")
        hold("6.2.11.3.2", cid.Subtype == Name.CIDFontType2 and cid.get("/CIDToGIDMap") == Name.Identity, f"glyphs of {name}")
        descriptor = cid.FontDescriptor
        hold("6.2.11.4.1", "/FontFile2" in descriptor, f"{name} not embedded")
        hold("6.2.11.4.2", "/CIDSet" not in descriptor, f"{name} lists its glyphs, which nobody asked for")
        hold("6.2.11.2", font.BaseFont == cid.BaseFont == descriptor.FontName, f"names of {name}")
        program = descriptor.FontFile2.read_bytes()
        hold("6.2.11.2", int(descriptor.FontFile2.Length1) == len(program), f"length of {name}")
        face = TTFont(io.BytesIO(program), lazy=False)
        glyphs = face.getGlyphOrder()
        widths = {}
        at = 0
        listed = list(cid.W)
        while at < len(listed):
            first = int(listed[at])
            for i, width in enumerate(listed[at + 1]):
                widths[first + i] = float(width)
            at += 2
        units = face["head"].unitsPerEm
        characters = reading.to_unicode(font)
        for code in codes:
            hold("6.2.11.8", code != 0, f"{name} shows the glyph for what is missing")
            hold("6.1.13", code <= 65535, f"code {code} of {name}")
            hold("6.2.11.4.1", code < len(glyphs), f"{name} lacks glyph {code}")
            hold("6.2.11.5", code in widths and abs(widths[code] - face["hmtx"][glyphs[code]][0] * 1000 / units) <= 1,
                 f"width of glyph {code} of {name}")
            hold("14289-1, 7.21.7", characters.get(code, "\0") not in ("\0", "\ufeff", "\ufffe"),
                 f"glyph {code} of {name} without a character")
        hold("6.2.11.5", len(widths) == len(glyphs), f"{name} has {len(glyphs)} glyphs and {len(widths)} widths")


def interaction(hold, pdf):
    root = pdf.Root
    for page in pdf.pages:
        for annotation in page.obj.get("/Annots", []):
            kind = str(annotation.Subtype)
            hold("6.3.1", kind in ("/Link", "/Widget"), f"annotation {kind}")
            flags = int(annotation.get("/F", 0))
            hold("6.3.2", flags & 4 and not flags & (1 | 2 | 32 | 256), f"flags {flags} of {kind}")
            if kind == "/Widget":
                hold("6.3.3", "/AP" in annotation and set(annotation.AP.keys()) == {"/N"}, "looks of the field")
                hold("6.3.3", isinstance(annotation.AP.N, Stream), "looks of the field in several states")
                hold("6.4.1", not set(annotation.keys()) & {"/A", "/AA"}, "actions of the field")
                hold("14289-1, 7.18.4", str(annotation.get("/TU", "")), "the field says nothing")
            if "/A" in annotation:
                hold("6.5.1", annotation.A.S == Name.URI, "an action that is no link")
            if kind == "/Link":
                hold("14289-1, 7.18.5", str(annotation.get("/Contents", "")), "a link without words")
    form = root.get("/AcroForm", {})
    hold("6.4.1", form.get("/NeedAppearances", False) is False, "the form asks for looks")
    hold("6.4.2", "/XFA" not in form and "/NeedsRendering" not in root, "XFA")
    for key, clause in [("/AA", "6.5.2"), ("/Requirements", "6.11"), ("/OCProperties", "6.9"), ("/OpenAction", "6.5.1")]:
        hold(clause, key not in root, f"{key} in the catalog")
    hold("6.10", "/AlternatePresentations" not in root.get("/Names", {}), "alternate presentations")
    hold("6.5.1", "/JavaScript" not in root.get("/Names", {}), "JavaScript")


def metadata(hold, pdf):
    root = pdf.Root
    stream = root.get("/Metadata")
    hold("6.6.2.1", stream is not None and stream.Type == Name.Metadata and stream.Subtype == Name.XML, "no metadata")
    hold("ISO 16684-1", "/Filter" not in stream, "metadata are compressed")
    data = stream.read_bytes()
    head = data[: data.index(b"?>")]
    hold("6.6.2.1", b"bytes=" not in head and b"encoding=" not in head, "attributes of the packet")
    hold("6.6.2.1", data.rstrip().endswith(b"?>") and b"<?xpacket end=" in data[-40:], "end of the packet")
    hold("6.6.2.1", data.decode("utf-8"), "the packet is not in UTF-8")
    xml = ET.fromstring(data)
    # Every property is of a schema that ISO 19005-3 knows, or described by an extension schema.
    known = {NS[prefix] for prefix in ("dc", "xmp", "pdf", "pdfaid", "pdfaExtension")} | {"http://ns.adobe.com/xap/1.0/mm/"}
    known |= {uri.text for uri in xml.iterfind(".//pdfaSchema:namespaceURI", NS)}
    for described in xml.iterfind(".//rdf:RDF/rdf:Description", NS):
        for prop in described:
            hold("6.6.2.3.1", prop.tag[1:].split("}")[0] in known, f"property {prop.tag} of an unknown schema")

    def one(path):
        found = xml.findall(f".//{path}", NS)
        return found[0].text if len(found) == 1 else None

    hold("6.6.4", one("pdfaid:part") == "3" and one("pdfaid:conformance") == "B", "part or level")
    hold("14289-1, 5", one("pdfuaid:part") == "1", "part of ISO 14289")
    schema = xml.find(".//pdfaExtension:schemas/rdf:Bag/rdf:li", NS)
    hold("6.6.2.3", schema is not None and schema.find("pdfaSchema:namespaceURI", NS).text == NS["pdfuaid"]
         and schema.find("pdfaSchema:prefix", NS).text == "pdfuaid", "schema of the identifier")
    described = schema.find("pdfaSchema:property/rdf:Seq/rdf:li", NS)
    hold("6.6.2.3", {c.tag.split("}")[1] for c in described} == {"name", "valueType", "category", "description"},
         "description of the identifier")
    info = pdf.trailer.Info
    title = one("dc:title/rdf:Alt/rdf:li")
    hold("14289-1, 7.1", title, "no title")
    hold("6.6.3", title == str(info.Title) and one("dc:creator/rdf:Seq/rdf:li") == str(info.Author), "title or author differ")
    hold("6.6.3", one("pdf:Producer") == str(info.Producer) and one("xmp:CreatorTool") == str(info.Creator), "program differs")

    for key, name in [("xmp:CreateDate", "CreationDate"), ("xmp:ModifyDate", "ModDate")]:
        said, written = one(key), str(info[f"/{name}"])
        hold("6.6.3", re.sub(r"\D", "", said) == re.sub(r"\D", "", written), f"{key} {said} and {name} {written}")


def embedded(hold, pdf):
    root = pdf.Root
    associated = {f.objgen for f in root.get("/AF", [])}
    for name, file in pdf.attachments.items():
        spec = file.obj
        hold("6.8", "/F" in spec and "/UF" in spec, f"names of {name}")
        hold("6.8", str(spec.get("/AFRelationship")) in ("/Source", "/Data", "/Supplement"), f"relationship of {name}")
        hold("6.8", spec.objgen in associated, f"{name} is not associated with the document")
        stream = spec.EF.F
        hold("6.8", spec.Type == Name.Filespec and stream.Type == Name.EmbeddedFile, f"types of {name}")
        hold("6.8", re.match(r"/[\w.+-]+/[\w.+-]+$", str(stream.get("/Subtype"))), f"media type of {name}")
        hold("6.8", int(stream.Params.Size) == len(stream.read_bytes()) and "/ModDate" in stream.Params, f"size or date of {name}")
        hold("14289-1, 7.11", str(spec.get("/Desc", "")), f"{name} is not described")
    hold("6.8", len(associated) == len(pdf.attachments), "associated files and attachments differ")


def signature(hold, path, pdf):
    """What 6.4.3 asks of signatures: the whole file but the signature itself, one signer, in DER."""
    size = path.stat().st_size
    for field in pdf.Root.get("/AcroForm", {}).get("/Fields", []):
        if field.get("/FT") != Name.Sig or "/V" not in field:
            continue
        value = field.V
        start, first, second, rest = [int(n) for n in value.ByteRange]
        contents = bytes(value.Contents)
        hold("6.4.3", start == 0 and second + rest == size, "bytes that the signature leaves out")
        hold("6.4.3", second - first == 2 * len(contents) + 2, "the gap is not the signature alone")
        data = cms.ContentInfo.load(contents.rstrip(b"\0") + b"\0" * 3)["content"]
        hold("6.4.3", len(data["signer_infos"]) == 1 and len(data["certificates"]) >= 1, "signers or certificates")


def structure(hold, document):
    pdf = document.pdf
    root = pdf.Root
    hold("14289-1, 6.2", root.MarkInfo.Marked is True and not root.MarkInfo.get("/Suspects", False), "not marked")
    hold("14289-1, 7.2", re.match(r"[a-z]{2,3}(-[A-Za-z0-9]+)*$", str(root.Lang)), "no language")
    hold("14289-1, 7.1", root.ViewerPreferences.DisplayDocTitle is True, "the title is not shown")
    reached, level, heads = {}, 0, []
    tree = root.StructTreeRoot
    parents = dict(zip([int(n) for n in list(tree.ParentTree.Nums)[::2]], list(tree.ParentTree.Nums)[1::2]))
    for element, _, _ in document.elements():
        kind = str(element.S)[1:]
        hold("14289-1, 7.1", kind in STANDARD_TYPES, f"structure type {kind}")
        language = element.get("/Lang")
        if language is not None:
            hold("14289-1, 7.2", re.match(r"[a-z]{2,3}(-[A-Za-z0-9]+)*$", str(language)), f"language {language}")
        if kind == "Span":
            hold("14289-1, 7.2", language is not None and str(language) != str(root.Lang), "words without a language of their own")
        if kind[0] == "H" and kind[1:].isdigit():
            hold("14289-1, 7.4.2", int(kind[1:]) <= level + 1, f"H{level} is followed by {kind}")
            level = int(kind[1:])
            heads.append(kind)
        if kind == "Figure":
            hold("14289-1, 7.3", str(element.get("/Alt", "")).strip(), "a figure that says nothing")
        if kind == "TH":
            hold("14289-1, 7.5", element.A.Scope in (Name.Column, Name.Row), "a head without a scope")
        if kind == "Table":
            rows = [k for k in reading.kids(element) if k.S == Name.TR]
            hold("14289-1, 7.5", len({wide(row) for row in rows}) == 1, "rows of different length")
        if kind in ("Link", "Form"):
            hold("14289-1, 7.18", any(isinstance(k, Dictionary) and k.get("/Type") == Name.OBJR for k in reading.kids(element)),
                 f"{kind} without its annotation")
        for kid in reading.kids(element):
            if isinstance(kid, Dictionary) and kid.get("/Type") == Name.OBJR:
                key = int(kid.Obj.StructParent)
                hold("ISO 32000-1, 14.7.4.4", parents[key].objgen == element.objgen, "an annotation's parent differs")
            elif isinstance(kid, Dictionary) and "/S" in kid:
                hold("ISO 32000-1, 14.7.2", kid.P.objgen == element.objgen, "a parent differs")
    hold("14289-1, 7.4.2", heads[:1] == ["H1"] and heads.count("H1") == 1, f"headings {heads}")
    for page, mcid, element in document.contents():
        hold("ISO 32000-1, 14.7.4", (page, mcid) not in reached, f"content {mcid} of page {page + 1} reached twice")
        reached[page, mcid] = element
    for number, (page, stream) in enumerate(zip(pdf.pages, document.pages)):
        hold("14289-1, 7.18.3", page.obj.Tabs == Name.S, "order of tabs")
        owners = parents[int(page.obj.StructParents)]
        for mcid in {m for m, _ in stream.runs if m is not None}:
            hold("ISO 32000-1, 14.7.4", (number, mcid) in reached, f"content {mcid} of page {number + 1} not reached")
        for mcid, owner in enumerate(owners):
            hold("ISO 32000-1, 14.7.4.4", (number, mcid) in reached and reached[number, mcid].objgen == owner.objgen,
                 f"parent of content {mcid} of page {number + 1}")


def check(path):
    """Every clause over one file."""
    faults = Faults()
    document = reading.Document(path)
    for part, given in [
        (file_structure, (path, document.pdf)),
        (graphics, (document,)),
        (fonts, (document,)),
        (interaction, (document.pdf,)),
        (metadata, (document.pdf,)),
        (embedded, (document.pdf,)),
        (signature, (path, document.pdf)),
        (structure, (document,)),
    ]:
        try:
            part(faults.hold, *given)
        except (AttributeError, KeyError, IndexError) as error:
            faults.found.append(f"{part.__name__}: {error!r}")
    return faults


def elements(pdf, kind):
    def walk(element):
        if element.S == kind:
            yield element
        for kid in reading.kids(element):
            if isinstance(kid, Dictionary) and "/S" in kid:
                yield from walk(kid)

    return list(walk(pdf.Root.StructTreeRoot.K))


def widget(pdf):
    return next(a for page in pdf.pages for a in page.obj.get("/Annots", []) if a.Subtype == Name.Widget)


def swap_parents(pdf):
    owners = pdf.Root.StructTreeRoot.ParentTree.Nums[1]
    owners[0], owners[1] = owners[1], owners[0]


# A spoiled file, and the clause that must object.
SPOILED = [
    ("6.8: media type", lambda pdf: [a.obj.EF.F.__delitem__("/Subtype") for a in pdf.attachments.values()]),
    ("6.8: .* not associated", lambda pdf: pdf.Root.__setitem__("/AF", Array([]))),
    ("6.2.11.5: width", lambda pdf: pdf.pages[0].obj.Resources.Font["/R"].DescendantFonts[0].W[1].__setitem__(5, 999)),
    ("6.2.3: ", lambda pdf: pdf.Root.OutputIntents[0].__setitem__("/S", Name.GTS_PDFX)),
    ("6.3.2: flags", lambda pdf: widget(pdf).__setitem__("/F", 2)),
    ("interaction|6.3.3", lambda pdf: widget(pdf).__delitem__("/AP")),
    ("6.6.3: title", lambda pdf: pdf.trailer.Info.__setitem__("/Title", String("Another"))),
    ("14289-1, 7.3: a figure", lambda pdf: elements(pdf, Name.Figure)[0].__delitem__("/Alt")),
    ("structure: .*|14289-1, 7.5", lambda pdf: elements(pdf, Name.TH)[0].__delitem__("/A")),
    ("14289-1, 7.5: rows", lambda pdf: elements(pdf, Name.TR)[1].K.__delitem__(0)),
    ("14289-1, 7.4.2: H", lambda pdf: elements(pdf, Name.H2)[0].__setitem__("/S", Name.H3)),
    ("structure: .*Lang|14289-1, 7.2", lambda pdf: pdf.Root.__delitem__("/Lang")),
    ("ISO 32000-1, 14.7.4.4: parent", swap_parents),
    ("ISO 32000-1, 14.7.4: content .* not reached", lambda pdf: pdf.Root.StructTreeRoot.K.K.__delitem__(3)),
    ("6.1.12: permissions", lambda pdf: pdf.Root.Perms.__setitem__("/Other", Dictionary())),
    ("6.2.11.3.1: ", lambda pdf: pdf.pages[0].obj.Resources.Font["/R"].DescendantFonts[0].CIDSystemInfo.__setitem__("/Ordering", String("Japan1"))),
    ("6.2.11.3.2: ", lambda pdf: pdf.pages[0].obj.Resources.Font["/R"].DescendantFonts[0].__delitem__("/CIDToGIDMap")),
    ("6.4.3: bytes", lambda pdf: None),  # written anew, the signature's place has moved
    ("6.6.2.3.1: property", lambda pdf: pdf.Root.Metadata.write(
        pdf.Root.Metadata.read_bytes().replace(b"<dc:format>", b"<x:a xmlns:x='urn:x'>b</x:a><dc:format>"))),
    ("6.5.2: /AA", lambda pdf: pdf.Root.__setitem__("/AA", Dictionary())),
]


def prove(path, folder):
    """The checks object to spoiled files, each by the clause that was broken."""
    for wanted, spoil in SPOILED:
        spoiled = folder / "spoiled.pdf"
        with pikepdf.open(path) as pdf:
            spoil(pdf)
            pdf.save(spoiled)
        found = check(spoiled).found
        if not any(re.match(wanted, fault) for fault in found):
            yield f"the check of “{wanted}” did not object to a spoiled file: {found}"


def main():
    paths = reading.files(sys.argv)
    wrong = held = 0
    with tempfile.TemporaryDirectory() as folder:
        for fault in prove(next(p for p in paths if "draft" not in p.stem), pathlib.Path(folder)):
            print(fault)
            wrong += 1
    for path in paths:
        faults = check(path)
        for fault in dict.fromkeys(faults.found):
            print(f"{path.name}: {fault}")
        wrong += len(faults.found)
        held += faults.held
    print(f"{len(paths)} files, {held} checks of clauses, {wrong} faults")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
