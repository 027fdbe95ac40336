"""Frozen: our search for integers against what a lattice library once found.

Needs no network and no libraries; made by freeze_integers.py.
"""
import unittest

import demo_integers
import support

PROBLEMS = support.VECTORS / "integers.txt"
VALUES = support.VECTORS / "integers.values.txt"


def frozen():
    return [list(map(int, line.split())) for line in
            VALUES.read_text("ascii").splitlines() if line[0] != "#"]


def ours(*words):
    asked = [p for p, _ in demo_integers.read(PROBLEMS.read_text("ascii"))]
    given = "".join(one.line(2) for one in asked)
    found = demo_integers.answers(
        support.dump(*words, program="dump_integers", given=given), asked, 2)
    return [[one.squared_distance(v) for v in vectors]
            for one, vectors in zip(asked, found)]


class Frozen(unittest.TestCase):
    def test_squared_distances_equal_the_librarys(self):
        theirs = frozen()
        self.assertEqual(ours(), theirs)
        print(f"{len(theirs)} problems, {2 * len(theirs)} squared distances")
        self.assertGreater(len(theirs), 50)

    def test_a_broken_coefficient_is_noticed(self):
        """Mutation: one coefficient off by one, once."""
        theirs = frozen()
        for field in range(6):
            with self.subTest(field):
                wrong = sum(a != b for a, b in zip(
                    ours("--break-field", field), theirs))
                self.assertEqual(wrong, 1)


if __name__ == "__main__":
    support.run_checks()
