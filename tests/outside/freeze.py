"""Writes the frozen layer: inputs, values and where they came from.

usage: freeze.py --new-inputs | freeze.py

Installs the pinned libraries if need be and runs with them. --new-inputs
writes the invented files anew too (of RTCM with our built make_rtcm);
otherwise they stay and only the libraries' answers are taken again.
rtcm_published.txt is not invented and always stays. A change of any frozen
value wants a reason in the commit.
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
    import demo_nmea
    write("nmea.txt", "\n".join(demo_nmea.sentences(1, 5)) + "\n")
    import rtcm_text
    made = rtcm_text.read_dump(support.dump("1", "1", program="make_rtcm"))
    write("rtcm_made.txt",
          "# Messages of make_rtcm 1 1, of every type that we encode; nothing "
          "is a sky or\n# a station.\n" +
          "".join(frame + "\n" for (frame,), _ in made))


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


def freeze_nmea():
    import nmea_text
    lines = (support.VECTORS / "nmea.txt").read_text("ascii").splitlines()
    write("nmea.values.txt",
          f"# {version('pynmeagps')} on nmea.txt; fields as in dump_nmea.cc.\n"
          + nmea_text.write_dump(nmea_text.read_library(lines)))


def freeze_rtcm(name):
    import rtcm_text
    frames = rtcm_text.hex_frames(support.VECTORS / f"{name}.txt")
    read = [rtcm_text.read_library(frame) for frame in frames]
    write(f"{name}.values.txt",
          f"# {version('pyrtcm')} on {name}.txt; fields as in dump_rtcm.cc, ? "
          "for satellites that it\n# does not name.\n" +
          rtcm_text.write_dump(
              ([str(number), *fields["DF002"]], fields)
              for number, fields in enumerate(read, 1)))


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
    freeze_nmea()
    for name in ("rtcm_published", "rtcm_made"):
        freeze_rtcm(name)
    import questions
    freeze_answers("geodesy.vec", "Geodetic coordinates and plate velocities.",
                   questions.geodesy())
    freeze_answers("time.vec", "Leap seconds, day counts and GPST of UTC.",
                   questions.time())
    inputs = [f"{n}.{e}" for n in ("demo3", "demo2")
              for e in ("rnx", "crx", "values.txt")]
    inputs += ["geodesy.vec", "time.vec"]
    inputs += [f"{n}.{e}" for n in ("nmea", "rtcm_published", "rtcm_made")
               for e in ("txt", "values.txt")]
    notes = {
        "made_by": "tests/outside/freeze.py",
        "libraries": [version(n) for n in ("georinex", "hatanaka", "pyproj",
                                           "pyerfa", "pynmeagps", "pyrtcm",
                                           "numpy", "xarray")],
        "python": platform.python_version(),
        "sha256": {n: support.sha256((support.VECTORS / n).read_bytes())
                   for n in inputs},
    }
    write("frozen.json", json.dumps(notes, indent=1) + "\n")


if __name__ == "__main__":
    support.with_libraries()
    main()
