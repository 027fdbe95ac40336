"""What scenario tests share: starting the program, small inputs, skipping.

Set STILLPOINT_PROGRAM to the program (ctest does). Real station-days are
looked for in STILLPOINT_DATA; a test that needs them says "skipped: no data".
"""
import json
import os
import pathlib
import resource
import subprocess
import sys
import unittest

SOURCE = pathlib.Path(__file__).resolve().parents[2]
# Far above what any verb needs, far below what hurts a machine.
MEMORY_LIMIT_BYTES = 2 << 30


def program():
    default = SOURCE / "build/release/stillpoint"
    return os.environ.get("STILLPOINT_PROGRAM") or str(default)


def data(relative):
    """Path of a real file; without it the test is skipped."""
    folder = os.environ.get("STILLPOINT_DATA", "")
    path = pathlib.Path(folder, relative)
    unwanted = "STILLPOINT_NO_DATA" in os.environ
    if unwanted or not folder or not path.exists():
        raise unittest.SkipTest("skipped: no data")
    return str(path)


def ends(text, most=3000):
    """Both ends of a long text: verdicts stand at the end of a document."""
    if len(text) <= most:
        return text
    return f"{text[:most // 2]}\n[...]\n{text[-(most // 2):]}"


class Answer:
    """Exit code, stdout and stderr (text) of one start."""

    def __init__(self, done):
        self.code = done.returncode
        self.out = done.stdout.decode(errors="replace")
        self.err = done.stderr.decode(errors="replace")

    def json(self):
        """The one document on stdout; anything beside it is an error."""
        return json.loads(self.out)

    def __str__(self):
        return f"exit {self.code}\n--- stdout\n{ends(self.out)}" \
               f"\n--- stderr\n{ends(self.err)}"


def limit_memory():
    # The address sanitizer reserves terabytes that it never uses.
    if os.environ.get("STILLPOINT_SANITIZE"):
        return
    resource.setrlimit(resource.RLIMIT_AS,
                       (MEMORY_LIMIT_BYTES, MEMORY_LIMIT_BYTES))


def run(*args, timeout=180, env=None, cwd=None):
    """Starts the program without a terminal; a hang or a crash fails."""
    done = subprocess.run(
        [program(), *map(str, args)], stdin=subprocess.DEVNULL,
        capture_output=True, timeout=timeout, check=False, cwd=cwd,
        env={**os.environ, **(env or {})}, preexec_fn=limit_memory)
    return Answer(done)


def main():
    """Runs the tests of the calling file; 77 when all were skipped."""
    done = unittest.main(exit=False, verbosity=2).result
    if not done.wasSuccessful():
        sys.exit(1)
    sys.exit(77 if done.skipped and len(done.skipped) == done.testsRun else 0)
