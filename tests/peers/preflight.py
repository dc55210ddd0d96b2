#!/usr/bin/env python3
"""Apache PDFBox Preflight reads our files.

    python tests/peers/preflight.py FOLDER

Needs Debian's libpdfbox2-java, libactivation-java, libjaxb-api-java and a Java runtime. Preflight
knows ISO 19005-1 (PDF/A-1b) alone, and the certificate is PDF/A-3b, so what part 3 permits and part 1
forbids is listed here with its clause. Everything else that Preflight looks at (fonts, colours,
images, annotations, actions, metadata) is the same in both parts and must be clean; a
listed objection that no file draws is one that this list should lose.
"""

import pathlib
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET

import reading

JAVA = pathlib.Path("/usr/share/java")
JARS = ["preflight", "xmpbox", "pdfbox2", "fontbox2", "commons-logging", "javax.activation", "jaxb-api"]

# What Preflight says, and the clause of ISO 19005-3 (or of what it refers to) that permits it.
PERMITTED = {
    r"1\.4: .*XRef cross reference streams are not allowed": "6.1.4 refers to ISO 32000-1, 7.5.8",
    r"1\.4\.7: .*EmbeddedFile entry is present in the Names": "6.8: files of any kind may be embedded",
    r"1\.2\.9: .*EmbeddedFile entry is present in a FileSpec": "6.8: files of any kind may be embedded",
    r"2\.1\.6: .*Invalid version of the ICCProfile": "6.2.3: profiles up to version 4",
    r"3\.1\.11: .*The CIDSet entry is missing": "6.2.11.4.2: CIDSet is optional",
    r"7\.3: .*namespace http://www.aiim.org/pdfua/ns/id/": "6.6.2.3: described by an extension schema, which Preflight reads later",
}


def objections(path):
    """What Preflight says of a file: “code: words”."""
    classes = ":".join(str(JAVA / f"{jar}.jar") for jar in JARS)
    command = ["java", "-Xshare:auto", "-XX:TieredStopAtLevel=1", "-cp", classes, "org.apache.pdfbox.preflight.Validator_A1b", "xml", str(path)]
    done = subprocess.run(command, capture_output=True, text=True)
    start = done.stdout.find("<?xml")
    if start < 0:
        sys.exit(f"Preflight does not run: {done.stdout}{done.stderr}")
    report = ET.fromstring(done.stdout[start:])
    return [f"{e.findtext('code')}: {' '.join(e.findtext('details').split())}" for e in report.iter("error")]


def faults(path):
    return [o for o in objections(path) if not any(re.match(known, o) for known in PERMITTED)]


def prove(path):
    """Preflight objects to what both parts forbid: colours of a device without an output intent."""
    import pikepdf

    with tempfile.TemporaryDirectory() as folder:
        spoiled = pathlib.Path(folder) / "spoiled.pdf"
        with pikepdf.open(path) as pdf:
            del pdf.Root.OutputIntents
            pdf.save(spoiled)
        return [] if faults(spoiled) else ["Preflight did not object to a file without an output intent"]


def main():
    for jar in JARS:
        if not (JAVA / f"{jar}.jar").exists():
            sys.exit(f"{JAVA / jar}.jar is missing: install libpdfbox2-java, libactivation-java and libjaxb-api-java")
    paths = reading.files(sys.argv)
    wrong = prove(paths[0])
    drawn = set()
    for path in paths:
        for objection in objections(path):
            known = [k for k in PERMITTED if re.match(k, objection)]
            drawn.update(known)
            if not known:
                wrong.append(f"{path.name}: {objection}")
    wrong += [f"no file draws “{known}”: take it off the list" for known in PERMITTED.keys() - drawn]
    for fault in wrong:
        print(fault)
    print(f"{len(paths)} files read by Preflight, {len(wrong)} faults")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
