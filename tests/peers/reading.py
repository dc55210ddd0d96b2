"""What a PDF says, read by pikepdf: text by marked content, by structure, and font by font.

Shared by the checks beside it; knows PDF, nothing of warmlug.
"""

import re

import pikepdf
from pikepdf import Name

HEX = re.compile(rb"<([0-9A-Fa-f]+)>")
RANGE = re.compile(rb"<([0-9A-Fa-f]+)><([0-9A-Fa-f]+)>\[([^]]*)\]")


def to_unicode(font):
    """The font's map from two-byte codes to characters."""
    cmap = font.ToUnicode.read_bytes()
    chars = {}
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", cmap, re.S):
        for first, last, listed in RANGE.findall(block):
            values = HEX.findall(listed)
            first, last = int(first, 16), int(last, 16)
            assert len(values) == last - first + 1 and first >> 8 == last >> 8, "a range that does not fit"
            for i, value in enumerate(values):
                chars[first + i] = bytes.fromhex(value.decode()).decode("utf-16-be")
    return chars


def codes(operand):
    data = bytes(operand)
    assert len(data) % 2 == 0, "a string of two-byte codes has an odd length"
    return [data[i] << 8 | data[i + 1] for i in range(0, len(data), 2)]


class Stream:
    """One content stream: its runs of text in order, each with its marked content."""

    def __init__(self, owner, resources):
        self.runs = []  # (mcid or None, text)
        self.coloured = []  # (mcid or None, text, its colour)
        self.used = {}  # font resource name -> codes
        self.nesting = 0  # deepest q
        self.operators = set()
        fonts = resources.get("/Font", {})
        maps = {name: to_unicode(font) for name, font in fonts.items()}
        font, stack, depth = None, [], 0
        colour, kept = (0.0, 0.0, 0.0), []
        for operands, operator in pikepdf.parse_content_stream(owner):
            operator = str(operator)
            self.operators.add(operator)
            if operator == "q":
                depth += 1
                kept.append(colour)
                self.nesting = max(self.nesting, depth)
            elif operator == "Q":
                depth -= 1
                colour = kept.pop()
            elif operator == "rg":
                colour = tuple(float(v) for v in operands)
            elif operator in ("BDC", "BMC"):
                properties = operands[1] if operator == "BDC" else {}
                stack.append((str(operands[0]), properties.get("/MCID")))
            elif operator == "EMC":
                stack.pop()
            elif operator == "Tf":
                font = str(operands[0])
            elif operator == "Tj":
                run = codes(operands[0])
                self.used.setdefault(font, set()).update(run)
                assert stack or "/Group" not in resources, "text outside of marked content"
                mcid = next((m for _, m in reversed(stack) if m is not None), None)
                artifact = bool(stack) and stack[-1][0] == "/Artifact"
                assert mcid is None or not artifact, "an artifact with a content number"
                number, text = None if mcid is None else int(mcid), "".join(maps[font][c] for c in run)
                self.runs.append((number, text))
                self.coloured.append((number, text, colour))
            elif operator in ("TJ", "'", '"'):
                raise AssertionError(f"an operator this reader does not know: {operator}")
        assert not stack and depth == 0, "unbalanced marked content or graphics state"


class Document:
    """A whole file."""

    def __init__(self, path):
        self.pdf = pikepdf.open(path)
        self.root = self.pdf.Root
        self.pages = [Stream(page, page.obj.Resources) for page in self.pdf.pages]
        self.forms = {}  # page -> streams of its widgets' looks
        for number, page in enumerate(self.pdf.pages):
            for annotation in page.obj.get("/Annots", []):
                if annotation.Subtype == Name.Widget and "/AP" in annotation:
                    look = annotation.AP.N
                    self.forms.setdefault(number, []).append(Stream(look, look.Resources))
        self.numbers = {page.obj.objgen: i for i, page in enumerate(self.pdf.pages)}

    def in_stream_order(self, page):
        """Characters of a page as its content stream shows them, widgets after the page."""
        streams = [self.pages[page]] + self.forms.get(page, [])
        return "".join(text for stream in streams for _, text in stream.runs)

    def elements(self):
        """Structure elements, depth first: (element, its page, depth)."""

        def walk(element, page, depth):
            page = element.get("/Pg", page)
            yield element, page, depth
            for kid in kids(element):
                if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                    yield from walk(kid, page, depth + 1)

        yield from walk(self.root.StructTreeRoot.K, None, 0)

    def contents(self):
        """Marked contents in the order of the structure: (page, mcid, element)."""

        def walk(element, page):
            page = element.get("/Pg", page)
            for kid in kids(element):
                if isinstance(kid, int):
                    yield self.numbers[page.objgen], kid, element
                elif "/S" in kid:
                    yield from walk(kid, page)
                elif kid.get("/Type") == Name.MCR:
                    yield self.numbers[kid.get("/Pg", page).objgen], int(kid.MCID), element

        yield from walk(self.root.StructTreeRoot.K, None)

    def in_structure_order(self):
        """Characters page by page as the structure tells them."""
        said = {}
        for page, mcid, _ in self.contents():
            said.setdefault(page, []).append(
                "".join(text for number, text in self.pages[page].runs if number == mcid))
        return {page: "".join(parts) for page, parts in said.items()}


def kids(element):
    kid = element.get("/K")
    if kid is None:
        return []
    return list(kid) if isinstance(kid, pikepdf.Array) else [kid]


def files(arguments):
    """The PDF files to read: those of the folder given, and of the gallery."""
    import pathlib

    folder = pathlib.Path(arguments[1])
    gallery = pathlib.Path(__file__).resolve().parents[2] / "target" / "tmp" / "gallery"
    found = sorted(folder.glob("*.pdf")) + sorted(gallery.glob("*.pdf"))
    if not found:
        raise SystemExit(f"no PDF in {folder} or {gallery}: run `cargo test --test compose gallery` and `tests/peers/run` first")
    return found
