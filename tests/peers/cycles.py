"""Import cycles between files and between folders of src/, found by networkx.

    cycles.py [SRC]

Reads every path in `use` declarations and in expressions, without code for tests, and follows
re-exports. Two graphs are searched for strongly connected components:

- files: from a file to the file that defines what it names, and to each mod.rs whose re-export it
  names it by. A mod.rs points to the files it re-exports from, so a file that imports a sibling
  through the parent closes a circle, as `cargo modules dependencies --acyclic` has it;
- entries of each folder: a subfolder is one node, with all that is in it.

Prints each component with the names that close it; exits with 1 if there is one.
"""

import pathlib
import re
import sys

import networkx as nx

SRC = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else "src")
TOKEN = re.compile(
    r"""//[^\n]*|/\*.*?\*/|b?r(?P<h>\#*)".*?"(?P=h)|b?"(?:\\.|[^"\\])*"|b?'(?:\\.[^']*|[^'\\])'"""
    r"""|'\w+|(?P<word>(?:r\#)?\w+)|(?P<sign>::|\#|[^\s\w])""",
    re.S,
)
ITEM = {"fn", "struct", "enum", "trait", "const", "static", "type", "union", "mod", "macro_rules"}


def tokens(text):
    """Words and signs; comments, strings, characters and lifetimes left out."""
    return [m["word"] or m["sign"] for m in TOKEN.finditer(text) if m["word"] or m["sign"]]


def close(t, i):
    """Index behind the bracket that closes the one at `i`."""
    depth = 0
    while i < len(t):
        depth += t[i] in "([{"
        depth -= t[i] in ")]}"
        i += 1
        if depth == 0:
            return i
    return i


def use_tree(t, i, prefix=()):
    """Leaves (path, name it is known by) of the tree at `i`, and the index behind it."""
    path, leaves = list(prefix), []
    if t[i] == "::":
        i += 1
    while True:
        if t[i] == "{":
            i += 1
            while t[i] != "}":
                inner, i = use_tree(t, i, path)
                leaves += inner
                i += t[i] == ","
            return leaves, i + 1
        if t[i] != "self" or not path:
            path.append(t[i])
        i += 1
        if t[i] == "::":
            i += 1
            continue
        name = path[-1]
        if t[i] == "as":
            name, i = t[i + 1], i + 2
        return [(tuple(path), name)], i


class Module:
    """One module, with the file that it is written in."""

    def __init__(self, path, file):
        self.path, self.file = path, file
        self.items, self.names, self.globs, self.paths = set(), {}, [], []


modules = {}


def cfg_test(t, i):
    """Whether the attribute at `i` leaves what follows to the tests."""
    return t[i + 2 : i + 6] == ["cfg", "(", "test", ")"]


def scan(module, t, i, end):
    """Reads the items of a module between two indices."""
    skip = False
    while i < end:
        word = t[i]
        if word == "#":
            j = i + (t[i + 1] == "!") + 1
            skip = skip or cfg_test(t, i)
            i = close(t, j)
        elif skip:
            # The item that belongs to the attribute: up to its `;` or the end of its block.
            while t[i] not in (";", "{", "#"):
                i = close(t, i) if t[i] in "([" else i + 1
            if t[i] == "#":
                continue
            i = close(t, i) if t[i] == "{" else i + 1
            skip = False
        elif word == "use":
            leaves, i = use_tree(t, i + 1)
            for path, name in leaves:
                if name == "*":
                    module.globs.append(path[:-1])
                else:
                    module.names[name] = path
        elif word == "mod" and t[i + 2] == "{":
            stop = close(t, i + 2)
            path = module.path + (t[i + 1],)
            inner = modules.setdefault(path, Module(path, module.file))
            scan(inner, t, i + 3, stop - 1)
            i = stop
        elif word == "mod" and t[i + 2] == ";":
            i += 3
        else:
            if word in ITEM and module.depth == 0 and i + 1 < end:
                module.items.add(t[i + 2] if word == "macro_rules" else t[i + 1])
            if word == "{":
                # The body of an item: its paths, and what it imports for itself.
                module.depth += 1
                stop = close(t, i)
                scan(module, t, i + 1, stop - 1)
                module.depth -= 1
                i = stop
                continue
            if re.match(r"(r#)?[A-Za-z_]", word) and t[i - 1] not in ("::", "."):
                path, j = [word], i + 1
                while j + 1 < end and t[j] == "::" and re.match(r"(r#)?\w", t[j + 1]):
                    path.append(t[j + 1])
                    j += 2
                if len(path) > 1:
                    module.paths.append(tuple(path))
                    i = j
                    continue
            i += 1


Module.depth = 0
for file in sorted(SRC.rglob("*.rs")):
    parts = file.relative_to(SRC).with_suffix("").parts
    if parts == ("main",):
        continue
    path = parts[:-1] if parts[-1] in ("mod", "lib") else parts
    modules[path] = Module(path, file.relative_to(SRC).as_posix())
for module in list(modules.values()):
    t = tokens((SRC / module.file).read_text())
    scan(module, t, 0, len(t))

# Files that only tests are made of are named by `#[cfg(test)] mod name;` and never scanned into
# a graph of their own.
for module in list(modules.values()):
    text = (SRC / module.file).read_text()
    for name in re.findall(r"#\[cfg\(test\)\]\s*(?:pub(?:\([^)]*\))? )?mod (\w+);", text):
        modules.pop(module.path + (name,), None)


def resolve(module, path, seen=frozenset()):
    """Files on the way to what a path names: each module whose name for it was used, and the one
    that defines it. Nothing for what is not ours."""
    here, rest = module.path, list(path)
    if rest[0] == "crate":
        here, rest = (), rest[1:]
    elif rest[0] in ("self", "super"):
        while rest and rest[0] in ("self", "super"):
            here = here[:-1] if rest[0] == "super" else here
            rest = rest[1:]
    elif rest[0] in module.names and (module.path, rest[0]) not in seen:
        # Known by a `use` of this module, which counts by itself.
        known = module.names[rest[0]] + tuple(rest[1:])
        return resolve(module, known, seen | {(module.path, rest[0])})
    elif here + (rest[0],) not in modules:
        for glob in module.globs:
            if (module.path, "*") not in seen:
                way = resolve(module, glob + tuple(rest), seen | {(module.path, "*")})
                if way:
                    return way
        return []
    while rest and here + (rest[0],) in modules:
        here, rest = here + (rest[0],), rest[1:]
    target = modules.get(here)
    if target is None or not rest or rest[0] == "*":
        return []
    name = rest[0]
    if name in target.items:
        return [target.file]
    if name in target.names and (here, name) not in seen:
        return [target.file] + resolve(target, target.names[name] + tuple(rest[1:]), seen | {(here, name)})
    for glob in target.globs:
        if (here, "*" + name) not in seen:
            way = resolve(target, glob + (name,), seen | {(here, "*" + name)})
            if way:
                return [target.file] + way
    return []


files = nx.DiGraph()
for module in modules.values():
    files.add_node(module.file)
    for path in [*module.names.values(), *module.paths, *(g + ("*",) for g in module.globs)]:
        way = resolve(module, path)
        if path[-1] == "*":
            base = list(path[:-1])
            here = module.path
            if base and base[0] == "crate":
                here, base = (), base[1:]
            while base and base[0] in ("self", "super"):
                here = here[:-1] if base[0] == "super" else here
                base = base[1:]
            target = modules.get(here + tuple(base))
            way = [target.file] if target else []
        for to in way:
            if to != module.file:
                files.add_edge(module.file, to)
                files.edges[module.file, to].setdefault("by", set()).add("::".join(path))

bad = 0


def report(graph, what):
    global bad
    for component in sorted(map(sorted, nx.strongly_connected_components(graph)), key=len):
        if len(component) < 2:
            continue
        bad += 1
        print(f"{what}: {len(component)} in a circle: {', '.join(component)}")
        for a, b, data in sorted(graph.subgraph(component).edges(data=True), key=lambda e: e[:2]):
            print(f"    {a} -> {b}: {', '.join(sorted(data['by']))}")


report(files, "files")
folders = sorted({p.relative_to(SRC).as_posix() for p in SRC.rglob("*") if p.is_dir()} | {"."})
for folder in folders:
    prefix = "" if folder == "." else folder + "/"
    entries = nx.DiGraph()

    def entry(file):
        return prefix + file[len(prefix) :].split("/")[0]

    for a, b, data in files.edges(data=True):
        if a.startswith(prefix) and b.startswith(prefix) and entry(a) != entry(b):
            entries.add_edge(entry(a), entry(b))
            by = entries.edges[entry(a), entry(b)].setdefault("by", set())
            by.update(f"{a}: {name}" for name in data["by"])
    report(entries, f"entries of src/{prefix}")

print(f"{files.number_of_nodes()} files, {files.number_of_edges()} imports, {bad} cycles")
sys.exit(1 if bad else 0)
