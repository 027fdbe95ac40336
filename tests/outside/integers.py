"""Live: our search for integers against a lattice library's enumeration, on a
thousand invented problems of up to 40 dimensions."""
import unittest

import demo_integers
import support

COUNT = 2  # best and second best


class Integers(unittest.TestCase):
    def test_best_and_second_best_are_as_near(self):
        import integers_library
        asked = demo_integers.problems(20261130, 1000)
        ours = demo_integers.answers(
            support.dump(program="dump_integers", given="".join(
                one.line(COUNT) for one in asked)), asked, COUNT)
        values = 0
        for one, vectors in zip(asked, ours):
            with self.subTest(one.line(COUNT)[:40]):
                self.assertEqual(
                    [one.squared_distance(v) for v in vectors],
                    integers_library.closest(one, COUNT))
                self.assertNotEqual(*vectors)
            values += COUNT
        print(f"{len(asked)} problems, {values} squared distances; "
              f"{sum(len(one.target) == 40 for one in asked)} problems of 40 "
              "dimensions", flush=True)


if __name__ == "__main__":
    support.main()
