"""Frozen: our NMEA reader against values that a library once gave.

Needs no network and no libraries; made by freeze.py.
"""
import unittest

import nmea_text
import support

SENTENCES = support.VECTORS / "nmea.txt"
VALUES = support.VECTORS / "nmea.values.txt"


def frozen():
    return nmea_text.read_dump(VALUES.read_text(encoding="ascii"))


class Frozen(unittest.TestCase):
    def test_values_equal_the_librarys(self):
        values, wrong = nmea_text.differences(
            nmea_text.read_dump(support.dump(SENTENCES, program="dump_nmea")),
            frozen())
        print(f"{SENTENCES.name}: {values} values, {len(wrong)} differ")
        self.assertEqual(wrong, [])
        self.assertGreater(values, 2000)

    def test_a_broken_field_is_noticed(self):
        """Mutation: each field off by its last digit, once."""
        theirs = frozen()
        names = {n for _, _, values in theirs.values() for n in values}
        self.assertEqual(
            names, {n for kind in nmea_text.NAMES.values()
                    for n in kind.values()})
        for name in sorted(names):
            with self.subTest(name):
                ours = nmea_text.read_dump(
                    support.dump("--break-field", name, SENTENCES,
                                 program="dump_nmea"))
                _, wrong = nmea_text.differences(ours, theirs)
                self.assertEqual(len(wrong), 1)
                self.assertIn(f" {name}: ours ", wrong[0])


if __name__ == "__main__":
    support.run_checks()
