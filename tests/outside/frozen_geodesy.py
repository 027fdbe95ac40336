"""Frozen: our coordinates, plate velocities and time scales against answers
that PROJ and ERFA once gave. Needs no network and no libraries."""
import unittest

import support


def blocks(name):
    """The blocks of a .vec file as dictionaries, keys of input and expect
    spread out."""
    text = (support.VECTORS / name).read_text(encoding="utf-8")
    for block in text.split("---\n"):
        found = {}
        for line in block.splitlines():
            key, _, value = line.partition(": ")
            if key in ("input", "expect"):
                found.update(word.split("=", 1) for word in value.split())
            elif not line.startswith("#"):
                found[key] = value
        if found:
            yield found


def numbers(text):
    return [float(word) for word in text.split(",")]


class Frozen(unittest.TestCase):
    def check(self, name):
        asked = list(blocks(name))
        given = "".join(b["question"].replace(",", " ") + "\n" for b in asked)
        lines = support.dump(program="dump_geodesy", given=given).splitlines()
        self.assertEqual(len(lines), len(asked))
        values = 0
        for block, line in zip(asked, lines):
            answer, within = numbers(block["answer"]), numbers(block["within"])
            ours = [float(word) for word in line.split()]
            self.assertEqual(len(ours), len(answer), block)
            for a, b, most in zip(ours, answer, within):
                off = abs(a - b)
                if "to_geodetic" in block["question"] and off > 359:
                    off = abs(off - 360)  # the date line from both sides
                self.assertLessEqual(off, most, f"{block}: ours {line}")
                values += 1
        print(f"{name}: {len(asked)} questions, {values} values")
        self.assertGreater(values, 100)

    def test_coordinates_and_plates(self):
        self.check("geodesy.vec")

    def test_time_scales(self):
        self.check("time.vec")


if __name__ == "__main__":
    support.run_checks()
