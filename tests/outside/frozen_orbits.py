"""Frozen: files with orbits that we write, which libraries once read right.

Needs no network and no libraries. freeze_orbits.py wrote the files with our
writers and froze them after georinex and nmbu-rinex had read the input's
numbers in them.
"""
import json
import unittest

import freeze_orbits
import navigation_text
import support


class Frozen(unittest.TestCase):
    def test_files_are_those_that_were_frozen(self):
        notes = json.loads(
            (support.VECTORS / "orbits_written.json").read_text("ascii"))
        self.assertEqual(len(notes["sha256"]), 7)
        for name, known in notes["sha256"].items():
            with self.subTest(name):
                found = support.sha256((support.VECTORS / name).read_bytes())
                self.assertEqual(found, known,
                                 "run freeze_orbits.py, or restore it")

    def test_the_writers_write_the_same_bytes(self):
        for name in freeze_orbits.OUTPUTS:
            with self.subTest(name):
                known = (support.VECTORS / name).read_text("ascii")
                self.assertTrue(freeze_orbits.written(name) == known)

    def test_a_second_reader_finds_the_inputs_numbers(self):
        given = navigation_text.read(
            (support.VECTORS / "orbits4.rnx").read_text("ascii"))
        for name, messages in (("402", None), ("305", freeze_orbits.OLD)):
            ours = navigation_text.read(
                (support.VECTORS / f"orbits_written{name}.rnx")
                .read_text("ascii"))
            ours = [r for r in ours if freeze_orbits.is_set(r)]

            def held(record, messages=messages):
                return freeze_orbits.is_set(record) and (
                    messages is None or record[1] in messages)
            values, wrong = navigation_text.differences(ours, given, held)
            print(f"orbits_written{name}: {values} values, {len(wrong)} differ")
            self.assertEqual(wrong[:20], [])
            self.assertGreater(values, 500)
            # Mutation: one number of every kind off by its last digit.
            for sat, message, _, numbers in ours:
                field = next(n for n, v in numbers.items()
                             if v and n in navigation_text.comparable(
                                 numbers, message) and n not in (
                                     "Flags", "Fit", "NED0", "ED"))
                numbers[field] *= 1 + 1e-12
                self.assertEqual(
                    len(navigation_text.differences(ours, given, held)[1]), 1,
                    f"{sat} {message} {field}")
                numbers[field] = next(
                    r[3][field] for r in given
                    if r[:2] == (sat, message))


if __name__ == "__main__":
    support.run_checks()
