"""Mismatched and spoilt products on real days: `locate --method ppp` answers
within three of its sigmas, or says what does not belong together.

The stations and their truth are those of ppp_days.py (truth.json); the damage
is done to copies of the published files. Skipped without data.
"""
import datetime
import gzip
import pathlib
import re
import tempfile
import unittest

from ppp_support import (COD, EARTH_2020, ESBC, GPS_PATTERNS, GRG, OFFSETS,
                         SIO, WETTZELL, WUM_NAME, data, main, run, truth)
from ppp_seeds import local

ESBC_DAY = ESBC + "ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz"
WTZR_HOUR = WETTZELL + "WTZR00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz"
WTZZ_HOUR = WTZR_HOUR.replace("WTZR", "WTZZ")
GRG_DAY, GRG_BEFORE, GRG_CLOCKS = GRG[1], GRG[2], GRG[4]
WUM_CLOCKS, WUM_BIASES = (WUM_NAME + "30S_CLK.CLK.gz",
                          WUM_NAME + "01D_OSB.BIA.gz")
WTZR_ANTENNAS = ("--antennas", GPS_PATTERNS,
                 WETTZELL + "igs20_wettzell_trim.atx.gz")
MORNING = ("--start", "2020-06-25T06:00:00", "--end", "2020-06-25T08:00:00")


def opened(name):
    """Text of a packed file."""
    with gzip.open(data(name), "rt", encoding="latin-1") as file:
        return file.read()


class Mismatched(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)

    def write(self, text, name="changed"):
        path = self.folder / name
        path.write_text(text, encoding="latin-1")
        return str(path)

    def locate(self, *words):
        found = [data(w) if "/" in w and not w.startswith("/") else w
                 for w in words]
        return run("locate", *found, "--method", "ppp", "--json", timeout=600)

    def esbc(self, *words, earth=EARTH_2020, span=MORNING):
        return self.locate(ESBC_DAY, *OFFSETS, *earth, *span, *words)

    def wtzr(self, *words, antennas=WTZR_ANTENNAS):
        return self.locate(WTZR_HOUR, *OFFSETS, *EARTH_2020, *antennas, *words)

    def honest(self, answer, name):
        """The document; a converged one within three of its sigmas, the
        truth's own among them."""
        self.assertIn(answer.code, (0, 1), answer)
        document = answer.json()
        if document["status"] == "converged":
            ecef_m, truth_mm = truth(name)
            position = document["position"]
            off = local([a - b for a, b in zip(position["ecef_m"], ecef_m)],
                        ecef_m)
            print(name, *(f"{1e3 * v:+.1f}" for v in off), "mm, sigma",
                  *(f"{1e3 * v:.1f}" for v in position["sigma_enu_m"]))
            for error, sigma in zip(off, position["sigma_enu_m"]):
                allowed = 3 * (sigma ** 2 + (truth_mm / 1e3) ** 2) ** 0.5
                self.assertLess(abs(error), allowed, document["warnings"])
        return document

    def converged(self, answer, name):
        document = self.honest(answer, name)
        self.assertEqual(document["status"], "converged", document["why"])
        return document

    def warned(self, document, code, *words):
        found = [w for w in document["warnings"] if w["code"] == code]
        self.assertEqual(len(found), 1,
                         [w["code"] for w in document["warnings"]])
        for word in words:
            self.assertIn(word, found[0]["what"])
        return found[0]

    def failed(self, answer, *words):
        self.assertEqual(answer.code, 3, answer)
        error = answer.json()["error"]
        for word in words:
            self.assertIn(word, error["where"] + error["what"])
        return error


class Agencies(Mismatched):
    mixed = (*COD, "--clocks", GRG_CLOCKS)

    def test_orbits_and_clocks_of_two_agencies_stay_within_sigma(self):
        for span in (MORNING, ()):
            self.converged(self.esbc(*self.mixed, span=span), "ESBC")
        self.converged(self.wtzr(*self.mixed), "WTZR in 2020")

    def test_orbits_and_clocks_of_two_agencies_are_named(self):
        document = self.honest(self.esbc(*self.mixed), "ESBC")
        self.warned(document, "products_mixed", "COD", "GRG")

    def test_orbits_of_two_agencies_together(self):
        for orbits in ((COD[1], GRG_DAY), (GRG_DAY, COD[1])):
            self.honest(self.esbc("--orbits", *orbits), "ESBC")

    def test_clocks_without_a_system_say_which(self):
        # The GRG clocks are of GPS, GLONASS and Galileo; the COD orbits and
        # the observations have BeiDou too.
        document = self.honest(self.esbc(*self.mixed), "ESBC")
        self.assertNotIn("C", document["used"]["satellites"])
        words = " ".join(w["what"] for w in document["warnings"])
        self.assertRegex(words, "clock.*(BeiDou|C[0-9][0-9])|"
                         "(BeiDou|C[0-9][0-9]).*clock")


class Frames(Mismatched):
    def test_calibrations_of_another_frame(self):
        document = self.converged(self.wtzr(*GRG), "WTZR in 2020")
        found = self.warned(document, "frame_mixed", "IGS20", "IGb14")
        self.assertGreater(found["size_m"], 0.01)
        self.assertEqual(document["position"]["frame"], "IGb14")

    def test_orbits_in_two_frames(self):
        error = self.failed(
            self.esbc("--orbits", GRG_DAY, WUM_NAME + "05M_ORB.SP3.gz"),
            "IGb14", "IGS20", "WUM0MGXRAP")
        self.assertEqual(error["code"], "mixed_input")


class Times(Mismatched):
    def test_orbits_of_the_day_before(self):
        self.failed(self.wtzr("--orbits", GRG_BEFORE, "--clocks", GRG_CLOCKS),
                    "2020-06-23T23:59:42Z to 2020-06-24T23:44:42Z",
                    "2020-06-24T23:59:42Z to 2020-06-25T23:59:12Z")

    def test_clocks_of_another_year(self):
        self.failed(self.wtzr("--orbits", GRG_DAY, "--clocks", WUM_CLOCKS),
                    "2020-06-25T", "2024-11-23T")

    def test_biases_of_another_year(self):
        document = self.converged(self.wtzr(*GRG, "--biases", WUM_BIASES),
                                  "WTZR in 2020")
        self.warned(document, "code_bias_unknown")

    def test_earth_orientation_of_another_year(self):
        earth = ("--earth", SIO + "eopc04_14_IAU2000.24.csv")
        document = self.converged(self.esbc(*GRG, earth=earth), "ESBC")
        found = self.warned(document, "earth_orientation_missing", "cover")
        self.assertGreater(found["size_m"], 0.005)

    def test_orbits_that_end_a_quarter_of_an_hour_early(self):
        span = ("--start", "2020-06-25T20:00:00", "--end",
                "2020-06-26T00:00:00")
        document = self.converged(self.esbc(*GRG, span=span), "ESBC")
        self.warned(document, "products_end_early", "end")

    def test_clocks_stamped_late(self):
        # By 30 s most clocks are the same to some centimetres; by an hour
        # their drifts have become metres.
        text = opened(GRG_CLOCKS)

        def stamped(seconds):
            def later(m):
                time = datetime.datetime(*map(int, m.groups()[1:])) + \
                    datetime.timedelta(seconds=seconds)
                return (f"{m[1]}{time:%Y} {time.month:2} {time.day:2} "
                        f"{time.hour:2} {time.minute:2} {time.second:2}")
            return self.write(re.sub(
                r"(?m)^(A[SR] \S+ +)(\d{4}) ([ \d]\d) ([ \d]\d) ([ \d]\d) "
                r"([ \d]\d) ([ \d]\d)", later, text), f"late{seconds}.clk")

        orbits = ("--orbits", GRG_DAY, "--clocks")
        for seconds in (30, 3600):
            with self.subTest(seconds=seconds):
                answer = self.esbc(*orbits, stamped(seconds))
                if answer.code == 3:
                    self.failed(answer)
                else:
                    self.honest(answer, "ESBC")


class Lacking(Mismatched):
    def test_the_stations_antenna(self):
        document = self.converged(
            self.locate(WTZR_HOUR, *GRG, *EARTH_2020, "--antennas",
                        GPS_PATTERNS), "WTZR in 2020")
        self.assertEqual(document["antenna"]["calibration"], "none")
        self.warned(document, "antenna_uncalibrated", "LEIAR25.R3")
        # Its satellites are those of the file.
        self.assertEqual(set(document["used"]["satellites"]), {"G"})

    def test_two_stations_are_not_one(self):
        error = self.failed(self.locate(WTZR_HOUR, WTZZ_HOUR, *GRG),
                            "WTZR", "WTZZ")
        self.assertEqual(error["code"], "mixed_input")


class OneSatellite(Mismatched):
    def changed(self, name, pattern, change):
        text, count = re.subn(pattern, change, opened(name))
        self.assertGreater(count, 50, pattern)
        return self.write(text)

    def test_an_orbit_ten_metres_off(self):
        for satellite in ("G12", "E02", "R14"):
            path = self.changed(
                GRG_DAY, rf"(?m)^(P{satellite})(.{{14}})",
                lambda m: f"{m[1]}{float(m[2]) + 0.01:14.6f}")
            document = self.honest(
                self.esbc("--orbits", path, "--clocks", GRG_CLOCKS), "ESBC")
            self.assertIn(satellite,
                          {s["satellite"] for s in document["satellites"]} |
                          {e["satellite"] for e in document["excluded"]})

    def test_a_clock_that_jumps_by_ten_nanoseconds(self):
        for satellite in ("G12", "E02", "R14"):
            path = self.changed(
                GRG_CLOCKS, rf"(?m)^(AS {satellite} +2020 +6 25 +(\d+) +\d+ "
                r"+[\d.]+ +\d +)(\S+)",
                lambda m: m[0] if int(m[2]) < 7 else
                f"{m[1]}{float(m[3]) + 1e-8:.12E}")
            self.converged(
                self.esbc("--orbits", GRG_DAY, "--clocks", path), "ESBC")


if __name__ == "__main__":
    main()
