"""`listen` for people: its text with and without a terminal, and what it says
of a mistake.
"""
import os
import pty
import re
import signal
import subprocess

import rtcm_bytes as rtcm
from running import WATCHDOG_S, InFolder, check, wait_until
from support import main, program, run

GGA = rtcm.sentence("GNGGA,120000.00,,,,,0,00,99.9,,,,,,")


class Text(InFolder):
    def test_text_names_what_arrives_without_escape_bytes(self):
        path = self.write(rtcm.station_stream(5) + GGA)
        answer = run("listen", f"file:{path}")
        self.assertEqual(answer.code, 0, answer)
        for word in ("Source", "1077", "GPS MSM7", "1C 2W", "SPDEMO-R1",
                     "4279402.4000", "GGA", "Lacks", "1019"):
            self.assertIn(word, answer.out)
        self.assertNotIn("\x1b", answer.out + answer.err)

    def test_names_from_the_stream_cannot_steer_a_terminal(self):
        path = self.write(rtcm.antenna("A\x1b[2J", "R\x07\n\x9b2J"))
        answer = run("listen", f"file:{path}")
        self.assertNotRegex(answer.out, "[\x00-\x09\x0b-\x1f\x7f-\x9f]")

    def on_terminal(self, path, *args):
        """A start on a terminal of 20 rows, a condition for what it got so
        far, and that."""
        ours, theirs = pty.openpty()
        self.addCleanup(os.close, ours)
        subprocess.run(["stty", "rows", "20", "cols", "80"],
                       stdin=theirs, check=True)
        process = subprocess.Popen(
            [program(), "listen", f"file:{path}?speed=1", *args],
            stdin=subprocess.DEVNULL, stdout=theirs,
            env={**os.environ, "TERM": "vt100", "NO_COLOR": ""})
        self.addCleanup(process.wait)
        self.addCleanup(process.kill)
        os.close(theirs)
        os.set_blocking(ours, False)
        got = bytearray()

        def seen(condition):
            try:
                got.extend(os.read(ours, 65536))
            except BlockingIOError:
                pass
            except OSError:  # it has ended
                return True
            return condition(got)
        return process, seen, got

    def test_a_terminal_is_renewed_within_its_rows(self):
        path = self.write(rtcm.station_stream(300))
        process, seen, got = self.on_terminal(path, "--for", "10m")
        wait_until(lambda: seen(lambda text: text.count(b"\x1b[J") >= 2),
                   "two new texts")
        process.send_signal(signal.SIGINT)
        self.assertEqual(process.wait(timeout=WATCHDOG_S), 0)
        wait_until(lambda: seen(lambda _: False), "the end of the terminal")
        for rows in re.findall(rb"\x1b\[(\d+)A", got):
            self.assertLess(int(rows), 20)
        last = got[got.rindex(b"\x1b[J"):]
        self.assertIn(b"Source", last)
        self.assertIn(b"1045 or 1046", last)  # all of it, though it is longer

    def test_no_color_writes_once_at_the_end(self):
        path = self.write(rtcm.station_stream(300))
        process, seen, got = self.on_terminal(path, "--no-color", "--for", "2s")
        self.assertEqual(process.wait(timeout=WATCHDOG_S), 0)
        wait_until(lambda: seen(lambda _: False), "the end of the terminal")
        self.assertNotIn(b"\x1b", got)
        self.assertEqual(got.count(b"Source"), 1)


class Mistakes(InFolder):
    def refused(self, code, *words):
        """The error, by its schema; the text for people says the same."""
        answer = run("listen", *words, "--json")
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        error = answer.json()["error"]
        plain = run("listen", *words)
        self.assertEqual(plain.code, code, plain)
        self.assertEqual(plain.out, "")
        self.assertIn(error["what"], plain.err)
        self.assertIn(error["remedy"], plain.err)
        return error

    def test_no_source(self):
        self.assertIn("source", self.refused(2)["what"])

    def test_two_sources(self):
        error = self.refused(2, "tcp://127.0.0.1:1", "tcp://127.0.0.1:2")
        self.assertIn("one source", error["what"])

    def test_bad_times(self):
        for time in ("soon", "0s", "-3s", "10x", "nan", "1e99h"):
            with self.subTest(time):
                error = self.refused(2, "-", f"--for={time}")
                self.assertIn(time, error["what"])
                self.assertIn("10s", error["remedy"])

    def test_unknown_option(self):
        self.assertIn("--fro", self.refused(2, "-", "--fro", "10s")["what"])

    def test_what_is_no_source_gets_a_likely_one(self):
        for words, remedy in (("day.rtcm3", "file:"),
                              ("/dev/ttyACM0", "serial:"),
                              ("udp://127.0.0.1:9", "tcp://")):
            self.assertIn(remedy, self.refused(2, words)["remedy"])

    def test_unknown_option_of_a_source(self):
        error = self.refused(2, "serial:/dev/ttyACM0?buad=9600")
        self.assertIn("baud", error["remedy"])

    def test_a_file_that_is_not_there(self):
        self.assertIn("none.rtcm3",
                      self.refused(3, "file:none.rtcm3")["where"])

    def test_a_profile_is_blamed_by_line_and_column(self):
        bad = self.write(b'name = "x"\ndescription = \n', "bad.toml")
        error = self.refused(3, "-", "--profile", bad)
        self.assertRegex(error["where"] + error["what"], r"bad\.toml:2:\d+")

    def test_every_mistake_of_a_profile_is_told(self):
        bad = self.write(b'name = "x"\n[[framing]]\nname = "y"\n'
                         b'sync = "QQ"\n', "bad.toml")
        error = self.refused(3, "-", "--profile", bad)
        text = error["where"] + error["what"]
        for place in (r"bad\.toml:2:\d+", r"bad\.toml:4:\d+"):
            self.assertRegex(text, place)

    def test_a_profile_that_is_not_there(self):
        error = self.refused(3, "-", "--profile", "none.toml")
        self.assertIn("none.toml", error["where"])

    def test_a_password_as_an_option_is_not_repeated(self):
        for words in (("--password=horse-7",), ("--password", "horse-7")):
            answer = run("listen", "-", *words)
            self.assertEqual(answer.code, 2, answer)
            self.assertNotIn("horse-7", answer.out + answer.err)


if __name__ == "__main__":
    main()
