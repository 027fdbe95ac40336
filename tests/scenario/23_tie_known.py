"""`tie` and the coordinates that are known: how they are moved, whether they
agree with each other, and who is suspected where they do not.
"""
import re

from four_masts import Tied
from running import check
from support import main


class Motion(Tied):
    def test_years_without_a_motion_are_refused(self):
        error = self.refused(self.tie(frame="IGS20@2020.0"), 3, "")
        for option in ("--velocity", "--plate", "--no-motion"):
            self.assertIn(option, error["remedy"])

    def test_what_is_said_of_the_motion_is_done(self):
        still = self.document(self.tie("--no-motion", frame="IGS20@2020.0"))
        self.assertIn("motion_left_out",
                      [w["code"] for w in still["warnings"]])
        known = still["ties"][0]["known"]
        self.assertEqual(known["moved_m"], 0)
        for words, by in ((("--plate", "EURA"), "plate model ITRF2020 EURA"),
                          (("--velocity", "-0.014,0.018,0.011"),
                           "given velocity")):
            document = self.document(self.tie(*words, frame="IGS20@2020.0"))
            known = document["ties"][0]["known"]
            self.assertEqual(known["moved_by"], by)
            # 6.4 years of 25 mm each, more or less.
            self.assertAlmostEqual(known["moved_m"], 0.16, delta=0.01)
            moved = [a - b for a, b in zip(document["position"]["ecef_m"],
                                           still["position"]["ecef_m"])]
            used = [a - b for a, b in zip(known["used_ecef_m"],
                                          known["ecef_m"])]
            for m, u in zip(moved, used):
                self.assertAlmostEqual(m, u, delta=1e-4)
            self.assertEqual(known["epoch"][:4], "2019")  # 18 s before 2020

    def test_a_plate_needs_a_name_and_a_global_frame(self):
        self.refused(self.tie("--plate", "ATLA", frame="IGS20@2020.0"), 2, "")
        self.refused(self.tie("--plate", "EURA", frame="XYZ99@2020.0"), 3, "")

    def test_a_frame_that_is_not_given_or_not_known(self):
        document = self.document(self.tie(frame=None))
        self.assertIsNone(document["position"]["frame"])
        self.assertIn("frame_not_given",
                      [w["code"] for w in document["warnings"]])
        document = self.document(self.tie(frame="XYZ99@2026-06-02"))
        self.assertEqual(document["position"]["frame"], "XYZ99")
        self.assertIn("frame_unknown",
                      [w["code"] for w in document["warnings"]])

    def test_one_motion_for_each(self):
        document = self.document(self.tie(
            "--plate", "EURA", "--no-motion", "--frame", "IGS20@2026-06-02",
            to=("MILL", "RIDG"), frame="IGS20@2026-05-02"))
        by = [t["known"]["moved_by"] for t in document["ties"]]
        self.assertEqual(by, ["plate model ITRF2020 EURA", "none"])


class Networks(Tied):
    def test_stations_that_agree(self):
        document = self.document(self.tie(to=("MILL", "RIDG", "PUMP")))
        network = document["network"]
        self.assertTrue(network["passed"])
        self.assertEqual(network["dof"], 6)
        self.assertLess(network["chi2"], network["limit"])
        self.assertIsNone(network["suspect"])
        self.assertEqual([t["to"] for t in document["ties"]],
                         ["MILL", "RIDG", "PUMP"])
        one = self.document(self.tie())
        for many, single in zip(document["position"]["sigma_enu_m"],
                                one["position"]["sigma_enu_m"]):
            self.assertLess(many, single)

    def test_a_wrong_one_among_three_is_named(self):
        document = self.document(
            self.tie(to=("MILL", "RIDG", "PUMP"), up_m={"RIDG": 0.3}), 1)
        self.assertEqual(document["status"], "not_converged")
        self.assertFalse(document["network"]["passed"])
        self.assertEqual(document["network"]["suspect"], "RIDG")
        self.assertIn("RIDG", document["why"])

    def test_two_that_disagree_by_decimetres_cannot_be_told_apart(self):
        # Code positions with broadcast orbits are too coarse as evidence.
        document = self.document(
            self.tie(to=("MILL", "RIDG"), up_m={"RIDG": 0.2}), 1)
        self.assertFalse(document["network"]["passed"])
        self.assertIsNone(document["network"]["suspect"])
        self.assertTrue(document["network"]["why"])

    def test_own_positions_by_the_phases_tell_which_of_two_is_wrong(self):
        document = self.document(self.tie(
            "--orbits", self.files["orbits"], "--clocks",
            self.files["clocks"], "--biases", self.files["biases"],
            to=("MILL", "RIDG"), up_m={"RIDG": 0.5}), 1)
        self.assertEqual(document["network"]["suspect"], "RIDG")
        self.assertIn("ppp", document["network"]["why"])

    def test_two_that_disagree_by_a_lot_can(self):
        document = self.document(
            self.tie(to=("MILL", "RIDG"), up_m={"RIDG": 40}), 1)
        self.assertEqual(document["network"]["suspect"], "RIDG")

    def test_a_station_without_common_epochs_is_left_out_aloud(self):
        with open(self.observations["RIDG"], encoding="ascii") as file:
            text = file.read()
        other = self.folder / "other.rnx"
        other.write_text(text.replace("\n> 2026 06 02", "\n> 2026 06 03"))
        answer = self.tie("--to", other, "--known", self.known("RIDG"))
        document = self.document(answer, 1)
        self.assertEqual(document["status"], "not_converged")
        self.assertIn("RIDG failed", document["why"])
        self.assertIsNone(document["ties"][1]["vector_ecef_m"])
        self.assertIsNotNone(document["ties"][0]["residual_enu_m"])


class OwnPositions(Tied):
    """What a known station's own codes say of its coordinate."""

    def told(self, document):
        return [w for w in document["warnings"]
                if w["code"] == "known_position_differs"]

    def test_a_coordinate_that_is_right_is_not_doubted(self):
        self.assertEqual(self.told(self.document(
            self.tie(to=("MILL", "RIDG", "PUMP")))), [])

    def test_one_that_is_metres_off_is(self):
        document = self.document(self.tie(up_m={"MILL": -30}))
        told = self.told(document)
        self.assertEqual(len(told), 1)
        self.assertIn("MILL", told[0]["what"])
        self.assertAlmostEqual(told[0]["size_m"], 30, delta=3)

    def test_a_header_without_a_position_hides_nothing(self):
        head, epochs = self.epochs("MILL")
        bare = self.write("bare.rnx", re.sub(
            r"(?m)^.{60}APPROX POSITION XYZ.*\n", "", head), epochs)
        document = self.tie("--to", bare, "--known", self.known("MILL", 500),
                            to=()).json()
        check(document, "tie")
        self.assertEqual(len(self.told(document)), 1)


if __name__ == "__main__":
    main()
