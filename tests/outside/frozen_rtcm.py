"""Frozen: our raw RTCM layer against readings that a library once gave.

Frames that others have printed, and messages that we encode. Needs no network
and no libraries; made by freeze.py. Where the library and a published value
disagree the published value wins; none was found (docs/outside.md says which
published values are independent of the library).
"""
import pathlib
import tempfile
import unittest

import rtcm_text
import support

PUBLISHED = support.VECTORS / "rtcm_published.txt"
MADE = support.VECTORS / "rtcm_made.txt"


def frozen(path):
    text = path.with_suffix(".values.txt").read_text(encoding="ascii")
    return rtcm_text.read_dump(text)


def dumped(path, *words):
    return rtcm_text.read_dump(
        support.dump("--hex", *words, path, program="dump_rtcm"))


def compare(ours, theirs):
    tally = rtcm_text.Tally()
    for (_, fields), ((number, kind), answer) in zip(ours, theirs):
        tally.compare(f"{number} {kind}", fields, answer)
    return tally


class Frozen(unittest.TestCase):
    def check(self, path, ours, least):
        theirs = frozen(path)
        self.assertEqual(len(ours), len(theirs))
        tally = compare(ours, theirs)
        print(f"{path.name}: {tally}")
        self.assertEqual(tally.wrong, [])
        self.assertGreater(tally.values, least)

    def test_published_frames(self):
        ours = dumped(PUBLISHED)
        self.assertEqual({words[3] for words, _ in ours}, {"fields"})
        self.check(PUBLISHED, ours, 3000)

    def test_messages_that_we_encoded(self):
        """Read back by us, and as they were before we encoded them."""
        self.check(MADE, dumped(MADE), 50_000)
        again = rtcm_text.read_dump(
            support.dump("1", "1", program="make_rtcm"))
        self.assertEqual([bytes.fromhex(frame) for (frame,), _ in again],
                         rtcm_text.hex_frames(MADE))
        self.check(MADE, again, 50_000)

    def test_every_message_is_there(self):
        """Message by message, those that rtcm_text.TYPES has."""
        types = {kind for (_, kind), _ in frozen(MADE)}
        self.assertEqual(types, rtcm_text.TYPES)

    def test_a_broken_field_is_noticed(self):
        """Mutation: the first value of each name off by one, in the first
        message that has it."""
        first = {}
        for frame, answer in zip(rtcm_text.hex_frames(MADE), frozen(MADE)):
            for name, values in answer[1].items():
                if values[0] != "?":
                    first.setdefault(name, (frame, answer))
        self.assertGreater(len(first), 250)
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "frame.txt")
            for name, (frame, answer) in first.items():
                with self.subTest(name):
                    path.write_text(frame.hex() + "\n", encoding="ascii")
                    wrong = compare(dumped(path, "--break-field", name),
                                    [answer]).wrong
                    self.assertEqual(len(wrong), 1)
                    self.assertIn(f" {name}_1: ours ", wrong[0])
        print(f"{len(first)} fields broken and noticed")


if __name__ == "__main__":
    support.run_checks()
