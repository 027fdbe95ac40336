"""`position`, the adopted coordinate in the frame and at the epoch that is asked
for, and `claim`, the code that opens the console.

The movement of the plate and the change of frame are computed again here.
"""
import math
import os
import stat

from records_world import EPOCH, YEAR_S, Records, document, plate_velocity
from support import main


class Position(Records):
    def test_nothing_adopted_exits_1(self):
        self.add(document())
        out = self.ask("position", code=1)
        self.assertIsNone(out["position"])
        self.assertIsNone(out["record"])
        self.assertIn("adopt", self.text("position", code=1))

    def test_as_it_is(self):
        self.add(document())
        self.ask("adopt", 1, "--reason", "x")
        out = self.ask("position")
        self.assertEqual(
            (out["position"]["frame"], out["position"]["epoch"],
             out["moved_by"], out["moved_m"]), ("IGS20", EPOCH, "none", 0))
        self.assertEqual(out["position"]["marker"]["ecef_m"],
                         document()["position"]["ecef_m"])
        lat, lon, height = out["position"]["marker"]["geodetic_deg_m"]
        self.assertAlmostEqual(lat, 47.3, 8)
        self.assertAlmostEqual(lon, 8.9, 8)
        # The invented antenna was put on WGS84; GRS80 differs by 0.06 mm.
        self.assertAlmostEqual(height, 512, delta=2e-4)
        self.assertAlmostEqual(out["position"]["arp"]["geodetic_deg_m"][2],
                               513.2, delta=2e-4)
        shown = self.text("position")
        for word in ("Antenna", "Marker", "47.30000000", "IGS20", "one sigma"):
            self.assertIn(word, shown)

    def test_in_another_frame_and_at_another_epoch(self):
        self.add(document())
        self.ask("adopt", 1, "--reason", "x")
        out = self.ask("position", "--frame", "ITRF2014@2020-05-08T12:00:00Z")
        # The frame at the record's epoch: EPSG:9991 the other way.
        since_2015 = 2024 + 128.5 / 366 - 2015
        shift = (1.4e-3, 0.9e-3 + 0.1e-3 * since_2015,
                 -1.4e-3 - 0.2e-3 * since_2015)
        at = [m - t - 0.42e-9 * m for m, t in zip(
            document()["position"]["ecef_m"], shift)]
        # Then back by EURA of the ITRF2014 model.
        v = plate_velocity((-0.085, -0.531, 0.770), at)
        years = -1461 * 86400 / YEAR_S
        want = [a + years * b for a, b in zip(at, v)]
        got = out["position"]["marker"]["ecef_m"]
        self.assertLess(math.dist(got, want), 2e-5, (got, want))
        self.assertEqual(out["moved_by"], "plate model ITRF2014 EURA")
        self.assertAlmostEqual(out["moved_m"],
                               math.hypot(*v) * abs(years), delta=2e-5)
        self.assertAlmostEqual(out["position"]["covariance_ecef_m2"][0][0],
                               0.003 ** 2 + (0.0003 * years) ** 2, 10)

    def test_what_it_cannot_be_brought_into(self):
        self.add(document())
        self.ask("adopt", 1, "--reason", "x")
        for frame in ("WGS84", "ETRF2000", "ITRF2008@2010.0", "Nowhere"):
            with self.subTest(frame):
                self.refused("position", "--frame", frame,
                             error="frame_unknown")
        self.assertIn("--plate", self.refused(
            "position", "--plate", "XXXX", code=2)["what"])

    def test_outside_europe_a_plate_is_needed_for_another_epoch(self):
        self.add(document(
            position__ecef_m=[-4052052.6588, 4212835.9938, -2545104.6946]))
        self.ask("adopt", 1, "--reason", "x")
        self.ask("position", "--frame", "ITRF2014")
        self.assertIn("--plate", self.refused(
            "position", "--frame", "ITRF2014@2020.0")["remedy"])
        out = self.ask("position", "--frame", "ITRF2014@2020.0", "--plate",
                       "AUST")
        self.assertEqual(out["moved_by"], "plate model ITRF2014 AUST")

    def test_a_code_position_keeps_its_frame_or_says_so(self):
        self.add(document(position__frame="WGS84", method="code", sigma=0.3))
        self.ask("adopt", 1, "--reason", "nothing better yet")
        own = self.ask("position")
        self.assertEqual(own["position"]["frame"], "WGS84")
        out = self.ask("position", "--frame", "ITRF2020")
        self.assertIn("frame_broadcast", [w["code"] for w in out["warnings"]])
        self.assertAlmostEqual(out["position"]["covariance_ecef_m2"][1][1],
                               0.3 ** 2 + 0.05 ** 2, 8)


class Claim(Records):
    def mode(self, path):
        return stat.S_IMODE(path.stat().st_mode)

    def test_a_code_is_made_and_kept_as_a_hash(self):
        previous = os.umask(0)
        self.addCleanup(os.umask, previous)
        out = self.ask("claim")
        self.assertEqual(out["console"], "http://127.0.0.1:8080/")
        path = self.state / "claim-code"
        self.assertEqual(path.read_text().strip(), out["code"])
        self.assertEqual(self.mode(path), 0o600)
        self.assertGreaterEqual(len(out["code"].replace("-", "")) * 5, 64)
        kept = (self.state / "station.db").read_bytes()
        self.assertNotIn(out["code"].encode(), kept)
        self.assertNotIn(out["code"].replace("-", "").encode(), kept)
        self.assertNotEqual(self.ask("claim")["code"], out["code"])
        self.assertEqual(len(self.rows("SELECT * FROM logbook")), 2)

    def test_the_text_names_the_code_the_place_and_what_it_means(self):
        shown = self.text("claim")
        self.assertIn((self.state / "claim-code").read_text().strip(), shown)
        for word in ("http://127.0.0.1:8080/", "owner", "once"):
            self.assertIn(word, shown)


class NoConsole(Records):
    console = ""

    def test_a_console_that_is_not_opened_is_said(self):
        self.assertIsNone(self.ask("claim")["console"])
        self.assertIn("[console]", self.text("claim"))


if __name__ == "__main__":
    main()
