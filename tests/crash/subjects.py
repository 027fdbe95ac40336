"""What kill_recording.py kills: the program itself, or record_stdin, which is
its recorder and nothing else. Both take bytes, say what they acknowledged, and
say after the next start what was lost.
"""
import fcntl
import json
import os
import pathlib
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request

WATCHDOG_S = 60

# Everything else is as it comes; see packaging/station.toml.
SETTINGS = """
[station]
name = "LHOL00XXX"
state = "{state}"
[receiver]
source = "tcp://127.0.0.1:{port}"
[archive]
commit_s = {commit_s}
[rovers]
listen = ""
[[mountpoint]]
name = "LHOL"
open = true
[console]
listen = ""
[health]
listen = "127.0.0.1:{health}"
"""


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


def as_many_as_it_takes(write, content):
    try:
        return write(content)
    except BlockingIOError:
        return 0
    except (BrokenPipeError, ConnectionError):
        return None


class Subject:
    """One process at a time; `lost` is what its starts said, of all lives."""

    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        self.process = None
        self.acknowledged = 0

    def kill(self):
        self.process.kill()
        self.process.wait()

    def wait_for_end(self):
        """Its exit code."""
        return self.process.wait(timeout=WATCHDOG_S)


class Stand(Subject):
    """record_stdin: bytes through a pipe, facts on its standard output."""

    def __init__(self, folder, program):
        super().__init__(folder)
        self.program = program
        self.raw = self.folder / "raw"
        self.raw.mkdir()
        self.said = []
        self.unread = b""

    def start(self):
        self.process = subprocess.Popen(
            [self.program, self.raw, "0.05"], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, bufsize=0)
        self.unread = b""
        for pipe in (self.process.stdin, self.process.stdout):
            flags = fcntl.fcntl(pipe, fcntl.F_GETFL)
            fcntl.fcntl(pipe, fcntl.F_SETFL, flags | os.O_NONBLOCK)

    def feed(self, content):
        """How many bytes it took."""
        return as_many_as_it_takes(
            lambda c: os.write(self.process.stdin.fileno(), c), content) or 0

    def look(self):
        """Takes in what it acknowledged so far."""
        while True:
            try:
                read = os.read(self.process.stdout.fileno(), 65536)
            except BlockingIOError:
                break
            if not read:
                break
            self.unread += read
        *lines, self.unread = self.unread.split(b"\n")
        for line in lines:
            word, *numbers = line.decode().split()
            if word == "durable":
                self.acknowledged = max(self.acknowledged, int(numbers[0]))
            else:
                self.said.append(tuple(map(int, numbers)))

    def kill(self):
        super().kill()
        self.look()  # what it said with its last breath counts too
        self.process.stdin.close()
        self.process.stdout.close()

    def end_in_order(self):
        self.process.stdin.close()
        code = self.wait_for_end()
        self.look()
        self.process.stdout.close()
        return code

    def lost(self):
        return set(self.said)


class Program(Subject):
    """`stillpoint run`: bytes over TCP, facts from its health port and its
    logbook."""

    def __init__(self, folder, program):
        super().__init__(folder)
        self.program = program
        self.state = self.folder / "state"
        self.state.mkdir()
        self.raw = self.state / "raw"
        self.server = socket.create_server(("127.0.0.1", 0))
        self.server.setblocking(False)
        self.health = free_port()
        self.settings = self.folder / "station.toml"
        self.settings.write_text(SETTINGS.format(
            state=self.state, port=self.server.getsockname()[1],
            health=self.health, commit_s=1))
        self.log = open(self.folder / "log", "ab")
        self.connection = None

    def start(self):
        self.process = subprocess.Popen(
            [self.program, "run", "--config", self.settings],
            stdin=subprocess.DEVNULL, stdout=self.log, stderr=self.log)
        self.connection = None

    def feed(self, content):
        if self.connection is None:
            try:
                self.connection, _ = self.server.accept()
            except BlockingIOError:
                return 0
            self.connection.setblocking(False)
        return as_many_as_it_takes(self.connection.send, content) or 0

    def look(self):
        url = f"http://127.0.0.1:{self.health}/status.json"
        try:
            with urllib.request.urlopen(url, timeout=WATCHDOG_S) as answer:
                document = json.load(answer)
        except (OSError, ValueError):
            return  # it is not there yet, or not any more
        self.acknowledged = max(self.acknowledged,
                                document["archive"]["durable_offset"])

    def kill(self):
        super().kill()
        self.hang_up()

    def hang_up(self):
        if self.connection is not None:
            self.connection.close()
            self.connection = None
        # One that connected and was never served.
        try:
            self.server.accept()[0].close()
        except BlockingIOError:
            pass

    def end_in_order(self):
        # What it has received it will write; one byte is enough here.
        end = time.monotonic() + WATCHDOG_S
        before = self.acknowledged
        while self.acknowledged == before and time.monotonic() < end:
            self.look()
            time.sleep(0.01)
        self.process.terminate()
        code = self.wait_for_end()
        self.hang_up()
        return code

    def lost(self):
        ranges = set()
        with sqlite3.connect(self.state / "station.db") as database:
            for (details,) in database.execute(
                    "SELECT details FROM logbook WHERE kind IN (3, 4)"):
                known = json.loads(details)
                if "first_byte" in known:
                    ranges.add((known["first_byte"], known["end_byte"]))
        return ranges


def made(kind, folder, path):
    """The subject of that name; says how to build what is missing."""
    if not path or not pathlib.Path(path).exists():
        sys.exit(f"no {kind} at {path!r}: set "
                 f"{'STILLPOINT_PROGRAM' if kind == 'program' else 'RECORD_STDIN'}")
    return (Program if kind == "program" else Stand)(folder, path)
