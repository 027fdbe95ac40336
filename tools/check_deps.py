"""Fails when the source breaks the module table (tools/modules.json).

usage: check_deps.py MODULES_TXT SRC_DIR [--table JSON] [--compiled JSON]

MODULES_TXT is written by stillpoint_module(): "name | dep dep | public.h" a
line. SRC_DIR holds stillpoint/<module>/. Rules, by the word that a finding
ends with:
  table     the table itself goes down; a folder or DEPS entry stands in it
  deps      DEPS names only what the table allows
  include   an #include names only the own module and its DEPS
  public    a public header exists and includes only public headers
  form      our own headers are included as "stillpoint/<module>/x.h"
  length    no file is longer than 900 lines
  print     nothing below the daemon writes to stdout or stderr
  ambient   nothing below the daemon reads a clock or the environment, starts a
            thread, or ends the process: callers hand in what is needed
  compiled  every .cc is built by something (needs --compiled, a
            compile_commands.json): a forgotten test is no test
Exit: 0 clean, 1 findings.
"""
import argparse
import json
import pathlib
import re
import sys

MAX_LINES = 900
# The daemon and the program talk to people; below them values are returned.
FIRST_LEVEL_THAT_PRINTS = 7
# The last words of a process that found its own mistake.
MAY_PRINT = {"core/error_table.cc"}
PRINTS = re.compile(
    r"std::(cout|cerr|clog|wcout|wcerr)\b|<iostream>|\bfmt::print|"
    r"(?<![\w.>])(std::)?(printf|fprintf|vprintf|vfprintf|puts|fputs|putchar)"
    r"\s*\(|\bSTD(OUT|ERR)_FILENO\b|<fmt/(ostream|color)\.h>")
AMBIENT = re.compile(
    r"\bgetenv\s*\(|\b(system|steady|high_resolution)_clock::now|"
    r"(?<![\w.>])time\s*\(\s*(nullptr|NULL|0)\s*\)|"
    r"(?<![\w.>])(std::)?(quick_|_)?exit\s*\(|"
    r"std::(jthread|thread|async)\b")
INCLUDE = re.compile(r'\s*#\s*include\s*(["<])([^">]+)[">]')


def read_table(path):
    rows = json.loads(path.read_text(encoding="utf-8"))["modules"]
    levels = {row["module"]: row["level"] for row in rows}
    allowed, bad, above = {}, [], []
    for row in rows:
        name, level = row["module"], row["level"]
        below = {m for m, other in levels.items() if other < level}
        uses = below if row["may_use"] == ["*"] else set(row["may_use"])
        allowed[name] = uses
        for use in sorted(uses):
            if use not in levels:
                bad.append(f"{path.name}: {name} may use {use}, which has no "
                           "row: table")
            elif levels[use] > level or (levels[use] == level and
                                         use not in above):
                bad.append(f"{path.name}: {name} may use {use}, which does "
                           "not stand above it: table")
        above.append(name)
    return levels, allowed, bad


def read_modules(path):
    deps, public = {}, set()
    for line in path.read_text(encoding="utf-8").splitlines():
        name, needs, headers = (part.strip() for part in line.split("|"))
        deps[name] = set(needs.split())
        public |= {f"{name}/{header}" for header in headers.split()}
    return deps, public


def without_comments_and_strings(text):
    """Blanks them, keeping the line numbers."""
    token = re.compile(
        r'//[^\n]*|/\*.*?\*/|R"(\w*)\(.*?\)\1"|"(?:\\.|[^"\\\n])*"|'
        r"'(?:\\.|[^'\\\n])'", re.DOTALL)
    return token.sub(lambda m: re.sub(r"[^\n]", " ", m.group()), text)


def check_includes(here, lines, deps, public):
    module, bad = here.split("/")[0], []
    for number, line in enumerate(lines, 1):
        found = INCLUDE.match(line)
        if not found:
            continue
        quote, target = found.groups()
        place = f"{here}:{number}:"
        if not target.startswith("stillpoint/"):
            if quote == '"' and not target.startswith("tests/support/"):
                bad.append(f'{place} write "stillpoint/…" for our own, <…> '
                           f"for other headers, not {target}: form")
            continue
        if quote == "<":
            bad.append(f"{place} {target} needs quotes: form")
        target = target.removeprefix("stillpoint/")
        other = target.split("/")[0]
        if other != module and other not in deps:
            bad.append(f"{place} {module} may not use {other}: include")
        if here in public and target not in public:
            bad.append(f"{place} public header includes private {target}: "
                       "public")
    return bad


def check_manners(here, text):
    # Tests, and what they share, may wait for the real clock and start threads.
    if re.search(r"_test(_support)?\.(cc|h)$", here):
        return []
    bad = []
    lines = without_comments_and_strings(text).splitlines()
    for number, line in enumerate(lines, 1):
        if PRINTS.search(line) and here not in MAY_PRINT:
            bad.append(f"{here}:{number}: a library writes to a stream: print")
        if AMBIENT.search(line):
            bad.append(f"{here}:{number}: to be handed in by the caller: "
                       "ambient")
    return bad


def compiled_files(path):
    return {pathlib.Path(entry["directory"], entry["file"]).resolve()
            for entry in json.loads(path.read_text(encoding="utf-8"))}


def main():
    options = argparse.ArgumentParser()
    options.add_argument("modules", type=pathlib.Path)
    options.add_argument("src", type=pathlib.Path)
    options.add_argument("--table", type=pathlib.Path,
                         default=pathlib.Path(__file__).parent / "modules.json")
    options.add_argument("--compiled", type=pathlib.Path)
    args = options.parse_args()
    levels, allowed, bad = read_table(args.table)
    deps, public = read_modules(args.modules)
    for name, needs in deps.items():
        for other in sorted(needs - allowed.get(name, set())):
            bad.append(f"{name}/CMakeLists.txt: the table does not let {name} "
                       f"use {other}: deps")
        if name not in levels:
            bad.append(f"{name}: not in {args.table.name}: table")
    root = args.src / "stillpoint"
    for header in sorted(public):
        if not (root / header).is_file():
            bad.append(f"{header}: listed as PUBLIC, not there: public")
    compiled = compiled_files(args.compiled) if args.compiled else None
    files = sorted(p for p in root.rglob("*") if p.suffix in (".h", ".cc"))
    for path in files:
        here = path.relative_to(root).as_posix()
        module = here.split("/")[0]
        text = path.read_text(encoding="utf-8")
        lines = text.splitlines()
        if module not in levels:
            bad.append(f"{here}: no module {module} in the table: table")
            continue
        if len(lines) > MAX_LINES:
            bad.append(f"{here}: {len(lines)} lines, limit {MAX_LINES}: "
                       "length")
        # The program is no stillpoint_module(); the table speaks for it.
        bad += check_includes(here, lines, deps.get(module, allowed[module]),
                              public)
        if levels[module] < FIRST_LEVEL_THAT_PRINTS:
            bad += check_manners(here, text)
        if (compiled is not None and path.suffix == ".cc" and
                path.resolve() not in compiled):
            bad.append(f"{here}: no target builds it: compiled")
    print("\n".join(bad) or
          f"{len(deps)} of {len(levels)} modules, {len(public)} public "
          f"headers, {len(files)} files: clean")
    return 1 if bad else 0


sys.exit(main())
