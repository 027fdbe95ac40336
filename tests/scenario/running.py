"""The program in the background, and what tests of live streams wait for.

Nothing here depends on how long something takes: every wait is for a
condition, and its watchdog is far above what any machine needs.
"""
import json
import os
import pathlib
import select
import signal
import subprocess
import tempfile
import time
import unittest

import jsonschema

from support import SOURCE, Answer, limit_memory, program

WATCHDOG_S = 180


def check(document, name):
    """The document follows its schema."""
    path = SOURCE / f"docs/schemas/{name}.schema.json"
    jsonschema.Draft202012Validator(
        json.loads(path.read_text())).validate(document)


def wait_until(condition, what):
    """Until condition() is true; its value."""
    end = time.monotonic() + WATCHDOG_S
    while time.monotonic() < end:
        value = condition()
        if value:
            return value
        time.sleep(0.01)
    raise AssertionError(f"watchdog: {what}")


class Running:
    """One start of the program; a test that fails leaves none behind."""

    def __init__(self, test, *args, env=None, stdin=subprocess.DEVNULL):
        self.process = subprocess.Popen(
            [program(), *map(str, args)], stdin=stdin, bufsize=0,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            env={**os.environ, **(env or {})}, preexec_fn=limit_memory)
        self.seen = {self.process.stdout: b"", self.process.stderr: b""}
        test.addCleanup(self.kill)

    @property
    def pid(self):
        return self.process.pid

    def line(self, pipe):
        """The next line that it prints there."""
        line = b""
        end = time.monotonic() + WATCHDOG_S
        while not line.endswith(b"\n"):
            wait_s = max(0, end - time.monotonic())
            if not select.select([pipe], [], [], wait_s)[0]:
                raise AssertionError(f"watchdog: no line after {line}")
            byte = os.read(pipe.fileno(), 1)
            if not byte:
                raise AssertionError(f"ended after {line}: {self.answer()}")
            line += byte
        self.seen[pipe] += line
        return line.decode()

    def answer(self):
        """Waits for its end."""
        out, err = self.process.communicate(timeout=WATCHDOG_S)
        return Answer(subprocess.CompletedProcess(
            self.process.args, self.process.returncode,
            self.seen[self.process.stdout] + out,
            self.seen[self.process.stderr] + err))

    def interrupt(self):
        """Ctrl-C, and its end."""
        self.process.send_signal(signal.SIGINT)
        return self.answer()

    def kill(self):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        for pipe in self.seen:
            pipe.close()


class Replay(Running):
    """`replay` that is ready; `source` is what reads it."""

    def __init__(self, test, path, *args):
        super().__init__(test, "replay", path, *args)
        pipe = self.process.stderr if "--json" in args else self.process.stdout
        line = self.line(pipe)
        test.assertRegex(line, r"^ready: listen to (tcp://|serial:)\S+\n$")
        self.source = line.split()[-1]

    @property
    def port(self):
        return int(self.source.rsplit(":", 1)[1])

    @property
    def path(self):
        return self.source.removeprefix("serial:")


class InFolder(unittest.TestCase):
    """A test with files of its own."""

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)

    def write(self, content, name="stream.rtcm3"):
        path = self.folder / name
        path.write_bytes(content)
        return path


class Listening(InFolder):
    """A test of `listen`."""

    def start(self, source, *args, env=None):
        """One that goes on until it is interrupted."""
        return Running(self, "listen", source, "--json", "--for", "10m",
                       *args, env=env)

    def heard(self, answer, code=0):
        """The document, by its schema."""
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "listen")
        return answer.json()

    def refused(self, answer, code=3):
        """The error, by its schema."""
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        return answer.json()["error"]


def by_type(document, key="count"):
    """That of every kind of RTCM message that came."""
    return {m["type"]: m[key] for m in document["messages"]}
