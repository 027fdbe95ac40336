"""What tests of the simulated world share: its files read by plain Python, and
positions beside the truth. Shares no code with the program.
"""
import csv
import math

from running import InFolder, check
from support import run

START, END = "2026-06-02T06:00:00", "2026-06-02T10:00:00"
# Terms that code positions cannot do without, or that a world without them
# must not have.
WITHOUT = ("troposphere", "relativity", "shapiro", "ionosphere", "beidou-code")


def epochs_of(text):
    """[(epoch line, {satellite: [(value or None, indicator)]})] of RINEX 3."""
    epochs = []
    body = text.partition("END OF HEADER")[2].splitlines()[1:]
    for line in body:
        if line.startswith(">"):
            epochs.append((line[:29], {}))
            continue
        fields = []
        for at in range(3, len(line), 16):
            value, lli = line[at:at + 14].strip(), line[at + 14:at + 15]
            fields.append((float(value) if value else None, lli.strip()))
        epochs[-1][1][line[:3]] = fields
    return epochs


def columns_of(text):
    """{system: [observation code]} of a RINEX 3 header."""
    columns, system = {}, None
    for line in text.splitlines():
        if line[60:].startswith("SYS / # / OBS TYPES"):
            system = line[0] if line[0] != " " else system
            columns.setdefault(system, []).extend(line[7:58].split())
        if line[60:].startswith("END OF HEADER"):
            return columns
    raise AssertionError("no end of the header")


def truth_rows(path):
    with open(path, newline="", encoding="ascii") as file:
        return [{key: value if key.startswith("time") else float(value)
                 for key, value in row.items()}
                for row in csv.DictReader(file)]


def to_enu(marker, vector):
    """Of a vector [m] at the marker of a document."""
    lat, lon = (math.radians(v) for v in marker["geodetic_deg_m"][:2])
    x, y, z = vector
    sl, cl, sp, cp = (math.sin(lon), math.cos(lon), math.sin(lat),
                      math.cos(lat))
    return (-sl * x + cl * y, -sp * cl * x - sp * sl * y + cp * z,
            cp * cl * x + cp * sl * y + sp * z)


class Simulated(InFolder):
    def simulate(self, *words, code=0, scenario="larch-hollow"):
        out = self.folder / "world"
        answer = run("simulate", scenario, "--out", out, "--json", *words)
        self.assertEqual(answer.code, code, answer)
        document = answer.json()
        check(document, "simulate" if code == 0 else "error")
        return document

    def station(self, *words):
        """Four hours of the station at 30 s."""
        return self.simulate("--receiver", "LHOL00XXX", "--start", START,
                             "--end", END, "--interval", "30", *words)

    def path(self, document, kind):
        files = document["files"] + document["receivers"][0]["files"]
        found = [f["path"] for f in files if f["kind"] == kind]
        self.assertEqual(len(found), 1, kind)
        return found[0]

    def error_enu_m(self, document, *words, orbits=False):
        """locate's answer minus the truth."""
        more = ["--orbits", self.path(document, "orbits")] if orbits else []
        answer = run("locate", self.path(document, "observations"), "--nav",
                     self.path(document, "navigation"), "--method", "code",
                     "--json", *more, *words)
        self.assertEqual(answer.code, 0, answer)
        marker = document["receivers"][0]["marker"]
        off = [a - b for a, b in zip(answer.json()["position"]["ecef_m"],
                                     marker["ecef_m"])]
        return to_enu(marker, off)

    def assert_near(self, got, wanted, tolerance, what):
        for g, w, axis in zip(got, wanted, "enu"):
            self.assertAlmostEqual(g, w, delta=tolerance,
                                   msg=f"{what}, {axis}")
