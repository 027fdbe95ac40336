"""What `run` leaves on the disk, read by a reader that shares nothing with it
(segment_reader.py), and the page that this reader was written from.
"""
import pathlib
import signal
import subprocess
import sys
import time

import rtcm_bytes as rtcm
import segment_reader
from running import WATCHDOG_S, InFolder, wait_until
from support import SOURCE, main, program

sys.path.insert(0, str(SOURCE / "tests/crash"))
import subjects  # noqa: E402

PAGE = SOURCE / "docs/formats/segment.md"
SEC = 10**9


def example():
    """The bytes that the page shows, those before the bar of each line."""
    text = PAGE.read_text().split("\n## Example\n")[1].split("\n## ")[0]
    return bytes.fromhex("".join(line.split("|")[0]
                                 for line in text.splitlines() if "|" in line))


class ThePage(InFolder):
    def read(self, content, name="raw/2026/329/12.seg"):
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        return segment_reader.read_segments(self.folder / "raw")[0]

    def test_its_example_is_a_whole_segment(self):
        segment = self.read(example())
        self.assertEqual(segment.damaged_blocks, [])
        self.assertTrue(segment.digest_good)
        self.assertEqual(segment.stream, 0x4C484F4C)
        self.assertEqual(
            [(p.offset, p.time_ns, p.content) for p in segment.parts],
            [(1000, SEC, b"\xd3\x00\x13"), (1003, SEC + 300, b"\x3e\xd0")])
        gap = segment_reader.Gap(1005, 1015, SEC + 300, 2 * SEC, "dropped")
        self.assertEqual(segment.gaps, [gap])
        self.assertEqual(segment.closing["gaps"], [gap])
        self.assertEqual(segment.closing["end"], 1015)
        self.assertEqual(segment.closing["tags"],
                         {"antenna": "SPDEMO-A1 NONE"})
        self.assertEqual(segment.closing["counts"], {"frames": 1})
        self.assertEqual(segment.opening["previous"], "2026/329/11.seg")
        self.assertEqual(segment.opening["previous_end"], "closed")
        self.assertEqual(segment.opening["previous_first"], 900)

    def test_every_changed_bit_of_its_example_shows(self):
        good = example()
        for bit in range(8 * len(good)):
            changed = bytearray(good)
            changed[bit // 8] ^= 1 << bit % 8
            segment = self.read(bytes(changed))
            self.assertTrue(segment.damaged_blocks, f"bit {bit}")
            for part in segment.parts:
                self.assertIn(part.content, (b"\xd3\x00\x13", b"\x3e\xd0"))

    def test_its_example_cut_anywhere_gives_no_byte_that_was_not_there(self):
        good = example()
        for size in range(len(good)):
            segment = self.read(good[:size])
            self.assertIsNone(segment.closing)
            content = b"".join(part.content for part in segment.parts)
            self.assertIn(content, (b"", b"\xd3\x00\x13\x3e\xd0"))


class ARecording(InFolder):
    def setUp(self):
        super().setUp()
        self.station = subjects.Program(self.folder, program())
        self.addCleanup(self.station.log.close)
        self.addCleanup(self.station.server.close)
        self.sent = b""

    def start(self):
        self.station.start()
        self.addCleanup(self.station.hang_up)
        self.addCleanup(self.end_hard, self.station.process)

    @staticmethod
    def end_hard(process):
        if process.poll() is None:
            process.kill()
            process.wait()

    def send(self, content):
        """All of it, however little the program takes at a time."""
        end = time.monotonic() + WATCHDOG_S
        while content and time.monotonic() < end:
            count = self.station.feed(content)
            self.sent += content[:count]
            content = content[count:]
        self.assertEqual(content, b"", "watchdog: the program takes no bytes")

    def wait_until_safe(self, offset):
        def safe():
            self.station.look()
            return self.station.acknowledged >= offset
        wait_until(safe, f"durable_offset {offset}")

    def read(self):
        segments = segment_reader.read_segments(self.station.raw)
        for segment in segments:
            self.assertEqual(segment.damaged_blocks, [], segment.name)
            self.assertIsNot(segment.digest_good, False, segment.name)
        return segments, segment_reader.Stream(segments)

    def test_holds_byte_for_byte_what_was_sent(self):
        self.start()
        self.send(rtcm.station_stream(200))
        self.wait_until_safe(1)
        self.station.process.send_signal(signal.SIGTERM)
        self.assertEqual(self.station.wait_for_end(), 0)
        segments, stream = self.read()
        self.assertTrue(all(segment.closing for segment in segments))
        content = stream.content()
        # What was still on its way to the program is no part of the record.
        self.assertEqual(content, self.sent[:len(content)])
        self.assertGreater(len(content), 0)
        self.assertEqual(stream.gaps, [])

    def test_is_readable_while_it_grows_up_to_what_is_acknowledged(self):
        self.start()
        self.send(rtcm.station_stream(200))
        self.wait_until_safe(len(self.sent))
        _, stream = self.read()
        self.assertTrue(stream.open)
        self.assertEqual(stream.content(), self.sent)
        note = segment_reader.read_latest(self.station.raw)
        self.assertEqual(note["first"], 0)
        self.assertTrue((self.station.raw / note["path"]).exists())

    def test_that_was_killed_says_where_it_broke_off(self):
        self.start()
        self.send(rtcm.station_stream(100))
        self.wait_until_safe(len(self.sent))
        first, self.sent = self.sent, b""
        self.station.kill()
        self.start()
        self.send(rtcm.station_stream(100))
        self.wait_until_safe(len(first) + len(self.sent))
        _, stream = self.read()
        self.assertEqual(stream.content(), first + self.sent)
        end = len(first)
        self.assertEqual([(g.first, g.end, g.reason) for g in stream.gaps],
                         [(end, end, "interrupted")])
        wait_until(lambda: self.station.lost() == {(end, end)},
                   "the gap in the logbook")


class TheReader(InFolder):
    def test_prints_segments_runs_and_gaps(self):
        path = self.folder / "2026/329/12.seg"
        path.parent.mkdir(parents=True)
        path.write_bytes(example())
        done = subprocess.run(
            [sys.executable, "-B", SOURCE / "tests/scenario/segment_reader.py",
             self.folder, "--bytes", self.folder / "out"],
            capture_output=True, text=True, check=True)
        self.assertIn("segment  2026/329/12.seg  bytes 1000 to 1015  closed",
                      done.stdout)
        self.assertIn("bytes    1000 to 1005  received 1.000", done.stdout)
        self.assertIn("gap      1005 to 1015  dropped", done.stdout)
        self.assertEqual(pathlib.Path(self.folder, "out").read_bytes(),
                         b"\xd3\x00\x13\x3e\xd0")


if __name__ == "__main__":
    main()
