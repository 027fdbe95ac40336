"""Four stations that stand still in one simulated hour, and `tie` between
them: what tests of ties share. Every coordinate is the simulator's truth.
"""
import math
import pathlib
import re
import tempfile
import unittest

from running import check
from simulated import to_enu
from support import run

START = "2026-06-02T06:00:00"
EPOCH = "2026-06-02"
# Name, east, north, up of the first [m]; the first is the one that is sought.
STATIONS = (("LHOL", 0, 0, 0), ("MILL", 900, -700, -20),
            ("RIDG", -1200, 400, 60), ("PUMP", 300, 1500, -15))
WORLD = """
name = "four-masts"
about = "Four masts within two kilometres. All of it is simulated."
seed = 20260604
start = 2026-06-02T06:00:00
hours = 1

[weather]
pressure_hpa = 955.5
"""


def receiver(name, east, north, up):
    place = (f'from = "LHOL"\neast_m = {east}\nnorth_m = {north}\nup_m = {up}'
             if name != "LHOL" else
             "latitude_deg = 47.3\nlongitude_deg = 8.9\nheight_m = 512.0")
    return f"""
[[receiver]]
name = "{name}"
about = "a mast"
{place}
antenna_height_m = 0.1
interval_s = 30
zenith_dbhz = 50
clock = "steered"
skyline_deg = [[0, 5], [180, 4]]
"""


class Tied(unittest.TestCase):
    """Starts `tie` in that world; files of a test lie in self.folder."""

    @classmethod
    def setUpClass(cls):
        shared = tempfile.TemporaryDirectory()
        cls.addClassCleanup(shared.cleanup)
        world = pathlib.Path(shared.name)
        cls.scenario = scenario = world / "four-masts.toml"
        scenario.write_text(WORLD + "".join(receiver(*s) for s in STATIONS))
        answer = run("simulate", scenario, "--out", world / "out", "--json")
        assert answer.code == 0, answer
        document = answer.json()
        cls.files = {f["kind"]: f["path"] for f in document["files"]}
        cls.observations, cls.marker = {}, {}
        for station in document["receivers"]:
            cls.marker[station["name"]] = station["marker"]
            for file in station["files"]:
                if file["kind"] == "observations":
                    cls.observations[station["name"]] = file["path"]

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)

    def epochs(self, name):
        """(head, [epoch]) of a station's observations."""
        with open(self.observations[name], encoding="ascii") as file:
            head, body = file.read().split("END OF HEADER\n")
        return head + "END OF HEADER\n", re.split(r"(?m)^(?=> )", body)[1:]

    def write(self, name, head, epochs):
        path = self.folder / name
        path.write_text(head + "".join(epochs))
        return path

    def known(self, name, up_m=0, sigma=0.003):
        """--known of a station, too high by up_m."""
        x, y, z = self.marker[name]["ecef_m"]
        lat, lon = (math.radians(v)
                    for v in self.marker[name]["geodetic_deg_m"][:2])
        place = (x + up_m * math.cos(lat) * math.cos(lon),
                 y + up_m * math.cos(lat) * math.sin(lon),
                 z + up_m * math.sin(lat))
        sigmas = (sigma,) * 3 if sigma else ()
        return ",".join(f"{v:.4f}" for v in place + sigmas)

    def tie(self, *words, to=("MILL",), up_m=None, sigma=0.003,
            frame="IGS20@" + EPOCH, here=None):
        """`tie --json` of LHOL to these, `up_m` what is wrong with some."""
        line = ["tie", here or self.observations["LHOL"], "--nav",
                self.files["navigation"], "--antennas",
                self.files["antennas"]]
        for name in to:
            line += ["--to", self.observations[name], "--known",
                     self.known(name, (up_m or {}).get(name, 0), sigma)]
        if frame:
            line += ["--frame", frame]
        return run(*line, "--json", *words)

    def document(self, answer, code=0):
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "tie")
        return answer.json()

    def refused(self, answer, code, named):
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        error = answer.json()["error"]
        self.assertIn(named, error["what"])
        self.assertTrue(error["remedy"])
        return error

    def off_enu_m(self, document):
        """The answer minus the truth."""
        marker = self.marker["LHOL"]
        return to_enu(marker, [a - b for a, b in
                               zip(document["position"]["ecef_m"],
                                   marker["ecef_m"])])
