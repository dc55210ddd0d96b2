"""The schema of the visit file, held against all example and test files with a library that is not
ours, as an editor would.

    schema.py PROGRAM
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile

import jsonschema
import yaml

program = sys.argv[1]


class Loader(yaml.SafeLoader):
    """YAML 1.2's core schema, as editors read it: no dates, `yes` is a word, 010 is none."""


Loader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in pairs if tag.endswith((":null", ":merge"))]
    for first, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
Loader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile(r"^(true|True|TRUE|false|False|FALSE)$"), list("tTfF"))
Loader.add_implicit_resolver("tag:yaml.org,2002:int", re.compile(r"^[-+]?(0|[1-9][0-9]*)$"), list("-+0123456789"))
Loader.add_implicit_resolver(
    "tag:yaml.org,2002:float", re.compile(r"^[-+]?(0|[1-9][0-9]*)\.[0-9]+$"), list("-+0123456789")
)


def printed(*args):
    return subprocess.run([program, *args], capture_output=True, text=True, check=True).stdout


# JSON Schema's patterns are those of ECMA 262, in which \p{L} is a letter; Python has no such
# escape, and its \w has the underscore beside letters and digits, as ids may have.
schema = json.loads(printed("schema").replace(r"\\p{L}\\p{N}", r"\\w"))
assert "\\\\p" not in json.dumps(schema), "a pattern that Python reads otherwise"
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)


def faults(text):
    return [f"{e.json_path}: {e.message[:120]}" for e in validator.iter_errors(yaml.load(text, Loader))]


sound = sorted(pathlib.Path("examples").glob("*/visit.yaml")) + sorted(pathlib.Path("tests/trade/visits").glob("*.yaml"))
texts = {str(p): p.read_text() for p in sound}
texts["new"] = printed("new", "-o", "-")
texts["new --legs 3"] = printed("new", "-o", "-", "--legs", "3")
texts["new --from"] = printed("new", "-o", "-", "--from", "examples/townhouse-first/visit.yaml")
for name, text in texts.items():
    assert not faults(text), (name, faults(text))
for name in ("new", "new --legs 3", "new --from"):
    assert texts[name].startswith("# yaml-language-server: $schema=visit.schema.json\n"), name

# Files with one fault each: those that only the reader can tell are listed beside the reader's
# tests; every other one that is YAML at all must be refused here as well.
alone = re.search(r"READER_ALONE: &\[&str\] = &\[(.*?)\];", pathlib.Path("tests/visit/schema.rs").read_text(), re.S)
alone = set(re.findall(r'"([^"]+)"', alone[1]))
passing, no_yaml, refused = set(), 0, 0
for path in sorted(pathlib.Path("tests/bad").glob("*.yaml")):
    try:
        found = faults(path.read_text())
    except (yaml.YAMLError, UnicodeDecodeError):
        no_yaml += 1
        continue
    if found:
        refused += 1
    else:
        passing.add(path.stem)
# PyYAML keeps the last of two like keys without a word.
alone.add("key-twice")
assert passing <= alone, f"passes here, but not in the reader's list: {sorted(passing - alone)}"
assert refused > 50, refused
print(
    f"jsonschema {jsonschema.__version__}: {len(texts)} sound files valid; of the bad ones"
    f" {refused} refused, {len(passing)} the reader's alone, {no_yaml} no YAML"
)
