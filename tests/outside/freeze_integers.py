"""Writes the frozen layer of the search for integers.

usage: freeze_integers.py [--new-inputs]

Installs the pinned libraries if need be and runs with them: what the library
finds for the problems of integers.txt, squared distances of best and second
best. --new-inputs invents those anew.
"""
import importlib.metadata
import json
import sys

import demo_integers
import support

NAMES = ("integers.txt", "integers.values.txt")


def main():
    import integers_library
    inputs, values = (support.VECTORS / name for name in NAMES)
    if "--new-inputs" in sys.argv:
        made = demo_integers.problems(7, 56, 14) + \
            demo_integers.problems(8, 8, 40)
        inputs.write_text(
            "# Problems of demo_integers.py, lines for dump_integers.cc.\n" +
            "".join(one.line(2) for one in made), "ascii")
    versions = [f"{n} {importlib.metadata.version(n)}"
                for n in ("fpylll", "cysignals")]
    values.write_text(
        f"# {versions[0]} on integers.txt: squared distances of best and "
        "second best.\n" +
        "".join("{} {}\n".format(*integers_library.closest(one, 2)) for one, _
                in demo_integers.read(inputs.read_text("ascii"))), "ascii")
    notes = {"made_by": "tests/outside/freeze_integers.py",
             "libraries": versions,
             "sha256": {n: support.sha256((support.VECTORS / n).read_bytes())
                        for n in NAMES}}
    (support.VECTORS / "integers.json").write_text(
        json.dumps(notes, indent=1) + "\n", "ascii")


if __name__ == "__main__":
    support.with_libraries()
    main()
