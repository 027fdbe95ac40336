"""Sessions that ask too much of `locate --method ppp`: too short, too low, one
frequency, files in the wrong order, an antenna that moved. Good products; what
bad ones do is 19_ppp_products.py.
"""
import re

from ppp_world import SCENARIO, Products, World
from running import check
from support import main


class Sessions(Products):
    def setUp(self):
        super().setUp()
        head, body = self.world.text("observations").split("END OF HEADER\n")
        self.head = head + "END OF HEADER\n"
        self.epochs = re.split(r"(?m)^(?=> )", body)[1:]

    def part(self, epochs, name="part.rnx"):
        return self.write(self.head + "".join(epochs), name)

    def only(self, wanted):
        """The satellites of which wanted(name) is true."""
        out = []
        for epoch in self.epochs:
            first, *rows = epoch.splitlines(keepends=True)
            rows = [row for row in rows if wanted(row[:3])]
            out.append(f"{first[:32]}{len(rows):3}{first[35:]}" +
                       "".join(rows))
        return self.part(out)

    def test_two_files_in_the_wrong_order(self):
        early = self.part(self.epochs[:180], "early.rnx")
        late = self.part(self.epochs[180:], "late.rnx")
        document = self.converged(self.locate(observations=[late, early]))
        self.warned(document, "epochs_out_of_order", "180", size=False)
        document = self.converged(self.locate(observations=[early, late]))
        self.assertEqual(document["used"]["epochs"], 360)

    def test_five_minutes_are_a_position_not_to_rely_on(self):
        document = self.solved(
            self.locate(observations=self.part(self.epochs[:10])))
        self.assertEqual(document["status"], "not_converged")
        self.assertIn("too little data", document["why"])

    def test_short_sessions_are_honest(self):
        for count in (1, 20, 40, 120):
            answer = self.locate(observations=self.part(self.epochs[:count]))
            if answer.code == 3:
                self.assertEqual(count, 1)
            else:
                self.solved(answer)

    def test_one_frequency_of_one_system(self):
        # Without the other carriers' columns, which are the last of a row.
        head = re.sub(r"(?m)^[RECJ].{59}SYS / # / OBS TYPES\n", "", self.head)
        head = re.sub(r"(?m)^G   12( C1C L1C D1C S1C).*(?=SYS / #)",
                      lambda m: f"G    4{m[1]:54}", head)
        rows = self.only(lambda s: s[0] == "G").read_text()[len(self.head):]
        rows = re.sub(r"(?m)^(G\d\d.{64}).*$", r"\1", rows)
        self.failed(self.locate(observations=self.write(head + rows)),
                    "two frequencies")

    def test_ten_satellites_that_never_rise_above_the_mask(self):
        document = self.solved(self.locate("--elevation-mask", "20"))
        risen = {s["satellite"] for s in document["satellites"]}
        low = {s["satellite"] for s in
               self.solved(self.locate())["satellites"]} - risen
        self.assertGreaterEqual(len(low), 10)
        path = self.only(low.__contains__)
        self.failed(self.locate("--elevation-mask", "20", observations=path))
        document = self.solved(self.locate(observations=path))
        self.assertEqual(document["status"], "not_converged")

    def moved(self, millimetres):
        """A world in which the antenna is knocked east in the middle."""
        text = SCENARIO.read_text()
        for old, new in (("at = 2026-06-03T07:14:20",
                          "at = 2026-06-02T06:30:00"),
                         ("east_mm = 14.0", f"east_mm = {millimetres}"),
                         ("north_mm = -9.0", "north_mm = 0"),
                         ("up_mm = -6.9", "up_mm = 0")):
            self.assertEqual(text.count(old), 1)
            text = text.replace(old, new)
        return World(self.folder / f"moved-{millimetres}",
                     scenario=self.write(text, "moved.toml"))

    def test_an_antenna_knocked_by_less_than_sigma_does_not_matter(self):
        world = self.moved(10)
        self.converged(self.locate(world=world), marker=world.marker)

    def test_an_antenna_that_moved_is_not_one_position(self):
        for millimetres in (100, 1000):
            with self.subTest(millimetres=millimetres):
                answer = self.locate(world=self.moved(millimetres))
                document = answer.json()
                check(document, "locate")
                words = document["why"] + " ".join(
                    w["what"] for w in document["warnings"])
                self.assertIn("moved", words)
                self.assertEqual(document["status"], "not_converged")


if __name__ == "__main__":
    main()
