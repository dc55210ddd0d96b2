#!/usr/bin/env python3
"""What `verify` accepts shows the same text in five readers.

    text.py WARMLUG FOLDER PDFJS      with NAME.pdf (signed) in FOLDER; PDFJS is the folder of pdfjs-dist

A file that is read in two ways can show one reader what it hides from another. Text is taken out with
poppler, PDFium, pdf.js, MuPDF and Ghostscript: of a certificate as sealed, countersigned, with a time-stamp,
with validation data, with all of them, stamped later, and replacing another; and of page 1 alone and an index. In each reader
the page texts must be those of the sealed file, and between readers every page must have the same characters (white
space and order aside, which readers choose; ligatures are resolved). What another program saved again must be refused,
whatever it shows. Then a page is emptied behind the seal in ways that some readers follow and others
do not: `verify` must refuse each of these files, and some reader must have been misled, or the check shows
nothing. Needs poppler-utils, mupdf-tools and ghostscript. Prints "N passed, N failed".
"""

import collections
import io
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unicodedata

import pikepdf
import pypdfium2
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from hostile import Base, stream, update
from ledger import close, expect, run
from timestamps import Authority


def poppler(path):
    text = subprocess.run(["pdftotext", "-q", "-raw", "-enc", "UTF-8", path, "-"], capture_output=True, timeout=60).stdout
    return text.decode().split("\f")[:-1]


def pdfium(path, flat=True):
    with pypdfium2.PdfDocument(path) as pdf:
        pages = []
        if flat:
            pdf.init_forms()
        for page in pdf:
            # The looks of the seal's field become a part of the page, which shows after loading it again.
            if flat and page.flatten() == pypdfium2.raw.FLATTEN_SUCCESS:
                page = pdf[len(pages)]
            pages.append(page.get_textpage().get_text_bounded())
        return pages


def pdfium_contents(path):
    return pdfium(path, flat=False)


def pdfjs(path):
    out = subprocess.run(["node", "--no-warnings", HERE / "text.mjs", PDFJS, path], capture_output=True, timeout=60).stdout
    return json.loads(out) if out else []


def mupdf(path):
    text = subprocess.run(["mutool", "draw", "-q", "-F", "txt", path], capture_output=True, timeout=60).stdout
    return text.decode().split("\f")[:-1]


def ghostscript(path):
    command = ["gs", "-q", "-dBATCH", "-dNOPAUSE", "-dSAFER", "-sDEVICE=txtwrite", "-dTextFormat=2", "-sOutputFile=-", path]
    pages = []
    for number in range(1, len(pdfium(path)) + 1):
        page = [*command[:5], f"-dFirstPage={number}", f"-dLastPage={number}", *command[5:]]
        pages.append(subprocess.run(page, capture_output=True, timeout=120).stdout.decode("utf-16-le"))
    return pages


# Those that read the looks of the seal's field with the page, and those that read the page alone.
READERS = [poppler, pdfium, mupdf, ghostscript, pdfium_contents, pdfjs]
LIKE = {"pdfjs": "pdfium_contents", "pdfium_contents": None}
HERE = pathlib.Path(__file__).resolve().parent
PDFJS = None


def characters(page):
    """The characters of a page, each as often as it is there. Hyphens are left out: at the end of a line each
    reader has its own way with them."""
    text = unicodedata.normalize("NFKC", page)
    hyphens = "-\u00ad\u2010\ufffe"
    return collections.Counter(c for c in text if not c.isspace() and c not in hyphens and unicodedata.category(c)[0] != "C")


def joined(counted):
    """The same with the two bytes of characters outside of Latin-1 joined by OR, as Ghostscript 10.00 prints them."""
    out = collections.Counter()
    for c, n in counted.items():
        out[chr(ord(c) >> 8 | ord(c) & 0xFF)] += n
    return out


def as_ghostscript(page):
    return joined(characters(page.replace("\u2026", chr(0x20 | 0x26))))


def told(one, two):
    return f"only here {dict(one - two)}, only there {dict(two - one)}"


# MuPDF prints a word of its own in each place that is left for a countersignature.
PLACES = {"Client", "Landlord", "Reviewer", "SIGN"}


def without_places(page):
    """The page without the lines that have nothing, or nothing but such places."""
    return "\n".join(line for line in page.split("\n") if not PLACES.issuperset(line.split()))


def same_everywhere(name, path, sealed):
    """The texts of a file in every reader, compared with those of the sealed file and each other."""
    texts = {}
    for reader in READERS:
        pages = reader(path)
        texts[reader.__name__] = pages
        expect(f"{name}: {reader.__name__} reads pages", pages and all(characters(page) for page in pages), len(pages))
        if sealed:
            before = sealed[reader.__name__]
            if reader is mupdf:
                pages, before = [[without_places(page) for page in text] for text in (pages, before)]
            expect(f"{name}: {reader.__name__} shows what was sealed", pages == before)
    for reader, pages in texts.items():
        like = LIKE.get(reader, "poppler")
        expect(f"{name}: {reader} has as many pages", len(pages) == len(texts["poppler"]), len(pages))
        for number, page in enumerate(pages, 1):
            if like is not None:
                one, two = texts[like][number - 1], page
                if reader == "mupdf" and "SIGN" in two.split():
                    one, two = without_places(one), without_places(two)
                other = as_ghostscript(one) == joined(characters(two))
                one, two = characters(one), characters(two)
                same = one == two or (reader == "ghostscript" and other)
                expect(f"{name}, page {number}: {reader} shows what {like} shows", same, told(one, two))
    return texts


def misleading(program, path, folder):
    """Files with an emptied page behind the seal, which readers understand in different ways."""
    base = Base(path.read_bytes())
    number = base.content_ref.idnum
    whole = update(base, {number: stream(b"")})
    behind = whole[len(base.data) :]
    loose = b"\n%d 0 obj\n%s\nendobj\n" % (number, stream(b""))
    variants = {
        "update": whole,
        "no-table": base.data + loose + b"startxref\n0\n%%EOF\n",
        "no-table-at-all": base.data + loose,
        "negative-size": base.data + behind.replace(b"/Size ", b"/Size -", 1),
        "nul": base.data + behind.replace(b"startxref\n", b"startxref\0"),
        "form-feed": base.data + behind.replace(b"startxref\n", b"startxref\f"),
        "head": base.data + behind.replace(b"%d 0 obj" % number, b"%d 0obj " % number, 1),
        "wrong-place": base.data + loose + base.data[base.data.rindex(b"startxref") :].replace(b"%d" % base.startxref, b"7"),
    }
    honest = {reader.__name__: [characters(page) for page in reader(path)] for reader in READERS}
    misled = set()
    for name, data in variants.items():
        forged = folder / f"misleading-{name}.pdf"
        forged.write_bytes(data)
        code, said = run(program, "verify", "--no-known", forged)
        expect(f"misleading {name}: verify refuses it", code == 1, said)
        for reader in READERS:
            try:
                pages = [characters(page) for page in reader(forged)]
            except Exception:
                continue  # a reader that gives up shows nothing
            if pages != honest[reader.__name__]:
                misled.add((reader.__name__, name))
    print("misled:", ", ".join(f"{reader} by {name}" for reader, name in sorted(misled)))
    expect("every reader follows some of these files", {reader for reader, _ in misled} == set(honest), misled)


def saved_again(program, path, folder, texts):
    """The file as other programs save it: whole, or with an update of their own."""
    files = {name: folder / f"{path.stem}-{name}.pdf" for name in ("qpdf", "linear", "pikepdf", "mupdf", "ghostscript", "poppler")}
    for name, command in {
        "qpdf": ["qpdf", path, files["qpdf"]],
        "linear": ["qpdf", "--linearize", path, files["linear"]],
        "mupdf": ["mutool", "clean", path, files["mupdf"]],
        "ghostscript": ["gs", "-q", "-dBATCH", "-dNOPAUSE", "-sDEVICE=pdfwrite", f"-sOutputFile={files['ghostscript']}", path],
        "poppler": ["pdftocairo", "-pdf", path, files["poppler"]],
    }.items():
        subprocess.run(command, capture_output=True, timeout=120)
        expect(f"{path.stem}: {name} saves it", files[name].exists())
    with pikepdf.open(path) as pdf:
        pdf.save(files["pikepdf"])
    for what in ("information", "metadata"):
        writer = IncrementalPdfFileWriter(io.BytesIO(path.read_bytes()))
        if what == "information":
            writer.set_info(writer.add_object(generic.DictionaryObject({"/Producer": generic.TextStringObject("Another program")})))
        else:
            packet = writer.root["/Metadata"]
            data = packet.data.replace(b"warmlug", b"another")
            writer.root["/Metadata"] = writer.add_object(generic.StreamObject(packet, stream_data=data))
            writer.update_root()
        files[what] = folder / f"{path.stem}-{what}.pdf"
        with files[what].open("wb") as out:
            writer.write(out)
        for reader in READERS:
            expect(f"{path.stem}, {what}: {reader.__name__} shows what was sealed", reader(files[what]) == texts[reader.__name__])
    for name, file in files.items():
        code, said = run(program, "verify", "--no-known", "--allow-uncompared", file)
        expect(f"{path.stem}, saved again by {name}: verify refuses it", code == 1 and "proved:\n- nothing" in said.replace("PROVED", "proved"), said)


def main():
    global PDFJS
    program, out, PDFJS = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3]).resolve()
    visit = HERE.parents[1] / "examples" / "limited-visit" / "visit.yaml"
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary)

        def accepted(name, path):
            code, said = run(program, "verify", "--no-known", "--allow-uncompared", path)
            expect(f"{name}: verify accepts it", code == 0, said)

        def make(name, *command):
            path = folder / f"{name}.pdf"
            code, said = run(program, *command, "-o", path)
            expect(f"{name}: made", code == 0, said)
            accepted(name, path)
            return path

        client = ["--as", "client", "--name", "Amal Okafor", "--reason", "No objection (2 obj)"]
        for path in sorted(out.glob("*.pdf")):
            if path.stem.endswith("-draft"):
                continue
            accepted(path.stem, path)
            texts = same_everywhere(path.stem, path, None)
            if path.stem in ("limited-visit", "townhouse-first"):
                signed = make(f"{path.stem}-countersigned", "countersign", path, *client)
                same_everywhere(signed.stem, signed, texts)
            if path.stem == "limited-visit":
                saved_again(program, path, folder, texts)
        authority = Authority(folder)
        authority.issue_identity()
        authority.answer = lambda request: (200, authority.stamp(request))
        server = authority.serve()
        url = f"http://127.0.0.1:{server.server_address[1]}/"
        issued = ["--identity", folder / "ines.pem", "--key", folder / "ines.key"]
        stamped = make("stamped", "certify", visit, *issued, "--timestamp", url, "--timestamp-required")
        same_everywhere("stamped", stamped, None)
        data = make("validation-data", "certify", visit, *issued, "--crl", folder / "root.crl")
        texts = same_everywhere("validation-data", data, None)
        both = make("all", "countersign", data, *client, "--timestamp", url, "--timestamp-required")
        same_everywhere("all", both, texts)
        later = make("stamped-later", "stamp", both, "--timestamp", url)
        same_everywhere("stamped-later", later, texts)
        # One that replaces another, page 1 of it alone, and an index of both.
        code, said = run(program, "verify", "--no-known", "--format", "json", stamped)
        before = json.loads(said)["certificate"]
        amended = folder / "amended.yaml"
        text = visit.read_text().replace(f"number: {before['number']}", f"number: {before['number']}-A", 1)
        line = f"  replaces: {{ number: {before['number']}, sha256: {before['sha256']} }}\n"
        amended.write_text(text.replace("visit:\n", "visit:\n" + line, 1))
        shutil.copytree(visit.parent / "photos", folder / "photos")
        whole = make("amended", "certify", amended, *issued)
        same_everywhere("amended", whole, None)
        code, said = run(program, "extract", whole, "--first-page", *issued, "-o", folder / "page.pdf")
        expect("page 1: made", code == 0, said)
        code, said = run(program, "verify", "--no-known", folder / "page.pdf")
        expect("page 1: said to be an extract", code == 1 and said.startswith("Extract; ask for the whole certificate"), said)
        same_everywhere("page 1", folder / "page.pdf", None)
        code, said = run(program, "register", whole, stamped, "--allow-uncompared", "--no-known", "--index", folder / "index", *issued)
        expect("index: made", (folder / "index.pdf").exists(), said)
        code, said = run(program, "verify", "--no-known", folder / "index.pdf")
        expect("index: said to be one", code == 1 and said.startswith("Index of "), said)
        same_everywhere("index", folder / "index.pdf", None)
        server.shutdown()
        misleading(program, out / "limited-visit.pdf", folder)
    close()


if __name__ == "__main__":
    main()
