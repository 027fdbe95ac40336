"""Frozen: files of our observation writer that libraries once read.

Needs no network and no libraries. freeze_written.py wrote the files with our
writer, after the Hatanaka library had restored each compressed one to the
plain one byte by byte, and took the RINEX library's values of the plain one;
written.json beside them names library, version and the hash of every file.
"""
import json
import unittest

import frozen_observations
import rinex_text
import support
import written_text


def given(name):
    """The epochs that the files were written of."""
    file, version = written_text.DEMO[name]
    text = (support.VECTORS / file).read_text(encoding="ascii")
    return written_text.epochs_of(text), version


class Frozen(unittest.TestCase):
    def test_files_are_those_that_were_frozen(self):
        notes = json.loads(
            (support.VECTORS / "written.json").read_text(encoding="utf-8"))
        self.assertEqual(len(notes["sha256"]), 6)
        for name, known in notes["sha256"].items():
            with self.subTest(name):
                found = support.sha256((support.VECTORS / name).read_bytes())
                self.assertEqual(found, known,
                                 "run freeze_written.py, or restore it")

    def test_the_writer_writes_the_same_bytes(self):
        for name in written_text.DEMO:
            epochs, version = given(name)
            for words, suffix in (((), "rnx"), (("--hatanaka",), "crx")):
                with self.subTest(f"written{name}.{suffix}"):
                    text, said = written_text.write(epochs, version, *words)
                    path = support.VECTORS / f"written{name}.{suffix}"
                    self.assertEqual(said, "")
                    self.assertEqual(text, path.read_text(encoding="ascii"))

    def test_the_librarys_values_equal_those_given(self):
        for name in written_text.DEMO:
            with self.subTest(name):
                tally = frozen_observations.compare(
                    given(name)[0],
                    frozen_observations.frozen_rows(f"written{name}"))
                print(f"written{name}: frozen values: {tally}")
                self.assertEqual(tally.wrong, [])
                self.assertGreater(tally.total(), 3000)

    def test_a_second_reading_gives_the_epochs_back(self):
        """Flags, clock offsets and every loss of lock too."""
        for name in written_text.DEMO:
            epochs, version = given(name)
            for target in sorted({version, "3.05", "4.02"}):
                with self.subTest(name, version=target):
                    text, _ = written_text.write(epochs, target)
                    tally = rinex_text.Tally().files(
                        epochs, rinex_text.read_rinex(text))
                    print(f"{name} in {target}: second reading: {tally}")
                    self.assertEqual(tally.wrong, [])
                    self.assertGreater(tally.total(), 3000)

    def test_a_broken_field_is_noticed(self):
        """Mutation: each field off by its last digit, once; the files and the
        readings must differ."""
        epochs, version = given("2")
        theirs = frozen_observations.frozen_rows("written2")
        frozen = (support.VECTORS / "written2.rnx").read_text(encoding="ascii")
        for field in written_text.FIELDS:
            with self.subTest(field):
                spoilt = written_text.broken(epochs, field)
                text, _ = written_text.write(spoilt, version)
                self.assertNotEqual(text, frozen)
                second = rinex_text.Tally().files(
                    epochs, rinex_text.read_rinex(text))
                self.assertGreater(second.wrong_count, 0)
                tally = frozen_observations.compare(spoilt, theirs)
                self.assertGreater(tally.wrong_count, 0)


if __name__ == "__main__":
    support.run_checks()
