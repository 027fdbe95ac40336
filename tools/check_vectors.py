"""Fails when a check does not say where its numbers come from.

usage: check_vectors.py [--root DIR]

tests/vectors/*.vec: every block has a source, a known kind, an input, an
expectation, and a tolerance with its reason (not with expect-error).
Every *_test.cc that compares within a tolerance says "kind: …" above, or takes
its numbers from such blocks; a comment that says "kind: published" also names
its source, or admits that it has none ("common practice, no source") or that
it is "from memory".
Exit: 0 clean, 1 findings.
"""
import argparse
import pathlib
import re
import sys

KINDS = ("published", "cross", "regression")
KEYS = ("source", "kind", "input", "expect", "expect-error", "tolerance")
NUMERIC = re.compile(r"\b(EXPECT|ASSERT)_(NEAR|DOUBLE_EQ|FLOAT_EQ)\b")
KIND = re.compile(r"\bkind:\s*(" + "|".join(KINDS) + r")\b")
# "source and tolerance: in the .vec file" will do as well.
ADMITS = re.compile(r"\bsource\b|\bfrom memory\b")


def blocks_of(text):
    """Yields (line number, [(line, key, value)]) of every block."""
    rows, begin = [], 0
    for number, line in enumerate(text.splitlines() + ["---"], 1):
        if line.strip() == "---":
            if rows:
                yield begin, rows
            rows = []
        elif line.strip() and not line.lstrip().startswith("#"):
            begin = begin if rows else number
            key, colon, value = line.partition(":")
            rows.append((number, key.strip() if colon else "", value.strip()))


def check_block(name, begin, rows):
    place, values = f"{name}:{begin}", {}
    for number, key, value in rows:
        if key not in KEYS:
            yield f"{name}:{number}: not a key of a block"
        values.setdefault(key, value)
    if not values.get("source"):
        yield f"{place}: block without source"
    if values.get("kind", "published") not in KINDS:
        yield f"{place}: kind is one of {', '.join(KINDS)}"
    if "expect" not in values and "expect-error" not in values:
        yield f"{place}: block without expectation"
    if "expect-error" not in values:
        words = values.get("tolerance", "").split(None, 1)
        if len(words) < 2:
            yield f"{place}: tolerance needs a number and its reason"


def comments_of(text):
    """Yields (line number, text) of every run of // lines."""
    run, begin = [], 0
    for number, line in enumerate(text.splitlines() + [""], 1):
        if line.lstrip().startswith("//"):
            begin = begin if run else number
            run.append(line.lstrip().removeprefix("//").strip())
        elif run:
            yield begin, " ".join(run)
            run = []


def check_test(name, text):
    told = KIND.search(text) or "read_vectors(" in text
    if NUMERIC.search(text) and not told:
        yield f"{name}: numbers are compared, but no comment says kind: …"
    for begin, comment in comments_of(text):
        for kind in KIND.findall(comment):
            if kind == "published" and not ADMITS.search(comment):
                yield f"{name}:{begin}: published, but where?"


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--root", type=pathlib.Path,
                         default=pathlib.Path(__file__).resolve().parent.parent)
    root = options.parse_args().root
    bad, count, tests = [], 0, 0
    for path in sorted((root / "tests/vectors").rglob("*.vec")):
        name = path.relative_to(root).as_posix()
        for begin, rows in blocks_of(path.read_text(encoding="utf-8")):
            count += 1
            bad += check_block(name, begin, rows)
    for folder in ("src", "tests"):
        for path in sorted((root / folder).rglob("*_test.cc")):
            tests += 1
            bad += check_test(path.relative_to(root).as_posix(),
                              path.read_text(encoding="utf-8"))
    print("\n".join(bad) or f"{count} blocks, {tests} test files: clean")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
