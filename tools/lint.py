"""Runs clang-tidy-14 on what has changed since it was last clean.

usage: lint.py SOURCE_DIR BUILD_DIR [--minutes N] [FILE ...]

BUILD_DIR holds compile_commands.json (the "tidy" preset) and "packages", a
list of library versions. A clean file is remembered by the hash of all that
its result depends on: the file, the project headers it reaches, its compile
command, .clang-tidy and the packages. As with a compiler cache, what is
remembered serves every clone of this user (XDG_CACHE_HOME, ~/.cache).

--minutes: no file is begun later than that. Files whose own text changed last in
the history come first, so that only those can be left out that have long stood
as they are, whatever became of their headers; the last line counts them. A
machine that remembers nothing needs well over an hour for the whole tree.
Exit: 0 clean, 1 findings.
"""
import concurrent.futures
import hashlib
import json
import math
import os
import pathlib
import re
import subprocess
import sys
import time

INCLUDE = re.compile(rb'^\s*#\s*include\s+"([^"]+)"', re.MULTILINE)
# The path analysis takes four fifths of the time; in tests (and the programs of
# tests/) it follows gtest's macros and visitors, and finds nothing that running
# them under sanitizers does not.
NOT_FOR_TESTS = "-clang-analyzer-*"
MOST_REMEMBERED = 20_000
# Snippets that must not compile are no input for a linter.
SKIPPED = ("tests/nocompile/",)


def reached(path, roots, seen):
    """Adds to seen every project file that path includes, itself first."""
    if path in seen or not path.is_file():
        return seen
    seen[path] = path.read_bytes()
    for name in INCLUDE.findall(seen[path]):
        for root in (path.parent, *roots):
            if (root / name.decode()).is_file():
                reached((root / name.decode()).resolve(), roots, seen)
                break
    return seen


def key_of(entry, source, common):
    text = hashlib.sha256(common + NOT_FOR_TESTS.encode())
    # Where the clone lies is no part of the result.
    text.update(entry["command"].replace(str(source), ".").encode())
    files = reached(pathlib.Path(entry["file"]), (source / "src", source), {})
    for path in sorted(files):
        text.update(os.path.relpath(path, source).encode() + files[path])
    return text.hexdigest()


def lint(entry, build):
    begin = time.monotonic()
    file = entry["file"]
    command = ["clang-tidy-14", "--quiet", "-p", str(build), file]
    if file.endswith("_test.cc") or "/tests/" in file:
        command.insert(1, "--checks=" + NOT_FOR_TESTS)
    done = subprocess.run(
        command,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        errors="replace", check=False)
    text = done.stdout if done.stdout.strip() else done.stderr
    return done.returncode == 0, text, time.monotonic() - begin


def memory():
    """The folder of what was found clean: one empty file for each hash."""
    cache = os.environ.get("XDG_CACHE_HOME") or pathlib.Path.home() / ".cache"
    folder = pathlib.Path(cache) / "stillpoint-lint"
    folder.mkdir(parents=True, exist_ok=True)
    known = sorted(folder.iterdir(), key=lambda p: p.stat().st_mtime)
    for old in known[:-MOST_REMEMBERED]:
        old.unlink(missing_ok=True)
    return folder


def last_changed_first(names, source):
    """The names by the history, newest change first; unknown ones before all."""
    done = subprocess.run(
        ["git", "-C", str(source), "log", "--format=", "--name-only",
         "--no-renames"], capture_output=True, text=True, check=False)
    age = {}
    for name in done.stdout.splitlines():
        age.setdefault(name, len(age))
    return sorted(names, key=lambda name: age.get(name, -1))


def main():
    source, build = (pathlib.Path(a).resolve() for a in sys.argv[1:3])
    words = sys.argv[3:]
    longest_s = math.inf
    if words[:1] == ["--minutes"]:
        longest_s = 60 * float(words[1])
        words = words[2:]
    wanted = {pathlib.Path(a).resolve() for a in words}
    common = ((source / ".clang-tidy").read_bytes() +
              (build / "packages").read_bytes())
    clean_before = memory()
    database = json.loads((build / "compile_commands.json").read_text())
    entries, todo = {}, {}
    for entry in database:
        path = pathlib.Path(entry["file"])
        name = os.path.relpath(path, source)
        if name.startswith(SKIPPED) or (wanted and path not in wanted):
            continue
        if not path.is_file():  # made while building, by a tool of ours
            continue
        entries.setdefault(name, entry)  # one command a file is enough
    for name, entry in entries.items():
        stamp = clean_before / key_of(entry, source, common)
        if not stamp.is_file():
            todo[name] = (entry, stamp)
    bad, left, begin = 0, 0, time.monotonic()

    def in_time(entry):
        late = time.monotonic() - begin > longest_s
        return None if late else lint(entry, build)

    with concurrent.futures.ThreadPoolExecutor(os.cpu_count() or 2) as pool:
        runs = {pool.submit(in_time, todo[name][0]): name
                for name in last_changed_first(todo, source)}
        for run in concurrent.futures.as_completed(runs):
            name = runs[run]
            if run.result() is None:
                left += 1
                continue
            clean, text, seconds = run.result()
            if clean:
                todo[name][1].touch()
            else:
                bad += 1
                print(text.rstrip())
            verdict = "clean" if clean else "FINDINGS"
            print(f"{name}: {verdict}, {seconds:.1f} s", file=sys.stderr)
    print(f"{len(entries)} files: {len(todo) - left} looked at in "
          f"{time.monotonic() - begin:.0f} s, {bad} with findings" +
          (f"; {left} of old left for another time" if left else ""))
    return 1 if bad else 0


sys.exit(main())
