"""One simulated morning with all of its products, and ways to spoil them: what
tests of damaged and mismatched products share. The simulator writes no files
of loading, Earth orientation or antenna offsets; those are written here.
"""
import datetime
import pathlib
import re
import tempfile
import tomllib
import unittest

from running import check
from simulated import to_enu
from support import SOURCE, run

SCENARIO = SOURCE / "scenarios/larch-hollow.toml"
START, END = "2026-06-02T05:00:00", "2026-06-02T08:00:00"
OPTIONS = {"observations": None, "navigation": "--nav", "orbits": "--orbits",
           "clocks": "--clocks", "biases": "--biases",
           "antennas": "--antennas", "offsets": "--offsets",
           "loading": "--loading", "earth": "--earth"}
# The simulator's rough position of the header; in every document.
ALWAYS = {"header_position_differs"}


def loading_text(station):
    """The scenario's loading as BLQ; the simulator writes none."""
    with open(SCENARIO, "rb") as file:
        loading = tomllib.load(file)["receiver"][0]["loading"]
    rows = ["$$ from the scenario", "  " + station]
    for what, factor in (("mm", 1e-3), ("deg", 1)):
        for axis in ("up", "west", "south"):
            rows.append(" ".join(f"{v * factor:.5f}"
                                 for v in loading[f"{axis}_{what}"]))
    return "\n".join(rows) + "\n"


def earth_text(first_mjd, days=8):
    """C04 rows with the pole where it is on average, so that there is no pole
    tide, which the simulated world does not have: the secular pole of 2026.4,
    55.0 + 1.677 (t - 2000) and 320.5 + 3.460 (t - 2000) mas.
    source: IERS Conventions (2010), 7.1.4, updated 2018; from memory."""
    rows = []
    for mjd in range(first_mjd, first_mjd + days):
        day = datetime.date(1858, 11, 17) + datetime.timedelta(mjd)
        rows.append(f"{day.year:4}{day.month:4}{day.day:4}{mjd:7}"
                    f"{0.0993:11.6f}{0.4119:11.6f}{0.05:12.7f}{0.0005:12.7f}"
                    "   0.000000   0.000000   0.000057   0.000039"
                    "  0.0000123  0.0000126    0.000044    0.000057\n")
    return "".join(rows)


def antennas_of(text):
    """(head, [antenna]) of an ANTEX file."""
    head, *antennas = re.split(r"(?m)^(?= +START OF ANTENNA)", text)
    return head, antennas


def offsets_text(antex, receiver="SPDEMO-A1       NONE"):
    """The offsets of L1 and L2 of an ANTEX file as SINEX."""
    found = {}
    for antenna in antennas_of(antex)[1]:
        name = antenna.splitlines()[1]
        key = name[20:23] if name[20:23].strip() else receiver
        values = re.findall(r"(?m)^(.{30}) +NORTH / EAST / UP", antenna)
        found[key] = [[float(v) / 1000 for v in row.split()]
                      for row in values[:2]]
    rows = {True: [], False: []}
    for key, two in found.items():
        satellite = len(key) == 3
        # Satellites are printed Z, X, Y and receivers up, north, east, in
        # six columns: no zero before the point.
        words = [" ".join(f"{v:6.4f}".replace("0.", ".", 1).rjust(6)
                          for v in (f[2], f[0], f[1])) for f in two]
        lead = (f" {key}  1 {words[0]} 2 {words[1]} " if satellite else
                f" {key} ----- {words[0]} {words[1]} ")
        rows[satellite].append(lead + "SIM       " +
                               (" A E" if satellite else "") + "\n")
    return ("%=SNX 2.02 SIM 26:153:00000 SIM 26:153:00000 26:154:00000 P"
            " 00000 2 A\n"
            "+SITE/GPS_PHASE_CENTER\n" + "".join(rows[False]) +
            "-SITE/GPS_PHASE_CENTER\n"
            "+SATELLITE/PHASE_CENTER\n" + "".join(rows[True]) +
            "-SATELLITE/PHASE_CENTER\n%ENDSNX\n")


def moved_in_time(text, kind, days):
    """The file of another day: every date in it, and nothing else."""
    step = datetime.timedelta(days=days)
    zeros = kind in ("navigation", "observations")

    def dates(line):
        def later(match):
            day = datetime.date(*map(int, match.groups())) + step
            new = zip(match.groups(), (day.year, day.month, day.day))
            # The columns stay as they are.
            return "".join(f" {value:02}" if zeros and len(old) == 3 else
                           str(value).rjust(len(old)) for old, value in new)
        return re.sub(r"(\d{4})( +\d+)( +\d+)", later, line, count=1)

    def doy(match):
        if match[1] == "0000":
            return match[0]
        day = datetime.date(int(match[1]), 1, 1) + datetime.timedelta(
            int(match[2]) - 1) + step
        return f"{day:%Y:%j}:"

    out = []
    for line in text.splitlines(keepends=True):
        if kind == "orbits" and line.startswith("##"):
            seconds = float(line[7:23]) + 86400 * days
            week = int(line[3:7]) + int(seconds // 604800)
            line = (f"## {week:4} {seconds % 604800:15.8f}{line[23:39]}"
                    f"{int(line[39:44]) + days:5}{line[44:]}")
        elif kind == "biases":
            line = re.sub(r"(\d{4}):(\d{3}):", doy, line)
        elif (kind == "antennas" and "VALID FROM" in line) or (
                kind == "orbits" and line[:2] in ("#d", "* ")) or (
                kind == "clocks" and line.startswith("AS ")) or (
                kind == "navigation" and line[0] in "GRECJ") or (
                kind == "observations" and line[0] == ">"):
            line = dates(line)
        out.append(line)
    return "".join(out)


def clocks_changed(text, satellite, change):
    """change(hour, clock [s]) for every clock of a satellite; None: left
    out."""
    out = []
    for line in text.splitlines(keepends=True):
        if line.startswith("AS " + satellite):
            words = line.split()
            hour = int(words[5]) + int(words[6]) / 60
            value = change(hour, float(words[9]))
            if value is None:
                continue
            line = line[:line.rindex(words[9])].rstrip() + f" {value:20.12E}\n"
        out.append(line)
    return "".join(out)


class World:
    """A simulated session with all of its products, written once."""

    def __init__(self, folder, *words, start=START, end=END,
                 scenario=SCENARIO):
        answer = run("simulate", scenario, "--receiver", "LHOL00XXX",
                     "--start", start, "--end", end, "--interval", "30",
                     "--rinex", "--products", "--out", folder, "--json",
                     *words)
        if answer.code != 0:
            raise AssertionError(str(answer))
        document = answer.json()
        receiver = document["receivers"][0]
        self.marker = receiver["marker"]
        self.files = {f["kind"]: pathlib.Path(f["path"])
                      for f in document["files"] + receiver["files"]}
        self.files = {k: v for k, v in self.files.items() if k in OPTIONS}
        for kind, text in (("loading", loading_text("LHOL")),
                           ("earth", earth_text(61190))):
            self.files[kind] = folder / kind
            self.files[kind].write_text(text)

    def text(self, kind):
        return self.files[kind].read_text()


class Products(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.base = tempfile.TemporaryDirectory()
        cls.addClassCleanup(cls.base.cleanup)
        cls.world = World(pathlib.Path(cls.base.name) / "world")

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)

    def write(self, content, name="changed"):
        path = self.folder / name
        if isinstance(content, str):
            content = content.encode()
        path.write_bytes(content)
        return path

    def locate(self, *words, world=None, **changed):
        """All products but those that are changed (None: not given)."""
        world = world or self.world
        given = {**world.files, **changed}
        observations = given.pop("observations")
        if not isinstance(observations, list):
            observations = [observations]
        products = []
        for kind, value in given.items():
            if value is not None:
                products += [OPTIONS[kind],
                             *(value if isinstance(value, list) else [value])]
        return run("locate", *observations, "--method", "ppp", *products,
                   *words, "--json")

    def solved(self, answer, marker=None, unharmed=False):
        """The document, by its schema, and honest: a converged answer within
        three sigmas of the truth. unharmed: and within one of the answer that
        good products give, so that the damage does no more than noise does."""
        self.assertIn(answer.code, (0, 1), answer)
        document = answer.json()
        check(document, "locate")
        self.assertEqual(document["status"],
                         "converged" if answer.code == 0 else "not_converged")
        if document["status"] == "converged":
            marker = marker or self.world.marker
            self.assert_within(document, marker["ecef_m"], 3)
        if unharmed:
            good = self.locate().json()["position"]
            self.assert_within(document, good["ecef_m"], 1)
        return document

    def assert_within(self, document, ecef_m, sigmas):
        position = document["position"]
        off = to_enu(self.world.marker,
                     [a - b for a, b in zip(position["ecef_m"], ecef_m)])
        for error, sigma, axis in zip(off, position["sigma_enu_m"], "enu"):
            self.assertLess(abs(error), sigmas * sigma,
                            f"{axis}; warnings {self.codes(document)}, "
                            f"noise {document['systems']}")

    def converged(self, answer, **more):
        document = self.solved(answer, **more)
        self.assertEqual(document["status"], "converged", document["why"])
        return document

    def codes(self, document):
        return {w["code"] for w in document["warnings"]} - ALWAYS

    def warned(self, document, code, *words, size=True):
        found = [w for w in document["warnings"] if w["code"] == code]
        self.assertEqual(len(found), 1, document["warnings"])
        for word in words:
            self.assertIn(word, found[0]["what"])
        if size:
            self.assertGreater(found[0]["size_m"], 0)
        return found[0]

    def failed(self, answer, *words):
        """No position; the error says why."""
        self.assertEqual(answer.code, 3, answer)
        document = answer.json()
        check(document, "locate" if "status" in document else "error")
        if "status" in document:
            self.assertEqual(document["status"], "failed")
        error = document["error"]
        self.assertTrue(error["remedy"], error)
        for word in words:
            self.assertIn(word, error["where"] + error["what"], error)
        return error

    def says_they_do_not_fit(self, error):
        """Where the spans are right, they are not the reason."""
        self.assertRegex(error["what"] + error["remedy"],
                         "fit|disagree|mixed|belong")

    def with_offsets(self, text):
        """Satellites' offsets from SINEX, the station's antenna of ANTEX."""
        head, antennas = antennas_of(self.world.text("antennas"))
        station = [a for a in antennas if "SPDEMO-A1" in a]
        return {"offsets": self.write(text, "offsets.snx"),
                "antennas": self.write(head + "".join(station), "own.atx")}
