"""Fails when a document says what is not so.

usage: check_docs.py [--root DIR]

  - files and folders that a document names (`src/…`, [text](path)) exist
  - CONTRIBUTING.md has at most 60 lines
  - no file of the project holds a path of somebody's machine
  - no file of the project holds a note that work is unfinished
Files of more than 400 lines are named as a warning. Exit: 0, or 1 on findings.
"""
import argparse
import pathlib
import re
import subprocess
import sys

TOPS = ("src", "tests", "tools", "docs", "scripts", "cmake", "fuzz", "bench",
        "examples", "console", ".ci")
NAMED = re.compile(r"`((?:" + "|".join(re.escape(t) for t in TOPS) +
                   r")/[^`\s]*)`")
LINK = re.compile(r"\]\(([^)\s]+)\)")
# Written so that this file does not find itself.
MACHINE = re.compile(r"(?<![\w.$}-])/(?:work|root|home|Users)\b")
UNFINISHED = re.compile(r"\b(?:TO" r"DO|FIX" r"ME|TB" r"D)\b")
TEXT = {".h", ".cc", ".py", ".md", ".txt", ".cmake", ".json", ".toml", ".vec",
        ".sh", ".yml", ""}
GENERATED = ("fuzz/corpus/", "tests/vectors/")
BIG = 400


def project_files(root):
    """What git tracks or would track; everything but build/ without git."""
    done = subprocess.run(["git", "-C", str(root), "ls-files", "-coz",
                           "--exclude-standard"], capture_output=True,
                          check=False)
    if done.returncode == 0:
        names = {n for n in done.stdout.decode().split("\0") if n}
    else:
        names = {p.relative_to(root).as_posix() for p in root.rglob("*")}
        names = {n for n in names
                 if not n.startswith(("build/", ".git/", ".cache/"))}
    return sorted(n for n in names if (root / n).is_file())


def check_document(root, name, text):
    folder = (root / name).parent
    for number, line in enumerate(text.splitlines(), 1):
        for word in NAMED.findall(line):
            # A pattern or a placeholder names no file.
            if re.search(r"[*<>{}…|]|[A-Z]{3,}$", word):
                continue
            if not (root / word.split("#")[0].split(":")[0]).exists():
                yield f"{name}:{number}: {word} does not exist"
        for word in LINK.findall(line):
            if not word.startswith(("http:", "https:", "mailto:", "#")):
                if not (folder / word.split("#")[0]).exists():
                    yield f"{name}:{number}: link to {word}, which is not there"


def check_text(name, text):
    for number, line in enumerate(text.splitlines(), 1):
        if MACHINE.search(line):
            yield f"{name}:{number}: a path of one machine"
        if UNFINISHED.search(line):
            yield f"{name}:{number}: a note of unfinished work"


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--root", type=pathlib.Path,
                         default=pathlib.Path(__file__).resolve().parent.parent)
    root = options.parse_args().root
    bad, documents, names = [], 0, project_files(root)
    for name in names:
        path = root / name
        if path.suffix not in TEXT or name.startswith(GENERATED):
            continue
        text = path.read_text(encoding="utf-8", errors="replace")
        bad += check_text(name, text)
        if path.suffix == ".md":
            documents += 1
            bad += check_document(root, name, text)
        lines = text.count("\n")
        if name == "CONTRIBUTING.md" and lines > 60:
            bad.append(f"{name}: {lines} lines, limit 60")
        if path.suffix in (".h", ".cc", ".py") and lines > BIG:
            print(f"warning: {name} has {lines} lines; above {BIG} is big")
    print("\n".join(bad) or
          f"{documents} documents, {len(names)} files: clean")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
