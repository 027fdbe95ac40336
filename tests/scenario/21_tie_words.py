"""`tie`: its words, what it refuses and why, its documents, which epochs go
together. Known coordinates are the business of 23_tie_known.py.
"""
import json
import re
import unittest

from four_masts import START, Tied
from running import check
from support import data, main, run

# Of an invented station south of the equator, where X and Y are negative.
SOUTH = "-4646678.571,2553206.1,-3534423.4"
NORTH = "4281406.361,670450.344,4664823.2"


class Words(unittest.TestCase):
    """What is answered before any file is opened."""

    def refused(self, *words, named, code=2):
        answer = run("tie", *words, "--json")
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        error = answer.json()["error"]
        self.assertIn(named, error["what"])
        self.assertTrue(error["remedy"], error)
        return error

    def test_help_names_the_options(self):
        answer = run("tie", "--help")
        self.assertEqual(answer.code, 0, answer)
        for option in ("--to", "--known", "--frame", "--velocity", "--plate",
                       "--no-motion", "--ambiguities", "--nav", "--orbits",
                       "--report", "no survey certificate"):
            self.assertIn(option, answer.out)

    def test_without_known_it_refuses_and_never_takes_the_header(self):
        error = self.refused("a.rnx", "--to", "b.rnx", "--nav", "n.rnx",
                             named="--known")
        self.assertIn("header is never taken", error["remedy"])

    def test_known_and_to_come_in_pairs(self):
        error = self.refused("a.rnx", "--to", "b.rnx", "--to", "c.rnx",
                             "--known", NORTH, "--nav", "n", named="2 of --to")
        self.assertIn("header is never taken", error["remedy"])
        self.refused("a.rnx", "--to", "b.rnx", "c.rnx", "--known", NORTH,
                     "--known", NORTH, "--nav", "n", named="2 of --known")
        self.refused("a.rnx", "--known", NORTH, "--nav", "n",
                     named="no station to tie to")

    def test_a_known_coordinate_is_metres_from_the_centre(self):
        for text in ("47.3,8.9,512", NORTH + ",0.01", "1,2", "x,y,z", "",
                     NORTH + ",0.01,0.01,-1", NORTH + ",,",
                     NORTH + ",1,1,nan", "4281406.361;670450.344;4664823.2"):
            with self.subTest(known=text):
                self.refused("a.rnx", "--to", "b.rnx", "--known", text,
                             "--nav", "n", named="--known")

    def test_numbers_below_zero_are_values(self):
        for known in (("--known", SOUTH), ("--known=" + SOUTH,)):
            error = self.refused(
                "a.rnx", "--to", "not-there.rnx", *known, "--velocity",
                "-0.0158,0.0172,0.0104", "--nav", "n", named="", code=3)
            self.assertIn("a.rnx", error["where"])

    def test_blanks_in_a_coordinate_are_told(self):
        error = self.refused("a.rnx", "--to", "b.rnx", "--known",
                             *NORTH.split(","), "--nav", "n",
                             named="stands behind --known")
        self.assertIn("no blanks", error["remedy"])

    def test_frames_and_motions_stand_once_or_once_for_each(self):
        three = [word for name in "bcd" for word in
                 ("--to", name + ".rnx", "--known", NORTH)]
        two_frames = ("--frame", "IGS20@2026.4") * 2
        self.refused("a.rnx", *three, *two_frames, "--nav", "n",
                     named="2 of --frame for 3")
        self.refused("a.rnx", *three, "--plate", "EURA", "--no-motion",
                     "--nav", "n", named="2 of --velocity")
        self.refused("a.rnx", "--to", "b.rnx", "--known", NORTH,
                     "--velocity", "1,2,3", "--nav", "n", named="--velocity")
        self.refused("a.rnx", "--to", "b.rnx", "--known", NORTH,
                     "--velocity", "0.01", "--nav", "n", named="--velocity")
        for frame in ("IGS20@", "@2026.4", "IGS20@soon"):
            self.refused("a.rnx", "--to", "b.rnx", "--known", NORTH,
                         "--frame", frame, "--nav", "n", named="--frame")

    def test_frames_of_two_realisations_do_not_go_together(self):
        error = self.refused(
            "a.rnx", "--to", "b.rnx", "--known", NORTH, "--to", "c.rnx",
            "--known", NORTH, "--frame", "IGS20@2026.4", "--frame",
            "ITRF2014@2026.4", "--nav", "n", named="two frames", code=3)
        self.assertIn("one frame", error["remedy"])

    def test_options_of_locate_that_make_no_sense_here(self):
        for words, named in ((("--method", "ppp"), "--method"),
                             (("--job", "job.json"), "job"),
                             (("--ambiguities", "whole"), "--ambiguities"),
                             (("--systems", "GX"), "--systems"),
                             (("--no-motion=5",), "--no-motion"),
                             (("--elevation-mask", "95"), "--elevation-mask"),
                             (("--nva", "n"), "--nva")):
            with self.subTest(words=words):
                self.refused("a.rnx", "--to", "b.rnx", "--known", NORTH,
                             "--nav", "n", *words, named=named)

    def test_remedies_speak_of_tie(self):
        error = self.refused("--to", "b.rnx", "--known", NORTH, "--nav", "n",
                             named="no observation file")
        self.assertIn("stillpoint tie", error["remedy"])

    def test_no_orbits_is_a_usage_error(self):
        error = self.refused(__file__, "--to", __file__, "--known", NORTH,
                             named="no orbits")
        self.assertIn("--nav", error["remedy"])


class Answers(Tied):
    def test_the_answer_lies_within_its_uncertainty(self):
        document = self.document(self.tie())
        position = document["position"]
        self.assertEqual(position["frame"], "IGS20")
        # Middle of an hour of GPST, 18 s before that of UTC.
        self.assertRegex(position["epoch"], r"^2026-06-02T06:29:")
        for off, sigma in zip(self.off_enu_m(document),
                              position["sigma_enu_m"]):
            self.assertLess(sigma, 0.05)
            self.assertLess(abs(off), 4 * sigma)
        tie = document["ties"][0]
        self.assertEqual(tie["to"], "MILL")
        self.assertAlmostEqual(tie["length_m"], 1140.3, delta=1)
        self.assertEqual(tie["known"]["moved_by"], "none")
        self.assertEqual(document["network"]["dof"], 0)
        self.assertIn(document["method"], ("tie-float", "tie-fixed"))

    def test_float_is_float(self):
        document = self.document(self.tie("--ambiguities", "float"))
        self.assertEqual(document["method"], "tie-float")
        self.assertEqual(document["ambiguities"]["fixed"], 0)
        self.assertGreater(document["ambiguities"]["total"], 10)

    def test_the_sigma_of_the_known_coordinate_is_in_the_answer(self):
        alone = self.document(self.tie(sigma=None))
        self.assertIn("sigma_not_given",
                      [w["code"] for w in alone["warnings"]])
        loose = self.document(self.tie(sigma=0.05))
        for a, b in zip(alone["position"]["sigma_enu_m"],
                        loose["position"]["sigma_enu_m"]):
            self.assertAlmostEqual(b, (a * a + 0.05 ** 2) ** 0.5, delta=2e-5)
        self.assertEqual(alone["ties"][0]["vector_ecef_m"],
                         loose["ties"][0]["vector_ecef_m"])

    def test_record_page_and_text(self):
        record, page = self.folder / "tie.json", self.folder / "tie.html"
        answer = self.tie("--out", record, "--report", page)
        self.document(answer)
        self.assertEqual(record.read_text(), answer.out)
        text = page.read_text()
        self.assertIn("<title>LHOL: tied position</title>", text)
        self.assertIn("<svg", text)
        self.assertEqual(list(self.folder.glob("*.part")), [])
        answer = self.tie("--out", self.folder / "none/tie.json")
        self.assertEqual(answer.code, 4, answer)
        words = ("tie", self.observations["LHOL"], "--to",
                 self.observations["MILL"], "--known", self.known("MILL"),
                 "--frame", "IGS20@2026-06-02", "--nav",
                 self.files["navigation"])
        answer = run(*words)
        self.assertEqual(answer.code, 0, answer)
        for piece in ("tied to MILL", "IGS20 at", "not a survey certificate",
                      "second known station"):
            self.assertIn(piece, " ".join(answer.out.split()))

    def test_every_input_has_its_digest(self):
        paths = [f["path"] for f in self.document(self.tie())["inputs"]]
        for path in (self.observations["LHOL"], self.observations["MILL"],
                     self.files["navigation"], self.files["antennas"]):
            self.assertEqual(paths.count(path), 1)

    def test_several_files_are_one_station(self):
        whole = self.document(self.tie())
        parts = {}
        for name, cut in (("LHOL", 50), ("MILL", 70)):
            head, epochs = self.epochs(name)
            self.assertEqual(len(epochs), 120)
            for part, rows in (("a", epochs[:cut]), ("b", epochs[cut:])):
                parts[name, part] = self.write(f"{name}.{part}", head, rows)
        words = ["tie", parts["LHOL", "a"], parts["LHOL", "b"], "--to",
                 parts["MILL", "a"], parts["MILL", "b"], "--known",
                 self.known("MILL"), "--frame", "IGS20@2026-06-02", "--nav",
                 self.files["navigation"], "--antennas",
                 self.files["antennas"], "--json"]
        document = self.document(run(*words))
        self.assertEqual(document["position"], whole["position"])
        # The other way round the epochs of the first part come too late.
        words[4], words[5] = words[5], words[4]
        document = run(*words).json()
        self.assertIn("epochs_out_of_order",
                      [w["code"] for w in document["warnings"]])
        # Files of two stations are not one.
        words[4] = self.observations["RIDG"]
        self.refused(run(*words), 3, "marker")

    def test_no_common_epochs_is_a_failure_with_its_document(self):
        with open(self.observations["LHOL"], encoding="ascii") as file:
            text = file.read()
        other = self.folder / "other.rnx"
        other.write_text(text.replace("\n> 2026 06 02", "\n> 2026 06 03"))
        document = self.document(self.tie(here=other), 3)
        self.assertEqual(document["status"], "failed")
        self.assertIsNone(document["position"])
        self.assertIsNone(document["network"])
        self.assertIn("no common epochs", document["error"]["what"])
        self.assertIn("2026-06-03", document["why"])

    def test_the_same_station_twice_is_no_tie(self):
        self.refused(self.tie(to=("LHOL",)), 3, "two stations")
        self.refused(self.tie(to=("MILL", "MILL")), 3, "two stations")
        again = self.folder / "again.rnx"
        with open(self.observations["MILL"], encoding="ascii") as file:
            again.write_text(file.read() + "\n")
        self.refused(self.tie(here=again), 3, "both ends")

    def test_a_header_far_from_the_known_is_told_and_not_used(self):
        right = self.document(self.tie())
        wrong = self.tie(up_m={"MILL": 500})
        document = wrong.json()
        check(document, "tie")
        told = [w for w in document["warnings"]
                if w["code"] == "header_position_differs"]
        self.assertEqual(len(told), 1, wrong)
        self.assertIn("MILL", told[0]["what"])
        self.assertAlmostEqual(told[0]["size_m"], 500, delta=10)
        self.assertGreater(self.off_enu_m(document)[2], 499)
        self.assertLess(abs(self.off_enu_m(right)[2]), 0.1)
        self.assertNotIn("header_position_differs",
                         [w["code"] for w in right["warnings"]])


class Pairs(Tied):
    """Which epochs count as observed at the same time."""

    def shifted(self, seconds):
        """LHOL with other time tags."""
        head, epochs = self.epochs("LHOL")
        rows = [re.sub(r"^(> .{16})(.{11})",
                       lambda m: f"{m[1]}{float(m[2]) + seconds:11.7f}", row)
                for row in epochs]
        return self.write("shifted.rnx", head, rows)

    def test_other_intervals_meet_where_they_can(self):
        head, epochs = self.epochs("LHOL")
        document = self.tie(
            here=self.write("thin.rnx", head, epochs[1::3])).json()
        check(document, "tie")
        self.assertEqual(document["span"]["epochs_seen"], 40)
        document = self.tie(
            here=self.write("gap.rnx", head, epochs[:30] + epochs[75:])).json()
        self.assertEqual(document["span"]["epochs_seen"], 75)

    def test_tags_less_than_a_tenth_of_a_second_apart_are_one_instant(self):
        for seconds, common in ((0.0, 120), (0.09, 120), (0.11, 0)):
            answer = self.tie(here=self.shifted(seconds))
            check(answer.json(), "tie")
            if common == 0:
                self.assertEqual(answer.code, 3, answer)
                self.assertIn("no common epochs", answer.json()["why"])
            else:
                self.assertEqual(answer.json()["span"]["epochs_seen"], common)

    def test_tags_a_third_of_an_interval_apart_are_two(self):
        words = ("simulate", self.scenario, "--rinex", "--interval", "0.2",
                 "--start", START, "--end", "2026-06-02T06:02:00", "--out",
                 self.folder / "fast", "--receiver", "LHOL", "MILL", "--json")
        made = run(*words)
        self.assertEqual(made.code, 0, made)
        paths = {r["name"]: f["path"] for r in made.json()["receivers"]
                 for f in r["files"] if f["kind"] == "observations"}
        with open(paths["LHOL"], encoding="ascii") as file:
            head, body = file.read().split("END OF HEADER\n")
        rows = re.sub(r"(?m)^(> .{16})(.{11})",
                      lambda m: f"{m[1]}{float(m[2]) + 0.09:11.7f}", body)
        late = self.write("late.rnx", head + "END OF HEADER\n", [rows])
        words = ("--to", paths["MILL"], "--known", self.known("MILL"))
        answer = self.tie(*words, to=(), here=late)
        self.assertEqual(answer.code, 3, answer)
        self.assertIn("no common epochs", answer.json()["why"])
        answer = self.tie(*words, to=(), here=paths["LHOL"])
        self.assertEqual(answer.json()["span"]["epochs_seen"], 600)


class Streams(Tied):
    def test_recorded_streams_bring_their_ephemerides(self):
        out = self.folder / "streams"
        answer = run("simulate", self.scenario, "--rtcm", "--out", out,
                     "--receiver", "LHOL", "MILL", "--json")
        self.assertEqual(answer.code, 0, answer)
        paths = {r["name"]: f["path"] for r in answer.json()["receivers"]
                 for f in r["files"] if f["kind"] != "truth"}
        document = self.document(run(
            "tie", f"file:{paths['LHOL']}?date=2026-06-02", "--to",
            f"file:{paths['MILL']}?date=2026-06-02", "--known",
            self.known("MILL"), "--frame", "IGS20@2026-06-02", "--json"))
        # A stream has no marker: the file stands for it.
        self.assertIn("MILL", document["ties"][0]["to"])
        for off, sigma in zip(self.off_enu_m(document),
                              document["position"]["sigma_enu_m"]):
            self.assertLess(abs(off), 4 * sigma)


class RealHour(unittest.TestCase):
    """Two real receivers on one roof, against published coordinates."""

    def test_the_vector_is_the_published_one(self):
        folder = "wettzell-2020-177/"
        name = "00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz"
        with open(data("truth.json"), encoding="utf-8") as file:
            truth = json.load(file)
        known = ",".join(map(str, truth["WTZR in 2020"]["ecef_m"]))
        answer = run(
            "tie", data(folder + "WTZZ" + name), "--to",
            data(folder + "WTZR" + name), "--nav",
            data("esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz"),
            "--antennas", data(folder + "igs20_wettzell_trim.atx.gz"),
            "--known", known + ",0.005,0.005,0.005", "--frame",
            "IGb14@2020-06-25T12:00:00Z", "--json")
        self.assertEqual(answer.code, 0, answer)
        document = answer.json()
        check(document, "tie")
        tie, wanted = document["ties"][0], truth["WTZZ minus WTZR"]
        for key in ("vector_ecef_m", "second_ecef_m"):
            for axis in range(3):
                sigma = (tie["covariance_ecef_m2"][axis][axis] +
                         wanted["sigma_m"] ** 2) ** 0.5
                off = tie["vector_ecef_m"][axis] - wanted[key][axis]
                self.assertLess(abs(off), 3 * sigma, (key, axis))
                self.assertLess(sigma, 0.01)


if __name__ == "__main__":
    main()
