"""`replay`: what arrives is what was recorded, or is damaged as asked.

Streams are invented (rtcm_bytes.py) and read with plain sockets and
terminals; the next file reads them with `listen`.
"""
import gzip
import os
import pathlib
import socket
import threading
import tty

import rtcm_bytes as rtcm
from running import WATCHDOG_S, InFolder, Replay, check, wait_until
from support import data, main, run

GGA = rtcm.sentence("GNGGA,120000.00,,,,,0,00,99.9,,,,,,")


def connect(port):
    return socket.create_connection(("127.0.0.1", port), WATCHDOG_S)


def read_all(reader):
    got = bytearray()
    with reader:
        while piece := reader.recv(65536):
            got += piece
    return bytes(got)


def held_by_the_system():
    """Bytes at most that a connection can hold for a reader that reads none:
    the last numbers of tcp_rmem and tcp_wmem."""
    return sum(int(pathlib.Path(f"/proc/sys/net/ipv4/tcp_{name}").read_text()
                   .split()[2]) for name in ("rmem", "wmem"))


class Played(InFolder):
    def play(self, content, *args):
        """What a reader of TCP gets, and the document."""
        replay = Replay(self, self.write(content), "--to", "tcp:0", "--json",
                        *args)
        got = read_all(connect(replay.port))
        answer = replay.answer()
        self.assertEqual(answer.code, 0, answer)
        document = answer.json()
        check(document, "replay")
        self.assertEqual(document["to"], replay.source)
        self.assertEqual(document["bytes"], len(got))
        return got, document


class Tcp(Played):
    def test_bytes_equal_the_file(self):
        stream = rtcm.station_stream(30) + GGA + b"\x00\xd3torn"
        for speed in ("0", "100"):
            with self.subTest(speed):
                got, document = self.play(stream, "--speed", speed)
                self.assertEqual(got, stream)
                self.assertEqual(
                    {k: v for k, v in document.items()
                     if k not in ("file", "to")},
                    {"schema_version": 1, "bytes": len(stream), "rounds": 1,
                     "pieces_dropped": 0, "bytes_dropped": 0,
                     "bits_flipped": 0, "stalls": 0})

    def test_packed_file_is_played_unpacked(self):
        path = data("rtcm/msm7-five-systems.rtcm3.gz")
        replay = Replay(self, path, "--to", "tcp:0", "--speed", "0")
        got = read_all(connect(replay.port))
        with gzip.open(path) as file:
            self.assertEqual(got, file.read())
        self.assertEqual(replay.answer().code, 0)

    def test_text_says_where_to_listen_and_what_was_played(self):
        stream = rtcm.station_stream(3)
        replay = Replay(self, self.write(stream), "--to", "tcp:0", "--speed",
                        "0")
        read_all(connect(replay.port))
        answer = replay.answer()
        self.assertEqual(answer.code, 0, answer)
        self.assertIn(f"{len(stream)} bytes", answer.out)
        self.assertEqual(answer.err, "")
        self.assertNotIn("\x1b", answer.out)

    def test_two_readers_and_a_late_one_has_the_rest(self):
        # More than the system holds for the first reader, which reads nothing
        # until the second is there.
        frames = b"".join(rtcm.opaque(4001 + i, 1000) for i in range(16))
        stream = frames * ((held_by_the_system() + 1_000_000) // len(frames))
        replay = Replay(self, self.write(stream), "--to", "tcp:0", "--speed",
                        "0")
        first, second = (connect(replay.port) for _ in range(2))
        got = {}
        threads = [threading.Thread(target=lambda r=r, n=n: got.update(
            {n: read_all(r)})) for n, r in enumerate((first, second))]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(WATCHDOG_S)
        self.assertEqual(got[0], stream)
        self.assertTrue(got[1])
        self.assertTrue(stream.endswith(got[1]))
        self.assertEqual(replay.answer().code, 0)

    def test_what_tells_no_time_costs_no_reader_its_connection(self):
        # Far more than may wait for a reader, all of one instant.
        stream = GGA * 100_000
        got, _ = self.play(stream)
        self.assertEqual(got, stream)

    def test_loop_goes_on_until_it_is_interrupted(self):
        stream = rtcm.station_stream(10)
        replay = Replay(self, self.write(stream), "--to", "tcp:0", "--loop",
                        "--speed", "0", "--json")
        with connect(replay.port) as reader:
            got = b""
            while len(got) < 3 * len(stream) + 100:
                got += reader.recv(4096)
            answer = replay.interrupt()
        self.assertEqual(got, (stream * (len(got) // len(stream) + 1))
                         [:len(got)])
        self.assertEqual(answer.code, 0, answer)
        document = answer.json()
        check(document, "replay")
        self.assertGreaterEqual(document["rounds"], 3)
        self.assertGreaterEqual(document["bytes"], len(got))

    def test_loop_of_what_tells_no_time_does_not_flood(self):
        replay = Replay(self, self.write(GGA), "--to", "tcp:0", "--loop",
                        "--speed", "100", "--json")
        with connect(replay.port) as reader:
            got = b""
            while len(got) < 3 * len(GGA):
                got += reader.recv(1)
            document = replay.interrupt().json()
        # A round lasts a second of stream; here then three take 0.02 s. A
        # flood would be thousands, but a slow machine may be late.
        self.assertLess(document["rounds"], 1000)

    def test_interrupted_before_anybody_reads(self):
        replay = Replay(self, self.write(rtcm.station_stream(3)), "--to",
                        "tcp:0", "--json")
        answer = replay.interrupt()
        self.assertEqual(answer.code, 0, answer)
        check(answer.json(), "replay")
        self.assertEqual(answer.json()["bytes"], 0)

    def test_a_reader_that_leaves_does_not_end_it(self):
        stream = rtcm.station_stream(20)
        replay = Replay(self, self.write(stream), "--to", "tcp:0", "--loop",
                        "--speed", "0")
        for _ in range(3):
            with connect(replay.port) as reader:
                self.assertTrue(reader.recv(100))
        self.assertEqual(replay.interrupt().code, 0)


class Damage(Played):
    STREAM = rtcm.station_stream(200)

    def test_same_seed_same_bytes(self):
        words = ("--speed", "0", "--drop", "0.1", "--flip", "0.001")
        first, document = self.play(self.STREAM, *words, "--seed", "7")
        again, _ = self.play(self.STREAM, *words, "--seed", "7")
        other, _ = self.play(self.STREAM, *words, "--seed", "8")
        self.assertEqual(first, again)
        self.assertNotEqual(first, other)
        self.assertGreater(document["bits_flipped"], 0)

    def test_dropped_frames_are_the_ones_missing(self):
        got, document = self.play(self.STREAM, "--speed", "0", "--drop", "0.2")
        there, left = rtcm.scan(self.STREAM), rtcm.scan(got)
        self.assertEqual(left.rest, b"")
        self.assertGreater(document["pieces_dropped"], 0)
        self.assertEqual(document["pieces_dropped"],
                         there.frames - left.frames)
        self.assertEqual(document["bytes_dropped"],
                         len(self.STREAM) - len(got))

    def test_flipped_bits_are_the_ones_that_differ(self):
        got, document = self.play(self.STREAM, "--speed", "0", "--flip",
                                  "0.002")
        self.assertEqual(len(got), len(self.STREAM))
        differing = sum(bin(a ^ b).count("1")
                        for a, b in zip(got, self.STREAM))
        self.assertGreater(differing, 0)
        self.assertEqual(document["bits_flipped"], differing)
        damaged = rtcm.scan(self.STREAM).frames - rtcm.scan(got).frames
        self.assertTrue(0 < damaged <= differing)

    def test_all_or_nothing(self):
        got, document = self.play(self.STREAM, "--speed", "0", "--drop", "1")
        self.assertEqual(got, b"")
        self.assertEqual(document["bytes_dropped"], len(self.STREAM))
        got, _ = self.play(self.STREAM, "--speed", "0", "--flip", "1")
        self.assertTrue(all(bin(a ^ b).count("1") == 1
                            for a, b in zip(got, self.STREAM)))

    def test_listen_counts_what_was_damaged(self):
        got, document = self.play(self.STREAM, "--speed", "0", "--drop", "0.1",
                                  "--flip", "0.002")
        heard = run("listen", f"file:{self.write(got, 'damaged')}",
                    "--json").json()
        self.assertEqual(sum(m["count"] for m in heard["messages"]),
                         rtcm.scan(got).frames)
        self.assertGreater(heard["bad"]["crc"], 0)
        self.assertEqual(heard["bytes"],
                         len(self.STREAM) - document["bytes_dropped"])

    def test_stalls_come_after_every_ten_seconds_of_the_recording(self):
        stream = rtcm.station_stream(35)
        got, document = self.play(stream, "--speed", "0", "--stall", "0.05")
        self.assertEqual(got, stream)
        self.assertEqual(document["stalls"], 3)

    def test_stalls_go_on_in_later_rounds(self):
        stream = rtcm.station_stream(8)
        replay = Replay(self, self.write(stream), "--to", "tcp:0", "--loop",
                        "--speed", "0", "--stall", "0.01", "--json")
        with connect(replay.port) as reader:
            got = 0
            while got < 10 * len(stream):
                got += len(reader.recv(100))
            document = replay.interrupt().json()
        # Ten rounds are 70 s of stream or more.
        self.assertGreaterEqual(document["stalls"], 5)


class Terminal(Played):
    def test_bytes_equal_the_file_to_the_last(self):
        # Every byte value, among them those that a terminal would change.
        stream = rtcm.station_stream(100) + bytes(range(256)) * 40
        replay = Replay(self, self.write(stream), "--to", "pty", "--speed",
                        "0", "--json")
        reader = os.open(replay.path, os.O_RDWR | os.O_NOCTTY)
        tty.setraw(reader)
        got = b""
        while len(got) < len(stream):
            got += os.read(reader, 4096)
        os.close(reader)
        self.assertEqual(got, stream)
        answer = replay.answer()
        self.assertEqual(answer.code, 0, answer)
        check(answer.json(), "replay")
        self.assertEqual(answer.json()["to"], replay.source)
        self.assertEqual(answer.json()["bytes"], len(stream))

    def test_it_ends_though_its_reader_stays(self):
        stream = rtcm.station_stream(3)
        replay = Replay(self, self.write(stream), "--to", "pty", "--speed",
                        "0")
        reader = os.open(replay.path, os.O_RDONLY | os.O_NOCTTY)
        self.addCleanup(os.close, reader)
        self.assertEqual(replay.answer().code, 0)


class Mistakes(Played):
    def refused(self, code, *words):
        answer = run("replay", *words, "--json")
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        plain = run("replay", *words)
        self.assertEqual(plain.code, code, plain)
        self.assertEqual(plain.out, "")
        self.assertIn(answer.json()["error"]["remedy"], plain.err)
        return answer.json()["error"]

    def test_what_is_not_given(self):
        path = self.write(GGA)
        self.assertIn("file", self.refused(2, "--to", "tcp:0")["what"])
        self.assertIn("destination", self.refused(2, path)["what"])
        self.assertIn("one file", self.refused(2, path, path, "--to",
                                               "pty")["what"])

    def test_values_are_checked_and_named(self):
        path = self.write(GGA)
        for words in (("--to", "udp:9"), ("--to", "tcp:70000"),
                      ("--to", "tcp:"), ("--speed", "-1"), ("--drop", "1.5"),
                      ("--flip", "x"), ("--stall", "-2"), ("--seed", "1.5"),
                      ("--seed", "-1"), ("--sped", "1")):
            with self.subTest(words):
                to = () if "--to" in words else ("--to", "tcp:0")
                error = self.refused(2, path, *to, *words)
                self.assertIn(words[0], error["what"])

    def test_recordings_that_cannot_be_played(self):
        self.assertIn("none.rtcm3", self.refused(
            3, "none.rtcm3", "--to", "tcp:0")["where"])
        self.assertIn("empty", self.refused(
            3, self.write(b"", "nothing"), "--to", "tcp:0")["what"])
        self.refused(3, self.folder, "--to", "tcp:0")

    def test_a_port_that_is_taken(self):
        with socket.create_server(("127.0.0.1", 0)) as other:
            port = other.getsockname()[1]
            error = self.refused(3, self.write(GGA), "--to", f"tcp:{port}")
        self.assertIn("taken", error["what"])

    def test_only_this_computer_is_served(self):
        replay = Replay(self, self.write(GGA), "--to", "tcp:0")
        table = pathlib.Path("/proc/net/tcp").read_text()
        wanted = f"0100007F:{replay.port:04X}"  # 127.0.0.1, from memory
        wait_until(lambda: wanted in table, "the port in the system's table")
        self.assertNotIn(f"00000000:{replay.port:04X}", table)
        self.assertEqual(replay.interrupt().code, 0)


if __name__ == "__main__":
    main()
