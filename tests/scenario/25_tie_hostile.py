"""`tie` with what users do wrong and what files suffer: the right answer with
an honest sigma, or a clear word. Every answer is held against the truth.
"""
import gzip
import math
import re

from four_masts import STATIONS, WORLD, Tied, receiver
from simulated import columns_of
from support import data, main, run

HALF = "2026-06-02T06:30:00"
MASTS = {s[0]: s for s in STATIONS}


class Hostile(Tied):
    def right(self, document, metres=0.03):
        """Within four sigmas, and a fixed one within 3 cm and three."""
        off = self.off_enu_m(document)
        sigma = document["position"]["sigma_enu_m"]
        for o, s in zip(off, sigma):
            self.assertLess(abs(o), 4 * s, (off, sigma))
        if document["method"] == "tie-fixed":
            self.assertLess(math.hypot(*off),
                            metres + 3 * math.hypot(*sigma))
        return document

    def failed(self, answer, named):
        """No position for lack of data, and why."""
        document = self.document(answer, 3)
        self.assertEqual(document["status"], "failed")
        self.assertIn(named, document["why"])

    def warned(self, document, code):
        return [w for w in document["warnings"] if w["code"] == code]


class Movement(Hostile):
    def moved(self, east_mm=0, north_mm=0, at=HALF):
        """LHOL's observations when it moves."""
        scenario = self.folder / "moved.toml"
        scenario.write_text(
            WORLD + receiver(*MASTS["LHOL"])
            + f'[[receiver.move]]\nat = {at}\neast_mm = {east_mm}\n'
              f'north_mm = {north_mm}\n' + receiver(*MASTS["MILL"]))
        answer = run("simulate", scenario, "--rinex", "--receiver", "LHOL",
                     "--out", self.folder / "moved", "--json")
        self.assertEqual(answer.code, 0, answer)
        return [f["path"] for f in answer.json()["receivers"][0]["files"]
                if f["kind"] == "observations"][0]

    def test_an_antenna_that_stood_still_is_not_suspected(self):
        for station in ("MILL", "RIDG", "PUMP"):
            document = self.right(self.document(self.tie(to=(station,))))
            self.assertEqual(self.warned(document, "antenna_moved"), [])

    def test_one_that_was_moved_by_five_centimetres_is_told(self):
        here = self.moved(east_mm=40, north_mm=-30)
        document = self.document(self.tie(here=here), 1)
        self.assertEqual(document["status"], "not_converged")
        self.assertIn("moved", document["why"])
        told = self.warned(document, "antenna_moved")
        self.assertEqual(len(told), 1)
        self.assertAlmostEqual(told[0]["size_m"], 0.05, delta=0.01)
        # What the remedy says: each half by itself.
        for words, off in ((("--end", HALF), (0, 0)),
                           (("--start", HALF), (0.04, -0.03))):
            half = self.document(self.tie(*words, here=here))
            for got, wanted in zip(self.off_enu_m(half)[:2], off):
                self.assertAlmostEqual(got, wanted, delta=0.01)

    def test_a_move_that_is_not_in_the_middle_is_told(self):
        here = self.moved(east_mm=50, at="2026-06-02T06:40:00")
        document = self.document(self.tie(here=here), 1)
        self.assertEqual(len(self.warned(document, "antenna_moved")), 1)


class Stations(Hostile):
    def test_one_receiver_under_two_names_is_refused(self):
        head, epochs = self.epochs("MILL")
        other = self.write("other.rnx", re.sub("MILL ", "ELSE ", head), epochs)
        answer = run("tie", self.observations["MILL"], "--to", other,
                     "--known", self.known("MILL"), "--nav",
                     self.files["navigation"], "--json")
        error = self.refused(answer, 3, "one receiver")
        self.assertEqual(error["code"], "mixed_input")

    def test_one_receiver_in_two_formats_is_refused(self):
        answer = run("simulate", self.scenario, "--rinex", "--format", "2.11",
                     "--receiver", "LHOL", "--out", self.folder / "two",
                     "--json")
        self.assertEqual(answer.code, 0, answer)
        other = [f["path"] for f in answer.json()["receivers"][0]["files"]
                 if f["kind"] == "observations"][0]
        with open(other, encoding="ascii") as file:
            text = file.read().replace("LHOL ", "ELSE ", 2)
        renamed = self.folder / "renamed.obs"
        renamed.write_text(text)
        self.refused(self.tie("--to", renamed, "--known", self.known("MILL"),
                              to=()), 3, "one receiver")

    def test_files_given_in_the_wrong_places_are_seen(self):
        # OBS is MILL, --to is LHOL, --known is still MILL's.
        answer = run("tie", self.observations["MILL"], "--to",
                     self.observations["RIDG"], "--known", self.known("MILL"),
                     "--nav", self.files["navigation"], "--frame",
                     "IGS20@2026-06-02", "--json")
        document = self.document(answer, 1)
        self.assertIn("RIDG", document["why"])
        self.assertTrue(self.warned(document, "known_position_differs"))


class Coordinates(Hostile):
    def tied(self, known):
        return self.tie("--to", self.observations["MILL"], "--known", known,
                        to=())

    def away(self, east_m):
        x, y, z = self.marker["MILL"]["ecef_m"]
        lon = math.atan2(y, x)
        return (f"{x - east_m * math.sin(lon):.4f},"
                f"{y + east_m * math.cos(lon):.4f},{z:.4f}")

    def test_metres_are_warned_of_and_kilometres_not_answered(self):
        document = self.document(self.tied(self.away(10)))
        self.assertAlmostEqual(
            self.warned(document, "known_position_differs")[0]["size_m"], 10,
            delta=3)
        for metres in (1000, 10_000, 100_000):
            with self.subTest(metres=metres):
                document = self.document(self.tied(self.away(metres)), 1)
                self.assertEqual(document["status"], "not_converged")
                self.assertTrue(
                    self.warned(document, "known_position_differs"))

    def test_the_other_side_of_the_earth_is_named(self):
        x, y, z = self.marker["MILL"]["ecef_m"]
        self.failed(self.tied(f"{-x},{-y},{-z}"),
                    "The known coordinate is wrong")

    def test_the_centre_of_the_earth_is_no_coordinate(self):
        self.refused(self.tied("0,0,0"), 2, "--known")

    def test_an_antenna_far_above_or_below_its_marker_is_told(self):
        head, epochs = self.epochs("LHOL")
        for height in (12.5, -1.2):
            with self.subTest(height=height):
                line = f"{height:14.4f}{0:14.4f}{0:14.4f}".ljust(60)
                odd = self.write("odd.rnx", re.sub(
                    r"(?m)^.{60}(?=ANTENNA: DELTA)", line, head), epochs)
                document = self.document(self.tie(here=odd))
                told = self.warned(document, "antenna_height_odd")
                self.assertEqual(len(told), 1)
                self.assertAlmostEqual(self.off_enu_m(document)[2],
                                       0.1 - height, delta=0.03)


class Files(Hostile):
    def test_a_file_that_ends_in_the_middle(self):
        head, epochs = self.epochs("LHOL")
        whole = head + "".join(epochs)
        cut = self.folder / "cut.rnx"
        cut.write_text(whole[:len(head) + (len(whole) - len(head)) // 2 + 9])
        document = self.right(self.document(self.tie(here=cut)))
        self.assertTrue(self.warned(document, "input_damaged"))
        torn = self.folder / "torn.rnx.gz"
        packed = gzip.compress(whole.encode(), 6)
        torn.write_bytes(packed[:len(packed) * 2 // 3])
        self.refused(self.tie(here=torn), 3, "end")
        swapped = bytearray(packed)
        swapped[len(packed) // 2] ^= 0xFF
        torn.write_bytes(swapped)
        self.refused(self.tie(here=torn), 3, "gzip")
        empty = self.write("empty.rnx", head, [])
        self.failed(self.tie(here=empty), "no common epochs")

    def test_clocks_of_half_a_second_share_no_epoch(self):
        head, epochs = self.epochs("LHOL")
        late = self.write("late.rnx", head, [
            e[:18] + f"{float(e[18:29]) + 0.5:11.7f}" + e[29:]
            for e in epochs])
        self.failed(self.tie(here=late), "no common epochs")

    def test_one_epoch_and_none(self):
        answer = self.tie("--start", "2026-06-02T06:10:00", "--end",
                          "2026-06-02T06:10:30")
        # A position or not: what is said of it has to be so.
        self.assertIn(answer.code, (0, 1), answer)
        self.right(self.document(answer, answer.code))
        self.failed(self.tie("--start", "2026-06-02T06:10:01", "--end",
                             "2026-06-02T06:10:29"), "no common epochs")

    def test_a_second_here_and_half_a_minute_there(self):
        span = ("--start", "2026-06-02T06:00:00", "--end",
                "2026-06-02T06:15:00")
        answer = run("simulate", self.scenario, "--rinex", "--receiver",
                     "LHOL", "--interval", "1", *span, "--out",
                     self.folder / "fast", "--json")
        self.assertEqual(answer.code, 0, answer)
        fast = [f["path"] for f in answer.json()["receivers"][0]["files"]
                if f["kind"] == "observations"][0]
        document = self.right(self.document(self.tie(here=fast)))
        self.assertEqual(document["method"], "tie-fixed")


class Satellites(Hostile):
    def setUp(self):
        super().setUp()
        self.head, self.body = self.epochs("LHOL")
        text = "".join(self.body)
        seen = set(re.findall(r"(?m)^G\d\d", text))
        self.most = max(sorted(seen), key=text.count)

    def phases_changed(self, change, band="L1C"):
        """The most seen satellite's phases, change(epoch) cycles added."""
        at = 3 + 16 * columns_of(self.head)["G"].index(band)
        epochs = []
        for number, epoch in enumerate(self.body):
            lines = epoch.splitlines(True)
            for i, line in enumerate(lines):
                if line.startswith(self.most) and line[at:at + 14].strip():
                    value = float(line[at:at + 14]) + change(number)
                    lines[i] = line[:at] + f"{value:14.3f}" + line[at + 14:]
            epochs.append("".join(lines))
        return self.write("changed.rnx", self.head, epochs)

    def test_silent_slips_every_minute_do_no_harm(self):
        for change in (lambda n: n // 2, lambda n: n // 2 * 0.5,
                       lambda n: 1e6 * (n > 60)):
            document = self.right(self.document(
                self.tie(here=self.phases_changed(change))))
            self.assertEqual(document["method"], "tie-fixed")

    def test_a_wrong_ephemeris_does_no_harm(self):
        with open(self.files["navigation"], encoding="ascii") as file:
            head, _, body = file.read().partition("END OF HEADER")
        records = re.split(r"(?m)^(?=[GRECJ]\d\d )", body)
        for i, record in enumerate(records):
            if record.startswith(self.most):
                lines = record.split("\n")
                # The mean anomaly, by 2.6 km of the orbit.
                anomaly = float(lines[1][61:80].replace("D", "E")) + 1e-4
                lines[1] = lines[1][:61] + f"{anomaly:19.12E}"
                records[i] = "\n".join(lines)
        wrong = self.folder / "wrong.rnx"
        wrong.write_text(head + "END OF HEADER" + "".join(records))
        answer = run("tie", self.observations["LHOL"], "--to",
                     self.observations["MILL"], "--known", self.known("MILL"),
                     "--frame", "IGS20@2026-06-02", "--nav", wrong,
                     "--antennas", self.files["antennas"], "--json")
        self.right(self.document(answer))

    def test_few_satellites_end_in_a_word_not_in_a_crash(self):
        # 2020-177, where two BeiDou satellites have precise orbits.
        folder = "wettzell-2020-177/"
        tail = "00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz"
        orbits = "COD0MGXFIN_20201770000_01D_05M_ORB.SP3.gz"
        answer = run("tie", data(folder + "WTZZ" + tail), "--to",
                     data(folder + "WTZR" + tail), "--known",
                     "4075580.296,931854.061,4801568.281", "--frame",
                     "IGb14@2020-06-25", "--orbits",
                     data("esbc-2020-177/" + orbits), "--systems", "C",
                     "--json")
        self.failed(answer, "do not determine a position")


if __name__ == "__main__":
    main()
