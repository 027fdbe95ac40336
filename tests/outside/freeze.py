"""Writes the frozen layer: inputs, values and where they came from.

usage: freeze.py --new-inputs | freeze.py

Installs the pinned libraries if need be and runs with them. --new-inputs
writes the invented files anew too; otherwise they stay and only the libraries'
answers are taken again. A change of any frozen value wants a reason in the
commit.
"""
import importlib.metadata
import json
import platform
import sys

import support


def version(name):
    return f"{name} {importlib.metadata.version(name)}"


def write(name, text):
    (support.VECTORS / name).write_text(text, encoding="utf-8")


def new_inputs():
    import hatanaka

    import demo_rinex
    for name, text in (("demo3", demo_rinex.version3()),
                       ("demo2", demo_rinex.version2())):
        write(f"{name}.rnx", text)
        write(f"{name}.crx", hatanaka.rnx2crx(text))


def words(row):
    def text(number, absent):
        return absent if number is None else \
            repr(number).removesuffix(".0")
    return [text(v, "-") for v in row[:4]] + [text(d, "?") for d in row[4:]]


def freeze_values(name):
    """The RINEX library reads what the Hatanaka library restored."""
    import libraries
    restored, _ = libraries.restored((support.VECTORS / f"{name}.crx")
                                     .read_bytes())
    if restored != (support.VECTORS / f"{name}.rnx").read_bytes():
        sys.exit(f"{name}: the library does not restore what it compressed")
    lines = [f"# {version('georinex')} on {name}.rnx; fields as in "
             "dump_observations.cc, ? for what it does not give.\n"]
    last = ""
    for (time, key), row in sorted(
            libraries.read(restored.decode(), 10 ** 6).items()):
        time = time.rstrip("0").removesuffix(".")
        if time != last:
            lines.append(f"epoch {time}\n")
            last = time
        lines.append(" ".join([key, *words(row)]) + "\n")
    write(f"{name}.values.txt", "".join(lines))


def freeze_answers(name, title, asked):
    """Blocks as in tests/support/vectors.h; "within" has the tolerance of each
    number of the answer, "tolerance" the greatest and the reason."""
    lines = [f"# {title} Made by tests/outside/freeze.py.\n"]
    for q in asked:
        answer = ",".join(f"{v:.17g}" for v in q.theirs)
        within = ",".join(f"{t:.3g}" for t in q.tolerances)
        lines.append(
            f"source: {version(q.library)}{q.detail}\nkind: cross\n"
            f"input: question={q.text.replace(' ', ',')}\n"
            f"expect: answer={answer} within={within}\n"
            f"tolerance: {max(q.tolerances):.3g} {q.why}\n---\n")
    write(name, "".join(lines))


def main():
    if "--new-inputs" in sys.argv:
        new_inputs()
    for name in ("demo3", "demo2"):
        freeze_values(name)
    import questions
    freeze_answers("geodesy.vec", "Geodetic coordinates and plate velocities.",
                   questions.geodesy())
    freeze_answers("time.vec", "Leap seconds, day counts and GPST of UTC.",
                   questions.time())
    inputs = [f"{n}.{e}" for n in ("demo3", "demo2")
              for e in ("rnx", "crx", "values.txt")]
    inputs += ["geodesy.vec", "time.vec"]
    notes = {
        "made_by": "tests/outside/freeze.py",
        "libraries": [version(n) for n in ("georinex", "hatanaka", "pyproj",
                                           "pyerfa", "numpy", "xarray")],
        "python": platform.python_version(),
        "sha256": {n: support.sha256((support.VECTORS / n).read_bytes())
                   for n in inputs},
    }
    write("frozen.json", json.dumps(notes, indent=1) + "\n")


if __name__ == "__main__":
    support.with_libraries()
    main()
