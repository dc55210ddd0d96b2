#!/usr/bin/env python3
"""Words on the pages stay apart in every way of taking the text out.

    words.py FOLDER        with NAME.pdf in FOLDER

A word at the end of a line must not join the first one of the next line when a reader follows the structure
(ISO 32000-1, 14.8.2.5), and a hyphenated word must come out whole. The words that `pdfinfo -struct-text` gives in
the order of the structure are compared with those that `pdftotext` and MuPDF find by their places on the page:
two words that were joined are a word that the others do not have. Then a copy without the spaces at line ends
must be noticed, or the check shows nothing. Needs poppler-utils and mupdf-tools. Prints "N passed, N failed".
"""

import pathlib
import re
import subprocess
import sys

from ledger import close, expect

SOFT_HYPHEN = "\u00ad"
# A quoted run of text in the output of `pdfinfo -struct-text`; a run may have lines of its own.
RUN = re.compile(r'^ *"(.*?)" *$', re.MULTILINE | re.DOTALL)
# A figure with its lines: labels of a drawing are no sentence, and its alternate text speaks for them.
FIGURE = re.compile(r"^( *)Figure.*\n(?:\1 +.*\n)*", re.MULTILINE)


def output(*command):
    return subprocess.run(command, capture_output=True, timeout=120, check=True).stdout.decode()


def structured(path):
    """The runs of text in the order of the structure."""
    return RUN.findall(FIGURE.sub("", output("pdfinfo", "-struct-text", path)))


def words(text):
    return set(re.sub(SOFT_HYPHEN + r"\s*", "", text).split())


def placed_words(text):
    """Words by their places; a line may end inside a word after a hyphen, a dash, a slash or a closing
    bracket that belongs to it (UAX 14)."""
    return (
        words(text)
        | words(re.sub(r"([-–])\s*\n", r"\1", text))
        | words(re.sub(r"([-–/)])\s*\n", r"\1", text))
    )


def joined(runs, placed):
    """Words of the structure that are nowhere on the pages."""
    return sorted(words("\n".join(runs)) - placed)


def main(folder):
    files = sorted(pathlib.Path(folder).glob("*.pdf"))
    expect("there are certificates", bool(files))
    for path in files:
        runs = structured(path)
        poppler = placed_words(output("pdftotext", "-raw", "-enc", "UTF-8", path, "-"))
        mupdf = placed_words(output("mutool", "draw", "-q", "-F", "txt", path))
        expect(f"{path.name}: has a structure with words", len(words(' '.join(runs))) > 50)
        for name, placed in (("pdftotext", poppler), ("MuPDF", mupdf)):
            strange = joined(runs, placed)
            expect(f"{path.name}: the structure has the words that {name} finds", not strange, ", ".join(strange[:8]))
        # The same words with one space taken away.
        spoiled = [re.sub(r"(\w{4,}) (\w{4,})", r"\1\2", run, count=1) for run in runs]
        expect(f"{path.name}: words that are joined would be noticed", bool(joined(spoiled, poppler)))


main(sys.argv[1])
close()
