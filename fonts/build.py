#!/usr/bin/env python3
"""Rebuild the two embedded faces and the table of characters they print.

    python3 fonts/build.py

Needs Python 3.10 and npm; fetches the pinned releases below, nothing else. The faces are
Source Sans 3 (SIL Open Font License 1.1), reduced to the repertoire below, without hinting and
layout tables, composite glyphs taken apart, glyphs in the order of their characters. The licence
reserves the name "Source" for the original, so the reduced faces carry a name of their own.
"""

import hashlib
import pathlib
import subprocess
import sys
import tarfile
import tempfile
import venv

FONTTOOLS = "fonttools==4.68.0"
PACKAGE = "source-sans@3.52.0"
SHA256 = "49cf78ddd79b436591ee696785222b54ff28102922e3d3df297fe382d7fdfa88"
FAMILY = "Warmlug Sans"
FACES = {"Regular": ("TTF/SourceSans3-Regular.ttf", 400), "Semibold": ("TTF/SourceSans3-Semibold.ttf", 600)}

HERE = pathlib.Path(__file__).resolve().parent
TABLE = HERE.parent / "src" / "typeset" / "repertoire.rs"


def repertoire():
    """Code points that a certificate can print, ascending."""
    wanted = set(range(0x20, 0x7F)) | set(range(0xA0, 0x180))  # Latin to Extended-A
    # The soft hyphen (U+00AD) is drawn where a word is divided: a reader puts the word together again.
    wanted |= {0x192, 0x1A0, 0x1A1, 0x1AF, 0x1B0, 0x218, 0x219, 0x21A, 0x21B, 0x2BC, 0x2C6, 0x2DA, 0x2DC}
    wanted |= set(range(0x1E80, 0x1E86)) | {0x1E9E} | set(range(0x1EA0, 0x1EFA))  # Welsh, German, Vietnamese
    wanted |= set(map(ord, "ƁƆƊƎƏƐƷǍǎǏǐǑǒǓǔǦǧǪǫǮǯǴǵǸǹɓɔɖɗǝəɛʒ"))  # Azerbaijani, Pinyin, some of Africa
    wanted |= set(range(0x388, 0x3CF)) - {0x38B, 0x38D, 0x3A2}  # Greek with its accents
    wanted |= set(range(0x400, 0x460))  # Cyrillic, and below it the letters of further languages
    wanted |= set(map(ord, "ҐґҒғҖҗҘҙҚқҠҡҢңҪҫҮүҰұҲҳҶҷҺһӀӁӂӃӄӇӈӏӐӑӔӕӖӗӘәӢӣӦӧӨөӮӯӲӳӶӷ"))
    wanted |= set(map(ord, "–—‘’‚“”„†‡•…‰′″‹›⁄‐‑\u2007\u2009\u202f"))
    wanted |= set(map(ord, "€№™Ω℮∂∆−√∞≈≠≤≥←↑→↓↔⅓⅔⅛⅜⅝⅞"))
    wanted |= set(map(ord, "⁰⁴⁵⁶⁷⁸⁹⁺⁻₀₁₂₃₄₅₆₇₈₉✓"))
    return sorted(wanted)


def original(folder):
    """The pinned package, its digest checked, unpacked in `folder`."""
    subprocess.run(["npm", "pack", "--silent", PACKAGE], cwd=folder, check=True, stdout=subprocess.DEVNULL)
    archive = next(folder.glob("*.tgz"))
    digest = hashlib.sha256(archive.read_bytes()).hexdigest()
    if digest != SHA256:
        sys.exit(f"{archive.name}: sha256 is {digest}, expected {SHA256}")
    with tarfile.open(archive) as tar:
        tar.extractall(folder, filter="data")
    return folder / "package"


def reduce_face(source, target, style, weight, codes):
    """Write one face: glyph n+1 draws the n-th code of the repertoire."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.recordingPen import DecomposingRecordingPen
    from fontTools.pens.ttGlyphPen import TTGlyphPen
    from fontTools.ttLib import TTFont

    full = TTFont(source)
    glyphs, cmap = full.getGlyphSet(), full.getBestCmap()
    missing = [c for c in codes if c not in cmap]
    if missing:
        sys.exit(f"{source.name} lacks " + ", ".join(f"U+{c:04X} {chr(c)}" for c in missing))
    names = {c: f"u{c:04X}" for c in codes}
    drawn, widths = {}, {}
    for name, origin in [(".notdef", ".notdef")] + [(names[c], cmap[c]) for c in codes]:
        outline, pen = DecomposingRecordingPen(glyphs), TTGlyphPen(None)
        glyphs[origin].draw(outline)
        outline.replay(pen)
        drawn[name] = pen.glyph()
        widths[name] = full["hmtx"][origin][0]
    out = FontBuilder(full["head"].unitsPerEm, isTTF=True)
    out.setupGlyphOrder(list(drawn))
    out.setupCharacterMap({c: names[c] for c in codes})
    out.setupGlyf(drawn)
    out.setupHorizontalMetrics({n: (w, getattr(drawn[n], "xMin", 0)) for n, w in widths.items()})
    out.setupHorizontalHeader(ascent=full["hhea"].ascent, descent=full["hhea"].descent)
    # The names come along into every certificate, so there are few; the licence is in OFL.txt.
    out.setupNameTable({
        "copyright": full["name"].getDebugName(0),
        "familyName": FAMILY,
        "styleName": style,
        "psName": f"{FAMILY.replace(' ', '')}-{style}",
    }, mac=False)
    os2 = full["OS/2"]
    out.setupOS2(sTypoAscender=os2.sTypoAscender, sTypoDescender=os2.sTypoDescender, sTypoLineGap=0,
                 usWinAscent=os2.usWinAscent, usWinDescent=os2.usWinDescent, usWeightClass=weight,
                 sCapHeight=os2.sCapHeight, sxHeight=os2.sxHeight, fsType=0)
    out.setupPost(keepGlyphNames=False)
    out.font["head"].created = out.font["head"].modified = full["head"].modified
    out.font["head"].fontRevision = full["head"].fontRevision
    out.font.recalcTimestamp = False
    out.save(target)


def write_table(codes):
    """The repertoire as ranges that keep glyph numbers in step with code points."""
    ranges = []
    for glyph, code in enumerate(codes, start=1):
        if ranges and ranges[-1][1] == code - 1:
            ranges[-1][1] = code
        else:
            ranges.append([code, code, glyph])
    rows = "\n".join(f"    (0x{a:04X}, 0x{b:04X}, {g})," for a, b, g in ranges)
    TABLE.write_text(f'''//! Characters that the embedded faces print. Generated by `python3 fonts/build.py`; do not edit.

/// Runs of consecutive code points: first, last, and the glyph of the first in both faces; glyph
/// numbers go up by one along a run. Sorted.
pub(super) const RUNS: [(u32, u32, u16); {len(ranges)}] = [
{rows}
];
''')


def main():
    codes = repertoire()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        package = original(folder)
        for style, (path, weight) in FACES.items():
            reduce_face(package / path, HERE / f"{FAMILY.replace(' ', '')}-{style}.ttf", style, weight, codes)
        (HERE / "OFL.txt").write_bytes((package / "LICENSE.md").read_bytes())
    write_table(codes)


if __name__ == "__main__":
    try:
        import fontTools
        current = f"fonttools=={fontTools.version}" == FONTTOOLS
    except ImportError:
        current = False
    if current:
        main()
    else:  # run again where the pinned fontTools is
        with tempfile.TemporaryDirectory() as folder:
            venv.create(folder, with_pip=True)
            python = pathlib.Path(folder) / "bin" / "python"
            subprocess.run([python, "-m", "pip", "install", "--quiet", FONTTOOLS], check=True)
            sys.exit(subprocess.run([python, __file__]).returncode)
