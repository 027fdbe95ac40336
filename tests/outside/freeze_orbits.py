"""Writes the frozen layer of the files with orbits that we write.

usage: freeze_orbits.py [--new-inputs]

Installs the pinned libraries if need be and runs with them. What our writers
make of demo_orbits.py's files is frozen only where the libraries read the
input's own numbers in it.
"""
import importlib.metadata
import json
import pathlib
import sys
import tempfile
import warnings

import demo_orbits
import navigation_text
import support

INPUTS = {"orbits4.rnx": demo_orbits.navigation,
          "orbits.sp3": demo_orbits.orbits}
# Output: what our program is asked for.
OUTPUTS = {
    "orbits_written402.rnx": ("navigation", "orbits4.rnx", "402"),
    "orbits_written305.rnx": ("navigation", "orbits4.rnx", "305"),
    "orbits_written211g.rnx": ("navigation", "orbits4.rnx", "211", "G"),
    "orbits_written211r.rnx": ("navigation", "orbits4.rnx", "211", "R"),
    "orbits_written.sp3": ("sp3", "orbits.sp3"),
}
OLD = ("LNAV", "INAV", "FNAV", "D1", "D2", "FDMA", "SBAS")


def written(name):
    kind, given, *rest = OUTPUTS[name]
    return support.dump(kind, support.VECTORS / given, *rest,
                        program="rewrite_files")


def is_set(record):
    return not record[1].startswith("ION")


def checks(texts):
    """(name, values, differences) of every output, by the libraries."""
    import orbits_written
    given = navigation_text.read(
        (support.VECTORS / "orbits4.rnx").read_text("ascii"))
    yield "402", *navigation_text.differences(
        orbits_written.version4_records(texts["orbits_written402.rnx"], 99),
        given, is_set)
    # The library reads no input of version 4: by the second reader's text.
    three = texts["orbits_written305.rnx"]
    yield "305 second reader", *navigation_text.differences(
        [r for r in navigation_text.read(three) if is_set(r)],
        given, lambda r: r[1] in OLD)
    sets = orbits_written.library_sets(three, "GRECJSI")
    yield "305 library", *orbits_written.library_differences(
        sets, [r for r in given if r[1] in OLD])
    for letter in "GR":
        name = f"orbits_written211{letter.lower()}.rnx"
        two = orbits_written.library_sets(texts[name], letter)
        three = {k: v for k, v in sets.items() if k[0][0] == letter}
        for row in (r for rows in three.values() for r in rows):
            if letter == "R":
                row["MessageFrameTime"] %= 86400
        yield name, *orbits_written.differences(two, three)
    with tempfile.TemporaryDirectory() as folder:
        place = pathlib.Path(folder, "written.sp3")
        place.write_text(texts["orbits_written.sp3"], "ascii")
        yield "sp3", *orbits_written.sp3_differences(
            place, support.VECTORS / "orbits.sp3")


def main():
    # The library's use of xarray is older than the xarray it installs with.
    warnings.simplefilter("ignore", FutureWarning)
    if "--new-inputs" in sys.argv:
        for name, make in INPUTS.items():
            (support.VECTORS / name).write_text(make(), "ascii")
    texts = {name: written(name) for name in OUTPUTS}
    for name, values, wrong in checks(texts):
        print(f"{name}: {values} values, {len(wrong)} differ")
        if wrong or not values:
            sys.exit("\n".join(wrong[:20]) or "nothing was compared")
    for name, text in texts.items():
        (support.VECTORS / name).write_text(text, "ascii")
    notes = {"made_by": "tests/outside/freeze_orbits.py",
             "libraries": [f"{n} {importlib.metadata.version(n)}"
                           for n in ("georinex", "nmbu-rinex")],
             "sha256": {n: support.sha256((support.VECTORS / n).read_bytes())
                        for n in (*INPUTS, *OUTPUTS)}}
    (support.VECTORS / "orbits_written.json").write_text(
        json.dumps(notes, indent=1) + "\n", "ascii")


if __name__ == "__main__":
    support.with_libraries()
    main()
