"""Writes the frozen layer of our observation writer, as freeze.py does for the
readers.

usage: freeze_written.py

Writes the invented epochs anew with our built write_observations, asks the
pinned libraries what they make of the files, and stops where they disagree. A
change of any frozen file wants a reason in the commit.
"""
import importlib.metadata
import json
import platform
import sys

import support
import written_text


def freeze(name):
    import freeze as readers
    import libraries
    file, version = written_text.DEMO[name]
    epochs = written_text.epochs_of(
        (support.VECTORS / file).read_text(encoding="ascii"))
    text, _ = written_text.write(epochs, version)
    compact, _ = written_text.write(epochs, version, "--hatanaka")
    restored, _ = libraries.restored(compact.encode())
    if restored != text.encode():
        sys.exit(f"{name}: the library restores another text")
    readers.write(f"written{name}.rnx", text)
    readers.write(f"written{name}.crx", compact)
    # Takes the library's values of the pair.
    readers.freeze_values(f"written{name}")


def main():
    for name in written_text.DEMO:
        freeze(name)
    files = [f"written{n}.{e}" for n in written_text.DEMO
             for e in ("rnx", "crx", "values.txt")]
    notes = {
        "made_by": "tests/outside/freeze_written.py",
        "libraries": [f"{n} {importlib.metadata.version(n)}"
                      for n in ("georinex", "hatanaka", "numpy", "xarray")],
        "python": platform.python_version(),
        "sha256": {n: support.sha256((support.VECTORS / n).read_bytes())
                   for n in files},
    }
    (support.VECTORS / "written.json").write_text(
        json.dumps(notes, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    support.with_libraries()
    main()
