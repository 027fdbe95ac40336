"""What `locate` prints: documents against their schemas, the contract's words.

Small inputs are invented (small_files.py); real station-days where they are.
"""
import json
import pathlib
import tempfile
import unittest

import jsonschema

import small_files
from support import SOURCE, data, main, run

SCHEMAS = SOURCE / "docs/schemas"
ESBC = "esbc-2020-177/ESBC00DNK_R_20201770000_01D_"


def check(document, name):
    schema = json.loads((SCHEMAS / f"{name}.schema.json").read_text())
    jsonschema.Draft202012Validator(schema).validate(document)


class Locate(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        folder = pathlib.Path(cls.folder.name)
        cls.obs, cls.nav, cls.sp3 = (
            folder / "obs.rnx", folder / "nav.rnx", folder / "orbits.sp3")
        cls.obs.write_bytes(small_files.observations())
        cls.nav.write_bytes(small_files.navigation())
        cls.sp3.write_bytes(small_files.orbits())

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def test_document_follows_its_schema(self):
        for orbits in (("--nav", self.nav), ("--orbits", self.sp3)):
            answer = run("locate", self.obs, *orbits, "--json")
            self.assertIn(answer.code, (0, 1), answer)
            check(answer.json(), "locate")

    def test_position_is_near_the_invented_antenna(self):
        document = run("locate", self.obs, "--nav", self.nav, "--json").json()
        truth = small_files.antenna_ecef_m()
        for got, want in zip(document["position"]["ecef_m"], truth):
            self.assertLess(abs(got - want), 5)

    def test_schemas_refuse_what_breaks_the_contract(self):
        document = run("locate", self.obs, "--nav", self.nav, "--json").json()
        for key in ("position", "used", "warnings", "why"):
            broken = {k: v for k, v in document.items() if k != key}
            with self.assertRaises(jsonschema.ValidationError):
                check(broken, "locate")

    def test_failed_prints_the_document_with_an_error_and_exits_3(self):
        answer = run("locate", self.obs, "--nav", self.nav, "--systems", "E",
                     "--json")
        self.assertEqual(answer.code, 3, answer)
        document = answer.json()
        check(document, "locate")
        self.assertIsNone(document["position"])
        self.assertEqual(document["error"]["code"], "no_data")

    def test_errors_follow_their_schema(self):
        for words in (("locate",), ("loacte",), ("listen",),
                      ("locate", "none.rnx", "--nav", "none.rnx"),
                      ("locate", self.nav, "--nav", self.nav),
                      ("locate", self.obs, "--nav", self.obs),
                      ("locate", self.obs, "--orbits", self.obs)):
            answer = run(*words, "--json")
            self.assertIn(answer.code, (2, 3), answer)
            check(answer.json(), "error")

    def test_option_values_are_checked_and_named(self):
        cases = ((("--systems", "GX"), "X"), (("--elevation-mask", "x"), "x"),
                 (("--start", "yesterday"), "--start"),
                 (("--without", "gravity"), "gravity"),
                 (("--method", "ppp"), "ppp"), (("--fetch",), "--fetch"),
                 (("--start", "2024-05-08", "--end", "2024-05-07"), "--end"))
        for words, named in cases:
            answer = run("locate", self.obs, "--nav", self.nav, *words)
            self.assertEqual(answer.code, 2, answer)
            self.assertIn(named, answer.err)
            self.assertIn("remedy", answer.err)

    def test_span_is_half_open_and_bare_times_are_gps_time(self):
        words = ("locate", self.obs, "--nav", self.nav, "--json",
                 "--start", "2024-05-08T10:01:00", "--end",
                 "2024-05-08T10:05:00")
        document = run(*words).json()
        self.assertEqual(document["used"]["epochs"], 8)
        self.assertEqual(document["span"]["first"], "2024-05-08T10:00:42Z")

    def test_without_is_echoed_with_a_warning(self):
        document = run("locate", self.obs, "--nav", self.nav, "--json",
                       "--without", "troposphere", "shapiro").json()
        self.assertEqual(document["without"], ["troposphere", "shapiro"])
        self.assertIn("terms_left_out",
                      [w["code"] for w in document["warnings"]])

    def test_record_file_equals_the_document(self):
        record = pathlib.Path(self.folder.name, "record.json")
        answer = run("locate", self.obs, "--nav", self.nav, "--json",
                     "--out", record)
        self.assertEqual(record.read_text(), answer.out)

    def test_record_that_cannot_be_written_is_a_system_error(self):
        answer = run("locate", self.obs, "--nav", self.nav,
                     "--out", "/proc/none/record.json")
        self.assertEqual(answer.code, 4, answer)
        self.assertIn("/proc/none/record.json", answer.err)

    def test_different_markers_are_mixed_input(self):
        other = pathlib.Path(self.folder.name, "other.rnx")
        other.write_bytes(
            small_files.observations().replace(b"LHOL", b"MILL", 1))
        answer = run("locate", self.obs, other, "--nav", self.nav, "--json")
        self.assertEqual(answer.code, 3, answer)
        self.assertEqual(answer.json()["error"]["code"], "mixed_input")

    def test_text_says_where_how_sure_in_which_frame_and_what_next(self):
        answer = run("locate", self.obs, "--nav", self.nav)
        for word in ("Where", "Frame", "How sure", "Limited by", "Next",
                     "Caution"):
            self.assertIn(word, answer.out)

    def test_same_input_gives_the_same_bytes(self):
        words = ("locate", self.obs, "--nav", self.nav, "--json")
        self.assertEqual(run(*words).out, run(*words).out)


class RealDay(unittest.TestCase):
    def test_a_station_day_follows_the_schema(self):
        answer = run("locate", data(ESBC + "30S_MO.crx.gz"), "--nav",
                     data(ESBC + "MN.rnx.gz"), "--json")
        self.assertEqual(answer.code, 0, answer)
        document = answer.json()
        check(document, "locate")
        self.assertEqual(document["used"]["epochs"], 2880)
        self.assertEqual(document["position"]["frame"], "WGS84")


if __name__ == "__main__":
    main()
