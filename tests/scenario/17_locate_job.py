"""`locate --job` and `--report`: one JSON object says what the command line
would, mistakes name the key, and results stand whole or not at all.
"""
import json
import os
import pathlib
import re
import tempfile

import jsonschema

import small_files
from running import InFolder, check
from support import SOURCE, main, run

SCHEMA = json.loads(
    (SOURCE / "docs/schemas/locate-job.schema.json").read_text())


def allowed(job):
    return jsonschema.Draft202012Validator(SCHEMA).is_valid(job)


class WithFiles(InFolder):
    def setUp(self):
        super().setUp()
        self.obs = self.write(small_files.observations(), "obs.rnx")
        self.nav = self.write(small_files.navigation(), "nav.rnx")
        self.sp3 = self.write(small_files.orbits(), "orbits.sp3")

    def job(self, text, *words, cwd=None):
        """Starts a job: an object, or text as it is."""
        path = self.folder / "job.json"
        path.write_text(text if isinstance(text, str) else json.dumps(text))
        return run("locate", "--job", path, *words, cwd=cwd)


class Jobs(WithFiles):
    least = {"observations": ["obs.rnx"], "nav": ["nav.rnx"],
             "out": "record.json"}

    def refused(self, answer, named, code=2):
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        error = answer.json()["error"]
        self.assertIn(named, error["what"])
        self.assertTrue(error["remedy"], error)
        self.assertFalse((self.folder / "record.json").exists())
        return error

    def test_a_job_answers_as_the_command_line_does(self):
        jobs = (
            (self.least, ("--nav", self.nav)),
            ({"observations": ["obs.rnx"], "orbits": ["orbits.sp3"],
              "nav": [], "method": "code", "systems": "G", "fetch": False,
              "ambiguities": "float", "elevation-mask": 10.5,
              "without": ["troposphere", "shapiro"],
              "start": "2024-05-08T10:01:00", "end": "2024-05-08T10:06:00",
              "out": "record.json", "report": "page.html"},
             ("--orbits", self.sp3, "--method", "code", "--systems", "G",
              "--elevation-mask", "10.5", "--without", "troposphere",
              "shapiro", "--start", "2024-05-08T10:01:00", "--end",
              "2024-05-08T10:06:00")))
        for job, words in jobs:
            self.assertTrue(allowed(job), job)
            line = run("locate", self.obs, *words, "--json")
            # Relative paths count from the job's folder, wherever it starts.
            answer = self.job(job, "--json", cwd="/")
            self.assertEqual(answer.code, line.code, answer)
            self.assertEqual(answer.out, line.out)
            self.assertEqual((self.folder / "record.json").read_text(),
                             line.out)
        self.assertTrue((self.folder / "page.html").exists())
        self.assertEqual(list(self.folder.glob("*.part")), [])

    def test_a_job_in_the_folder_of_the_process_has_plain_paths(self):
        (self.folder / "job.json").write_text(json.dumps(self.least))
        answer = run("locate", "--job", "job.json", "--json", cwd=self.folder)
        self.assertIn(answer.code, (0, 1), answer)
        self.assertEqual([f["path"] for f in answer.json()["inputs"]],
                         ["obs.rnx", "nav.rnx"])

    def test_what_no_job_has_is_refused_by_program_and_schema(self):
        for change, named in (
                ({"navigation": ["nav.rnx"]}, "navigation"),
                ({"json": True}, "json"),
                ({"job": "other.json"}, "job"),
                ({"nav": "nav.rnx"}, "nav"),
                ({"nav": [["nav.rnx"]]}, "nav"),
                ({"nav": [1]}, "nav"),
                ({"nav": ["a\u0000b"]}, "nav"),
                ({"nav": ["n" * 4097]}, "nav"),
                ({"nav": ["nav.rnx"] * 1001}, "nav"),
                ({"nav": None}, "nav"),
                ({"earth": ["a.erp"]}, "earth"),
                ({"systems": 5}, "systems"),
                ({"systems": "GX"}, "systems"),
                ({"method": "guess"}, "method"),
                ({"ambiguities": "whole"}, "ambiguities"),
                ({"elevation-mask": "7"}, "elevation-mask"),
                ({"elevation-mask": 60}, "elevation-mask"),
                ({"elevation-mask": -1}, "elevation-mask"),
                ({"fetch": "yes"}, "fetch"),
                ({"fetch": 1}, "fetch"),
                ({"fetch": True}, "--archives"),
                ({"cache": "products"}, "--cache"),
                ({"out": ""}, "out"),
                ({"out": {"path": "record.json"}}, "out"),
                ({"observations": []}, "observations")):
            job = {**self.least, **change}
            with self.subTest(change=str(change)[:60]):
                self.assertFalse(allowed(job))
                error = self.refused(self.job(job, "--json"), named)
                self.assertIn("job.json", error["where"])
        for key in ("observations", "out"):
            job = {k: v for k, v in self.least.items() if k != key}
            self.assertFalse(allowed(job))
            self.refused(self.job(job, "--json"), key)

    def test_a_mistyped_key_is_answered_with_the_right_one(self):
        error = self.refused(
            self.job({**self.least, "elevation_mask": 7}, "--json"),
            "elevation_mask")
        self.assertIn('"elevation-mask"', error["remedy"])

    def test_text_that_is_no_job_is_told_with_its_line(self):
        text = json.dumps(self.least)
        twice = text[:-1] + ', "out": "other.json"}'
        self.refused(self.job(twice, "--json"), '"out"')
        for text, named, line in (
                ("", "JSON", ":1"), ("[]", "object", ""), ("7", "object", ""),
                (text + "x", "JSON", ":1"),
                ('{\n"out": "r",\n}', "JSON", ":3"), ("[" * 99999, "", ""),
                ('{"nav":' + "[" * 99999, "nav", ""),
                (" " * (256 * 1024 + 1), "", "")):
            with self.subTest(text=text[:20]):
                answer = self.job(text, "--json")
                # A text that is too long is not read at all.
                code = 3 if len(text) > 256 * 1024 else 2
                error = self.refused(answer, named, code)
                self.assertTrue(error["where"].endswith("job.json" + line),
                                error)

    def test_nothing_stands_beside_a_job(self):
        for words in ((self.obs,), ("--systems", "G"), ("--out", "x.json"),
                      ("--fetch",)):
            error = self.refused(self.job(self.least, "--json", *words),
                                 str(words[0]))
            self.assertIn("job file", error["remedy"])

    def test_a_job_that_is_not_there_is_an_input_error(self):
        answer = run("locate", "--job", self.folder / "none.json", "--json")
        self.assertEqual(answer.code, 3, answer)
        self.assertIn("none.json", answer.json()["error"]["where"])

    def test_exit_codes_are_those_of_the_command_line(self):
        self.assertEqual(
            self.job({**self.least, "systems": "E"}, "--json").code, 3)
        record = json.loads((self.folder / "record.json").read_text())
        self.assertEqual(record["status"], "failed")
        self.assertEqual(
            self.job({**self.least, "out": "none/record.json"}).code, 4)

    def test_every_option_has_its_key(self):
        page = run("locate", "--help").out
        options = set(re.findall(r"^    --([a-z-]+)", page, re.MULTILINE))
        options |= set(re.findall(r"^    --start T, --([a-z-]+)", page,
                                  re.MULTILINE))
        self.assertGreater(len(options), 15)
        self.assertEqual(
            options - {"json", "job"},
            set(SCHEMA["properties"]) - {"observations", "working-folder"})


class WorkingFolder(WithFiles):
    def work(self, folder):
        return self.job({**Jobs.least, "report": "page.html",
                         "working-folder": str(folder)}, "--json")

    def test_half_results_are_in_it_and_nowhere_else(self):
        # Where a half record would stand beside its place there is a folder.
        (self.folder / "record.json.part").mkdir()
        (self.folder / "page.html.part").mkdir()
        self.assertEqual(self.job(Jobs.least).code, 4)
        self.assertFalse((self.folder / "record.json").exists())
        work = self.folder / "work"
        work.mkdir()
        self.assertIn(self.work("work").code, (0, 1))
        self.assertTrue((self.folder / "record.json").exists())
        self.assertTrue((self.folder / "page.html").exists())
        self.assertEqual(list(work.iterdir()), [])

    def test_one_that_is_not_there_is_a_usage_error(self):
        answer = self.work("none")
        self.assertEqual(answer.code, 2, answer)
        self.assertIn("working-folder", answer.json()["error"]["what"])

    def test_one_on_another_file_system_is_told(self):
        other = pathlib.Path("/dev/shm")
        if not os.access(other, os.W_OK) or (
                other.stat().st_dev == self.folder.stat().st_dev):
            self.skipTest("skipped: no second file system")
        with tempfile.TemporaryDirectory(dir=other) as work:
            answer = self.work(work)
            self.assertEqual(answer.code, 4, answer)
            self.assertIn("working-folder", answer.json()["error"]["remedy"])
            self.assertEqual(os.listdir(work), [])


class Report(WithFiles):
    def test_a_page_for_people_of_the_codes(self):
        page = self.folder / "page.html"
        words = ("locate", self.obs, "--nav", self.nav, "--json")
        answer = run(*words, "--report", page)
        self.assertEqual(answer.out, run(*words).out)
        text = page.read_text()
        self.assertTrue(text.lower().startswith("<!doctype html>"), text[:80])
        self.assertTrue(text.rstrip().endswith("</html>"))
        self.assertIn("LHOL", text)
        x, y, z = answer.json()["position"]["ecef_m"]
        self.assertIn(f"X {x:.3f} m, Y {y:.3f} m, Z {z:.3f} m", text)

    def test_it_cannot_be_the_record_and_must_be_writable(self):
        both = self.folder / "both"
        answer = run("locate", self.obs, "--nav", self.nav, "--out", both,
                     "--report", both)
        self.assertEqual(answer.code, 2, answer)
        self.assertFalse(both.exists())
        answer = run("locate", self.obs, "--nav", self.nav, "--report",
                     self.folder / "none/page.html")
        self.assertEqual(answer.code, 4, answer)
        self.assertIn("page.html", answer.err)


if __name__ == "__main__":
    main()
