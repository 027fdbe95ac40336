"""Live: our coordinates, plate velocities and time scales against PROJ and
ERFA, afresh and on many more places and instants than the frozen layer."""
import unittest

import support


class Geodesy(unittest.TestCase):
    def check(self, asked):
        given = "".join(q.text + "\n" for q in asked)
        lines = support.dump(program="dump_geodesy", given=given).splitlines()
        self.assertEqual(len(lines), len(asked))
        values, worst = 0, {}
        for question, line in zip(asked, lines):
            ours = [float(word) for word in line.split()]
            self.assertEqual(len(ours), len(question.theirs), question.text)
            for a, b, most in zip(ours, question.theirs, question.tolerances):
                off = abs(a - b)
                if question.text.startswith("to_geodetic") and off > 359:
                    off = abs(off - 360)  # the date line from both sides
                self.assertLessEqual(off, most, f"{question.text}: {ours}, "
                                     f"{question.library} {question.theirs}")
                values += 1
                name = question.text.split()[0]
                worst[name] = max(worst.get(name, 0), off)
        print(f"{len(asked)} questions, {values} values; largest difference",
              ", ".join(f"{k} {v:.1e}" for k, v in worst.items()), flush=True)

    def test_coordinates_and_plates(self):
        import questions
        self.check(questions.geodesy(500))

    def test_there_and_back_closes(self):
        """Whose rounding it is: to_geodetic differs from PROJ by up to a
        micrometre, and from the point it began with by 1e-8 m."""
        import questions
        asked = [q.text.split() for q in questions.geodesy(500)
                 if q.text.startswith("to_geodetic")]
        there = support.dump(program="dump_geodesy", given="".join(
            " ".join(words) + "\n" for words in asked)).splitlines()
        back = support.dump(program="dump_geodesy", given="".join(
            f"to_ecef {words[1]} {line}\n"
            for words, line in zip(asked, there))).splitlines()
        self.assertEqual(len(back), len(asked))
        for words, line in zip(asked, back):
            for a, b in zip(words[2:], line.split()):
                self.assertLess(abs(float(a) - float(b)), 1e-8, words)

    def test_time_scales(self):
        import questions
        self.check(questions.time(500))


if __name__ == "__main__":
    support.main()
