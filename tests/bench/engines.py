#!/usr/bin/env python3
"""A certificate beside a like document made by two general document engines, in one run.

    cargo build --profile dist
    python3 -m venv target/bench && target/bench/bin/pip install -r tests/bench/requirements.txt
    target/bench/bin/python tests/bench/engines.py target/dist/warmlug

The like document has the same words, headings, lists and tables as the certificate, read from its
structure tree, and for each figure a drawing of the same number of lines. Ours is the whole
process from the visit file: reading, findings, layout, tags, PDF/A-3, attachments, signature. The
others get the finished text, do not sign, and carry nothing inside; Typst writes tags and
PDF/A-3b and embeds its fonts, ReportLab none of it. Their whole process includes the start of
Python, so the engine alone is timed too: the median of later documents in one process. The last
rows have two photos of 12 megapixels, passed through whole; ours scaled for print as well. Raw is
what nobody can avoid: reading and hashing the photos, hashing and writing the file. A benchmark,
not a test.
"""

import json
import os
import pathlib
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "peers"))

from certificate import raw  # noqa: E402

RUNS = 20
EXAMPLES = ["limited-visit", "townhouse-return"]
PHOTOS, SCALED = "with two photos", "warmlug scaled"
# A chart: lines of so many points, and so many labels.
LINES, POINTS, LABELS = 12, 30, 14


def blocks(path):
    """The certificate as (kind, content), read from its structure tree."""
    import reading

    document = reading.Document(path)

    def words(element, page):
        page = element.get("/Pg", page)
        said = []
        for kid in reading.kids(element):
            if isinstance(kid, int):
                runs = document.pages[document.numbers[page.objgen]].runs
                said += [text for mcid, text in runs if mcid == kid]
            elif "/S" in kid:
                said.append(words(kid, page))
        return " ".join(" ".join(said).split())

    def walk(element, page):
        page = element.get("/Pg", page)
        for kid in reading.kids(element):
            if isinstance(kid, int) or "/S" not in kid:
                continue
            role = str(kid.S)[1:]
            if role in ("H1", "H2", "H3"):
                yield "heading", (int(role[1]), words(kid, page))
            elif role == "Table":
                rows = [r for r in reading.kids(kid) if str(r.S) == "/TR"]
                caption = [words(c, page) for c in reading.kids(kid) if str(c.S) == "/Caption"]
                yield "paragraph", " ".join(caption)
                yield "table", [[words(c, r.get("/Pg", page)) for c in reading.kids(r)] for r in rows]
            elif role == "LI":
                yield "paragraph", words(kid, page)
            elif role == "Figure":
                yield "figure", str(kid.get("/Alt", ""))
            elif role in ("P", "Form"):
                yield "paragraph", words(kid, page)
            else:
                yield from walk(kid, page)

    return [b for b in walk(document.root.StructTreeRoot.K, None) if b[1]]


TYPST = '''
import json, sys, typst
def write(blocks):
    quote = lambda t: json.dumps(t, ensure_ascii=False)
    out = ['#set page(paper: "us-letter", margin: 60pt, footer: context [#counter(page).display()])',
           '#set text(size: 9.5pt, lang: "en")', '#set document(title: "Certificate", author: "Firm")']
    for kind, content in blocks:
        if kind == "heading":
            out.append(f"#heading(level: {content[0]}, {quote(content[1])})")
        elif kind == "paragraph":
            out.append(f"#par({quote(content)})")
        elif kind == "table":
            wide = max(map(len, content))
            cells = ", ".join(quote(c) for row in content[1:] for c in row + [""] * (wide - len(row)))
            head = ", ".join(quote(c) for c in content[0] + [""] * (wide - len(content[0])))
            out.append(f"#text(size: 8pt, table(columns: {wide}, stroke: 0.4pt, table.header({head}), {cells}))")
        elif kind == "photo":
            out.append(f"#image({quote(content)}, width: 400pt, alt: {quote(content)})")
        else:
            lines = "".join(
                f"#place(curve(stroke: 0.8pt, curve.move((0pt, {i * 9}pt)), "
                + ", ".join(f"curve.line(({j * 12}pt, {i * 9 + j % 7}pt))" for j in range(1, POINTS)) + "))"
                for i in range(LINES))
            labels = "".join(f"#place(dx: {i * 25}pt, dy: 120pt, text(size: 8pt, {quote(str(i * 10))}))" for i in range(LABELS))
            out.append(f"#figure(alt: {quote(content)}, block(width: 400pt, height: 140pt)[{lines}{labels}])")
    return "\\n\\n".join(out)
def make(blocks):
    import pathlib
    source = pathlib.Path(sys.argv[1]).with_suffix(".typ")
    source.write_text(write(blocks))
    return typst.compile(str(source), root=str(source.parent), pdf_standards=["a-3b"])
'''

REPORTLAB = '''
import io, json, pathlib, sys
from reportlab.platypus import SimpleDocTemplate, Paragraph, Table, TableStyle, Flowable, Image
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.lib.pagesizes import letter
from xml.sax.saxutils import escape
class Figure(Flowable):
    def wrap(self, *room):
        return 400, 140
    def draw(self):
        for i in range(LINES):
            path = self.canv.beginPath()
            path.moveTo(0, i * 9 + 12)
            for j in range(1, POINTS):
                path.lineTo(j * 12, i * 9 + 12 + j % 7)
            self.canv.drawPath(path)
        for i in range(LABELS):
            self.canv.drawString(i * 25, 0, str(i * 10))
def make(blocks):
    styles = getSampleStyleSheet()
    small, body = styles["BodyText"].clone("small", fontSize=8, leading=10), styles["BodyText"]
    story = []
    for kind, content in blocks:
        if kind == "heading":
            story.append(Paragraph(escape(content[1]), styles[f"Heading{content[0]}"]))
        elif kind == "paragraph":
            story.append(Paragraph(escape(content), body))
        elif kind == "table":
            wide = max(map(len, content))
            rows = [[Paragraph(escape(c), small) for c in row + [""] * (wide - len(row))] for row in content]
            story.append(Table(rows, repeatRows=1, style=TableStyle([("GRID", (0, 0), (-1, -1), 0.4, "black")])))
        elif kind == "photo":
            story.append(Image(str(pathlib.Path(sys.argv[1]).with_name(content)), 400, 300))
        else:
            story.append(Figure())
    out = io.BytesIO()
    SimpleDocTemplate(out, pagesize=letter, title="Certificate", author="Firm").build(story)
    return out.getvalue()
'''

RUN = '''
import statistics, time
blocks = json.load(open(sys.argv[1]))
pdf = make(blocks)
open(sys.argv[2], "wb").write(pdf)
if len(sys.argv) > 3:
    times = []
    for i in range(int(sys.argv[3])):
        # Another text each time, so that nothing is kept from the one before.
        blocks[0] = ["paragraph", f"Certificate {i}"]
        start = time.process_time()
        make(blocks)
        times.append((time.process_time() - start) * 1000)
    print(statistics.median(times))
'''


def processor_time(command, env):
    """Median processor time of whole processes in milliseconds."""
    times = []
    for _ in range(RUNS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(1000 * (after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime))
    return statistics.median(times)


def pages(path):
    import pikepdf

    with pikepdf.open(path) as pdf:
        return len(pdf.pages)


def photo(path, seed):
    """A picture of 4000 by 3000 pixels with grain, as cameras write them: 2 to 3 MB."""
    from PIL import Image

    light = Image.linear_gradient("L").resize((4000, 3000)).rotate(180 * seed)
    grain = Image.effect_noise((1000, 750), 60).resize((4000, 3000), Image.Resampling.BICUBIC)
    Image.blend(light, grain, 0.5).convert("RGB").save(path, quality=80)


def row(name, document, whole, engine, path):
    size = path.stat().st_size
    alone = f"{engine:9.1f}" if engine else f"{'':9}"
    print(f"{document:18}{name:14}{whole:9.1f}{alone}{pages(path):7}{size:10,}{size // pages(path):9,}")


def run(program):
    """Prints the table; gives processor milliseconds by document and maker, raw cost among them."""
    told = {}
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        env = dict(os.environ, XDG_CONFIG_HOME=str(folder / "config"))
        shutil.copytree(ROOT / "examples", folder / "examples", ignore=shutil.ignore_patterns("*.pdf"))
        print(f"{'':32}{'cpu ms':>9}{'engine':>9}{'pages':>7}{'bytes':>10}{'a page':>9}")
        for example, photos in [*((e, []) for e in EXAMPLES), (EXAMPLES[0], ["photo0.jpg", "photo1.jpg"])]:
            visit = folder / "examples" / example / "visit.yaml"
            text = re.sub(r"(?ms)^photos:.*?(?=^\S|\Z)", "", visit.read_text())
            text = re.sub(r"(?m)^.*\b(logo|signature):.*$", "", text)
            for seed, name in enumerate(photos):
                photo(visit.with_name(name), seed)
                shutil.copy(visit.with_name(name), folder / name)
            listed = "".join(f"  - {{ id: {name[:-4]}, file: {name}, caption: Panel {name} }}\n" for name in photos)
            bare = visit.with_name("bare.yaml")
            bare.write_text(text + ("photos:\n" + listed if photos else ""))
            document = PHOTOS if photos else example
            ours = folder / "ours.pdf"
            command = [program, "certify", str(bare), "-o", str(ours), "--force"]
            makers = told[document] = {}

            def made_by(name, command, path, alone=None):
                makers[name] = processor_time(command, env)
                row(name, document, makers[name], alone, path)

            originals = [visit.with_name(name) for name in photos]
            if photos:
                made_by(SCALED, command, ours)
                makers["raw, scaled"] = raw(originals, ours, folder)
                command.append("--full-photos")
            made_by("warmlug", command, ours)
            makers["raw"] = raw(originals, ours, folder)
            print(f"{document:18}{'raw':14}{makers['raw']:9.1f}")
            content = folder / "content.json"
            content.write_text(json.dumps(blocks(ours) + [["photo", name] for name in photos]))
            sizes = f"LINES, POINTS, LABELS = {LINES}, {POINTS}, {LABELS}\n"
            for name, code in [("typst", TYPST), ("reportlab", REPORTLAB)]:
                script, made = folder / f"like_{name}.py", folder / f"{name}.pdf"
                script.write_text(sizes + code + RUN)
                command = [sys.executable, str(script), str(content), str(made)]
                done = subprocess.run([*command, str(RUNS)], env=env, capture_output=True, text=True, check=True)
                made_by(name, command, made, float(done.stdout))
    return told


if __name__ == "__main__":
    run(str(pathlib.Path(sys.argv[1]).resolve()))
