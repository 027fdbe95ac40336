"""Position records: `candidates` and `adopt`.

What is kept is read with Python's own SQLite; the movement of the plate and
the change of frame are computed again here.
"""
import hashlib
import json
import math
import os
import sqlite3
import unittest

import small_files
from records_world import (EPOCH, EURA_2020, MARKER, SETTINGS, Records,
                           document, moved, plate_velocity)
from support import main, run


class Adding(Records):
    def test_a_new_station_has_no_records(self):
        out = self.ask("candidates")
        self.assertEqual(out["candidates"], [])
        for key in ("frame", "epoch", "adopted", "best", "reference"):
            self.assertIsNone(out[key])
        self.assertIn("--add", self.text("candidates"))

    def test_documents_become_records_once(self):
        first, second = document(), document((0.001, 0, 0))
        out = self.add(first, second)
        self.assertEqual([(a["id"], a["new"]) for a in out["added"]],
                         [(1, True), (2, True)])
        again = self.add(first)
        self.assertEqual([(a["id"], a["new"]) for a in again["added"]],
                         [(1, False)])
        self.assertEqual([c["id"] for c in again["candidates"]], [2, 1])
        row = again["candidates"][1]
        kept = json.dumps(first, indent=1).encode()
        self.assertEqual(row["document_sha256"],
                         hashlib.sha256(kept).hexdigest())
        self.assertEqual(
            (row["method"], row["products"], row["origin"], row["frame"],
             row["epoch"], row["point"], row["by"], row["source"]),
            ("ppp-fixed", "final", "imported", "IGS20", EPOCH, "marker",
             "command line", None))
        self.assertAlmostEqual(row["span_h"], 23.992, 3)
        self.assertEqual(row["delta_enu_m"], [0, 0, 1.2])
        self.assertIn("there already: record 1",
                      self.text("candidates", "--add",
                                self.folder / "document-1.json"))

    def test_what_locate_itself_prints_is_taken(self):
        obs = self.write(small_files.observations(240), "obs.rnx")
        nav = self.write(small_files.navigation(), "nav.rnx")
        path = self.folder / "record.json"
        answer = run("locate", obs, "--nav", nav, "--method", "code", "--out",
                     path, "--json")
        printed = answer.json()
        if printed["status"] != "converged":
            self.assertIn("record longer", self.refused(
                "candidates", "--add", path, error="no_data")["remedy"])
            self.fail(f"the invented sky should be enough: {printed['why']}")
        row = self.ask("candidates", "--add", path)["candidates"][0]
        self.assertEqual(
            (row["method"], row["products"], row["frame"], row["epoch"]),
            ("code", "broadcast", "WGS84", printed["position"]["epoch"]))
        self.assertEqual(row["ecef_m"], printed["position"]["ecef_m"])
        self.assertIn("code_position", [
            w["code"] for w in self.ask(
                "adopt", 1, "--reason", "the first")["warnings"]])

    def test_a_tie_is_taken(self):
        tie = document(method="tie-fixed", inputs=[
            {"path": "brdc.rnx", "sha256": "1" * 64}])
        tie["ties"], tie["network"] = [], None
        path = self.file(json.dumps(tie))
        out = self.ask("candidates", "--add", path)
        self.assertEqual(out["candidates"][0]["method"], "tie-fixed")

    def test_a_coordinate_by_hand(self):
        x, y, z = moved(MARKER, (0.01, 0.02, -0.01))
        out = self.ask(
            "candidates", "--by-hand", f"{x:.4f},{y:.4f},{z:.4f}", "--sigma",
            "0.01,0.02,0.03", "--frame", "ITRF2014@2024-05-08T12:00:00Z",
            "--source", "survey office, sheet 12")
        row = out["candidates"][0]
        self.assertEqual(
            (row["origin"], row["method"], row["source"], row["frame"],
             row["antenna"], row["document_sha256"], row["products"]),
            ("by_hand", "by-hand", "survey office, sheet 12", "ITRF2014",
             "SPDEMO-A1       NONE", None, None))
        self.assertEqual(row["delta_enu_m"], [0, 0, 1.2])
        for got, want in zip(row["sigma_enu_mm"], (10, 20, 30)):
            self.assertAlmostEqual(got, want, 1)
        self.assertIsNone(out["best"])  # never by itself
        self.assertEqual(out["warnings"], [])

    def test_by_hand_south_of_the_equator_and_west(self):
        out = self.ask(
            "candidates", "--by-hand", "-2700214.947,-4292606.188,3855137.385",
            "--sigma", "0.01,0.01,0.01", "--frame", "IGS20@2024.0",
            "--source", "x")
        self.assertEqual(out["candidates"][0]["ecef_m"][0], -2700214.947)

    def test_without_an_antenna_height_zero_is_said(self):
        self.config.write_text(self.config.read_text().replace(
            "height_m = 1.2", ""))
        x, y, z = MARKER
        out = self.ask(
            "candidates", "--by-hand", f"{x},{y},{z}", "--sigma", "1,1,1",
            "--frame", "IGS20@2024.0", "--source", "x")
        self.assertEqual([w["code"] for w in out["warnings"]],
                         ["antenna_height_unknown"])


class Comparing(Records):
    def test_differences_are_millimetres_east_north_up(self):
        out = self.add(document(), document((0.003, -0.002, 0.004)))
        self.assertEqual((out["reference"], out["best"], out["adopted"]),
                         (2, 2, None))  # equal: the newer
        row = out["candidates"][1]
        for got, want in zip(row["difference_enu_mm"], (-3, 2, -4)):
            self.assertAlmostEqual(got, want, delta=0.05)
        self.assertAlmostEqual(row["distance_mm"], math.sqrt(29), delta=0.05)
        self.assertAlmostEqual(row["test"], 29 / 18, delta=0.05)
        self.assertEqual((row["agrees"], row["why"]), (True, "agrees"))
        self.assertEqual(out["candidates"][0]["why"], "reference")
        shown = self.text("candidates")
        self.assertRegex(shown, r"east -3\.\d, north \+[12]\.\d, up -[34]\.\d")
        self.assertNotIn("%", shown)

    def test_one_that_disagrees_with_the_adopted_exits_1(self):
        self.add(document())
        self.ask("adopt", 1, "--reason", "the first day")
        out = self.add(document((0, 0.03, 0.04)), code=1)
        self.assertEqual(out["candidates"][0]["agrees"], False)
        warning, = out["warnings"][:1]
        self.assertEqual(warning["code"], "candidate_disagrees")
        self.assertAlmostEqual(warning["size_m"], 0.05, 3)
        self.assertIn("DISAGREES", self.text("candidates", code=1))

    def test_the_reference_point_is_brought_down_to_the_marker(self):
        arp = document((0, 0, 1.2), position__point="arp")
        out = self.add(document(), arp)
        self.assertLess(out["candidates"][1]["distance_mm"], 5)
        self.assertEqual(out["candidates"][0]["point"], "arp")

    def test_another_epoch_is_moved_by_the_plate(self):
        years = 4
        v = plate_velocity(EURA_2020, MARKER)
        then = document(position__epoch="2020-05-08T12:00:00Z")
        then["position"]["ecef_m"] = [
            round(a - years * b, 5) for a, b in zip(MARKER, v)]
        out = self.add(then, document())
        row = out["candidates"][1]
        self.assertLess(row["distance_mm"], 0.3)
        self.assertEqual(row["moved_by"], "plate model ITRF2020 EURA")
        self.assertAlmostEqual(row["sigma_enu_mm"][0],
                               math.hypot(3, 0.3 * years), delta=0.01)

    def test_what_cannot_be_compared_says_why(self):
        far = [-2700214.947, -4292606.188, 3855137.385]
        out = self.add(document(),
                       document(position__frame="ETRF2000"),
                       document(position__frame="IGS20",
                                position__ecef_m=far,
                                position__epoch="2019-05-08T12:00:00Z"))
        rows = {row["id"]: row for row in out["candidates"]}
        self.assertEqual(out["reference"], 3)  # as sure as 1, and newer
        self.ask("adopt", 1, "--reason", "the known one")
        _, out = self.start("candidates")
        rows = {row["id"]: row for row in out["candidates"]}
        for key, why in ((2, "frame_unknown"), (3, "plate_unknown")):
            self.assertEqual(rows[key]["why"], why)
            for null in ("difference_enu_mm", "agrees", "test", "ecef_m",
                         "distance_mm"):
                self.assertIsNone(rows[key][null])
        out = self.ask("candidates", "--plate", "noam", code=1)
        self.assertEqual(out["candidates"][0]["why"], "disagrees")

    def test_the_table_in_another_frame(self):
        self.add(document(), document((0.001, 0, 0)))
        one = self.ask("candidates")
        other = self.ask("candidates", "--frame", "itr14@2015.0")
        self.assertEqual((other["frame"], other["epoch"]),
                         ("ITRF2014", "2014-12-31T23:59:44Z"))
        for a, b in zip(one["candidates"], other["candidates"]):
            self.assertAlmostEqual(a["distance_mm"], b["distance_mm"], 1)
            self.assertGreater(math.dist(a["ecef_m"], b["ecef_m"]), 0.2)

    def test_better_products_are_named(self):
        self.add(document(inputs=[{
            "path": "XXX0OPSULT_20241290000_02D_15M_ORB.SP3",
            "sha256": "2" * 64}]))
        self.ask("adopt", 1, "--reason", "the first")
        out = self.add(document((0.001, 0, 0)))
        codes = [w["code"] for w in out["warnings"]]
        self.assertIn("better_product", codes)
        self.assertIn("plate_motion", codes)  # 2024 is long ago


class Adopting(Records):
    def test_it_says_what_rovers_get_and_how_far_they_move(self):
        self.add(document(), document((0.003, -0.002, 0.004)))
        first = self.ask("adopt", 1, "--reason", "one day", "--by", "Mira")
        self.assertIsNone(first["before"])
        self.assertIsNone(first["moved_enu_mm"])
        self.assertEqual(first["adoption"]["by"], "Mira")
        up = [b - a for a, b in zip(first["position"]["marker"]["ecef_m"],
                                    first["position"]["arp"]["ecef_m"])]
        self.assertAlmostEqual(math.hypot(*up), 1.2, 4)
        second = self.ask("adopt", 2, "--reason", "two days")
        self.assertEqual(second["before"], 1)
        for got, want in zip(second["moved_enu_mm"], (3, -2, 4)):
            self.assertAlmostEqual(got, want, delta=0.05)
        self.assertEqual(
            self.rows("SELECT record FROM adoptions ORDER BY id"),
            [(1,), (2,)])
        self.assertEqual(self.ask("candidates")["adopted"], 2)
        # Back again: the older record is still there.
        self.ask("adopt", 1, "--reason", "the second day was windy")
        position = self.ask("position")
        self.assertEqual(position["record"]["id"], 1)
        self.assertEqual(position["adoption"]["why"],
                         "the second day was windy")
        shown = self.text("adopt", "2", "--reason", "in words")
        for word in ("Rovers get", "They move", "within seconds", "in words"):
            self.assertIn(word, shown)

    def test_a_reason_is_needed(self):
        self.add(document())
        for words in ((), ("--reason", ""), ("--reason", " "),
                      ("--reason", "x" * 501)):
            self.assertIn("reason",
                          self.refused("adopt", 1, *words, code=2)["what"])
        self.assertEqual(self.rows("SELECT * FROM adoptions"), [])

    def test_frames_that_are_not_known_are_refused(self):
        self.add(document(position__frame="ETRF2000"))
        self.refused("adopt", 1, "--reason", "x", error="frame_unknown")
        self.assertEqual(self.rows("SELECT * FROM adoptions"), [])

    def test_another_antenna_height_than_the_settings_is_named(self):
        self.add(document(antenna__delta_enu_m=[0, 0, 1.5]))
        warnings = self.ask("adopt", 1, "--reason", "x")["warnings"]
        found, = [w for w in warnings if w["code"] == "antenna_height_differs"]
        self.assertAlmostEqual(found["size_m"], 0.3, 4)

    def test_records_and_adoptions_cannot_be_changed(self):
        self.add(document())
        self.ask("adopt", 1, "--reason", "the first")
        before = self.rows("SELECT * FROM position_records")
        columns = [row[1] for row in
                   self.rows("PRAGMA table_info(position_records)")]
        for statement in (
                *(f"UPDATE position_records SET {c} = {c}" for c in columns),
                "DELETE FROM position_records",
                "INSERT OR REPLACE INTO position_records "
                "SELECT * FROM position_records",
                "UPDATE adoptions SET record = record",
                "DELETE FROM adoptions",
                "INSERT OR REPLACE INTO adoptions SELECT * FROM adoptions"):
            with self.subTest(statement), self.database() as database:
                with self.assertRaises(sqlite3.DatabaseError):
                    database.execute(statement)
        self.assertEqual(self.rows("SELECT * FROM position_records"), before)

    def test_all_of_it_is_in_the_logbook(self):
        self.add(document())
        self.ask("adopt", 1, "--reason", "the first", "--by", "Mira")
        log = self.rows("SELECT text, details FROM logbook ORDER BY id")
        self.assertEqual(len(log), 2)
        self.assertIn("the first", str(log[1]))
        self.assertIn("Mira", str(log[1]))


class Mistakes(Records):
    def test_documents_that_are_none(self):
        good = json.dumps(document())
        for content, error, named in (
                ("", "bad_format", "JSON"),
                ("[]", "bad_format", "JSON"),
                (good[:700], "bad_format", "JSON"),
                ("[" * 100_000, "bad_format", "JSON"),
                ("{}", "bad_format", "schema_version"),
                (document(status="not_converged", why="an hour is short"),
                 "no_data", "an hour is short"),
                (document(without=["shapiro"]), "no_data", "without"),
                (document(schema_version=2), "unsupported", "schema_version"),
                (document(method="guess"), "bad_format", "method"),
                (document(position__frame=None), "frame_unknown", "frame"),
                (document(position__point="phase_centre"), "bad_format",
                 "position.point"),
                (document(position__ecef_m=[1, 2, 3]), "bad_format",
                 "position.ecef_m"),
                (document(position__covariance_ecef_m2=[[0] * 3] * 3),
                 "bad_format", "position.covariance_ecef_m2"),
                (" " * (4 << 20) + good, "too_large", "")):
            with self.subTest(error=error, named=named):
                path = self.file(content, check_it=False)
                told = self.refused("candidates", "--add", path, error=error)
                self.assertIn(named, told["what"])
                self.assertEqual(told["where"], str(path))
        self.assertFalse((self.state / "station.db").exists())
        self.refused("candidates", "--add", self.folder / "none", error="io")

    def test_one_bad_document_keeps_all_out(self):
        good, bad = self.file(document()), self.file("{}")
        self.refused("candidates", "--add", good, bad)
        self.assertEqual(self.ask("candidates")["candidates"], [])

    def test_options_are_checked_and_named(self):
        x, y, z = MARKER
        by_hand = ("--by-hand", f"{x},{y},{z}")
        sigma, frame = ("--sigma", "1,1,1"), ("--frame", "IGS20@2024.0")
        source = ("--source", "x")
        for words, named in (
                (by_hand, "--sigma"),
                ((*by_hand, *sigma), "frame"),
                ((*by_hand, *sigma, "--frame", "IGS20"), "epoch"),
                ((*by_hand, *sigma, *frame), "--source"),
                ((*by_hand, "--sigma", "1,1", *frame, *source), "--sigma"),
                ((*by_hand, "--sigma", "0,1,1", *frame, *source), "sigma of 0"),
                (("--by-hand", "47.3,8.9,512", *sigma, *frame, *source),
                 "surface"),
                (("--by-hand", "1,2", *sigma, *frame, *source), "coordinate"),
                ((*by_hand, *sigma, "--frame", "IGS20@soon", *source),
                 "soon"),
                (sigma, "--sigma"), (source, "--source"),
                (("--frame", "IGS20@"), "--frame"),
                (("--plate", "ATLANTIS"), "--plate"),
                (("--sed", "x"), "--sed"), (("loose",), "loose")):
            with self.subTest(words):
                self.assertIn(
                    named, self.refused("candidates", *words, code=2)["what"])
        self.refused("candidates", "--frame", "Nowhere", error="frame_unknown")
        for words in ((), ("one",), ("0",), ("1", "2"), ("-1",)):
            self.refused("adopt", *words, "--reason", "x", code=2)
        self.refused("claim", "now", code=2)
        for verb in ("candidates", "adopt", "position", "claim"):
            words = ("1", "--reason", "x") if verb == "adopt" else ()
            answer = run(verb, *words)
            self.assertEqual(answer.code, 2, answer)
            self.assertIn("--config", answer.err)
        self.assertFalse((self.state / "station.db").exists())

    def test_a_record_that_does_not_exist(self):
        self.assertIn("candidates", self.refused(
            "adopt", 7, "--reason", "x", error="no_data")["remedy"])

    def test_settings_and_folders_that_cannot_be_used(self):
        self.config.write_text("[station]\nnam = 1\n")
        self.refused("candidates", error="config")
        answer = run("position", "--config", self.config)
        self.assertEqual((answer.code, answer.out), (3, ""))
        self.assertIn(f"{self.config}:", answer.err)
        self.config.write_text(SETTINGS.format(
            state=self.folder / "nowhere", console=""))
        for verb in ("candidates", "position", "claim"):
            self.assertIn("stillpoint run", self.refused(verb)["remedy"])

    def test_help_names_the_options(self):
        for verb, options in (
                ("candidates", ("--add", "--by-hand", "--sigma", "--source",
                                "--frame", "--plate", "--config", "--json")),
                ("adopt", ("--reason", "--by", "--config", "--json")),
                ("position", ("--frame", "--plate", "--config", "--json")),
                ("claim", ("--config", "--json"))):
            answer = run(verb, "--help")
            self.assertEqual(answer.code, 0, answer)
            for option in options:
                self.assertIn(option, answer.out)
            self.assertIn(f"    {verb} ", run("--help").out)

    @unittest.skipUnless(os.geteuid() == 0, "only root can be another user")
    def test_root_makes_what_the_station_s_user_can_read(self):
        user = 65534  # nobody, from memory
        os.chown(self.state, user, user)
        self.folder.chmod(0o755)
        path = self.file(document())
        path.chmod(0o600)
        self.ask("candidates", "--add", path)
        self.ask("adopt", 1, "--reason", "x")
        self.ask("claim")
        for made in self.state.rglob("*"):
            self.assertEqual(made.stat().st_uid, user, made)


if __name__ == "__main__":
    main()
