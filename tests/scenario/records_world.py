"""A station's folder for `candidates`, `adopt`, `position` and `claim`, and
documents to bring there: invented, after the schemas of locate and tie.
"""
import json
import math
import sqlite3
import subprocess

import small_files
from running import WATCHDOG_S, InFolder, check
from support import limit_memory, program, run

SETTINGS = """[station]
name = "LHOL00XXX"
state = "{state}"

[antenna]
type = "SPDEMO-A1       NONE"
height_m = 1.2

[console]
listen = "{console}"

[[mountpoint]]
name = "LHOL"
"""
MARKER = small_files.antenna_ecef_m()
EPOCH = "2024-05-08T12:00:00Z"
YEAR_S = 365.25 * 86400
# EURA of the ITRF2020 plate motion model, mas a year about x, y, z.
EURA_2020 = (-0.085, -0.519, 0.753)


def axes(at):
    """East, north, up at a place, on a sphere: good to 0.2 degrees, which is
    4e-3 of an offset."""
    x, y, z = at
    lon, lat = math.atan2(y, x), math.atan2(z, math.hypot(x, y))
    return ((-math.sin(lon), math.cos(lon), 0),
            (-math.sin(lat) * math.cos(lon), -math.sin(lat) * math.sin(lon),
             math.cos(lat)),
            (math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon),
             math.sin(lat)))


def moved(at, enu):
    return [a + sum(axis[i] * d for axis, d in zip(axes(at), enu))
            for i, a in enumerate(at)]


def plate_velocity(omega_mas, at):
    rad = math.pi / (180 * 3600 * 1000)
    wx, wy, wz = (w * rad for w in omega_mas)
    x, y, z = at
    return (wy * z - wz * y, wz * x - wx * z, wx * y - wy * x)


def document(enu=(0, 0, 0), sigma=0.003, **changes):
    """What `locate --method ppp` would print of a day."""
    variance = sigma ** 2
    out = {
        "schema_version": 1, "status": "converged", "why": "settled",
        "method": "ppp-fixed", "marker": "LHOL00XXX",
        "position": {
            "ecef_m": [round(v, 5) for v in moved(MARKER, enu)],
            "geodetic_deg_m": [47.3, 8.9, 512.0], "frame": "IGS20",
            "epoch": EPOCH, "point": "marker", "sigma_enu_m": [sigma] * 3,
            "sigma_without_calibration_enu_m": [sigma] * 3,
            "covariance_ecef_m2": [[variance, 0, 0], [0, variance, 0],
                                   [0, 0, variance]]},
        "antenna": {"type": "SPDEMO-A1       NONE",
                    "delta_enu_m": [0, 0, 1.2], "calibration": "full"},
        "span": {"first": "2024-05-08T00:00:00Z",
                 "last": "2024-05-08T23:59:30Z", "epochs_seen": 2880},
        "used": {"epochs": 2880, "observations": 40000,
                 "satellites": {"G": 31}, "rejected": 3, "slips": 2},
        "excluded": [], "systems": [], "satellites": [],
        "residuals": {"phase_rms_m": 0.006, "code_rms_m": 0.5},
        "ambiguities": {"total": 40, "fixed": 38, "ratio": 9.0,
                        "integers_from": "phase biases"},
        "troposphere": {"zenith_delay_m": 2.3}, "warnings": [],
        "without": [],
        "inputs": [{"path": "XXX0OPSFIN_20241290000_01D_05M_ORB.SP3",
                    "sha256": "0" * 64}], "version": "0.1.0"}
    for key, value in changes.items():
        here = out
        *path, last = key.split("__")
        for step in path:
            here = here[step]
        here[last] = value
    return out


class Records(InFolder):
    console = "127.0.0.1:8080"

    def setUp(self):
        super().setUp()
        self.state = self.folder / "state"
        self.state.mkdir()
        self.config = self.write(SETTINGS.format(
            state=self.state, console=self.console).encode(), "station.toml")
        self.written = 0

    def start(self, verb, *words):
        words = [program(), verb, *words, "--config", self.config, "--json"]
        done = subprocess.run(
            list(map(str, words)), stdin=subprocess.DEVNULL, text=True,
            capture_output=True, timeout=WATCHDOG_S, check=False,
            preexec_fn=limit_memory)
        self.assertEqual(done.stderr, "")
        return done.returncode, json.loads(done.stdout)

    def ask(self, verb, *words, code=0):
        """The document, by its schema."""
        got, out = self.start(verb, *words)
        self.assertEqual(got, code, out)
        check(out, verb)
        return out

    def refused(self, verb, *words, code=3, error=None):
        got, out = self.start(verb, *words)
        self.assertEqual(got, code, out)
        check(out, "error")
        self.assertTrue(out["error"]["remedy"])
        if error:
            self.assertEqual(out["error"]["code"], error, out)
        return out["error"]

    def text(self, verb, *words, code=0):
        answer = run(verb, "--config", self.config, *words)
        self.assertEqual(answer.code, code, answer)
        self.assertEqual(answer.err, "")
        return answer.out

    def file(self, content, check_it=True):
        if isinstance(content, dict):
            if check_it:
                kind = "tie" if "ties" in content else "locate"
                check(content, kind)
            content = json.dumps(content, indent=1)
        self.written += 1
        return self.write(content.encode(), f"document-{self.written}.json")

    def add(self, *documents, code=0):
        return self.ask("candidates", "--add",
                        *(self.file(d) for d in documents), code=code)

    def database(self):
        return sqlite3.connect(self.state / "station.db")

    def rows(self, question):
        with self.database() as database:
            return database.execute(question).fetchall()
