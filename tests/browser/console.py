#!/usr/bin/env python3
"""The console's page in a real browser: on the mock station every room in two of
its states, then the real program from the claim to the sign-out.

STILLPOINT_PROGRAM is the program. Exit code 77, with a sentence: something that
this needs is not installed. The whole set of states and flows is `npm run states`
in console/.
"""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import time

CONSOLE = pathlib.Path(__file__).resolve().parents[2] / "console"
OLDEST_NODE = (20, 19)
SKIPPED = 77


def missing():
    """What keeps the page from being tried here; None: nothing."""
    node = shutil.which("node")
    if node is None:
        return "node is not installed"
    said = subprocess.run([node, "--version"], capture_output=True, text=True,
                          check=False).stdout
    version = tuple(map(int, re.findall(r"\d+", said)[:2]))
    if version < OLDEST_NODE:
        return f"node is {said.strip()}, 20.19 or later is needed"
    chromium = os.environ.get("CHROMIUM", "/usr/bin/chromium")
    if not os.access(chromium, os.X_OK):
        return f"no browser at {chromium} (Debian: chromium)"
    for needed in ("playwright-core", "axe-core"):
        if not (CONSOLE / "node_modules" / needed).is_dir():
            return f"{needed} is not installed: run scripts/console"
    return None


def run(what, *words, **settings):
    began = time.monotonic()
    done = subprocess.run(["node", *words], cwd=CONSOLE, check=False,
                          env={**os.environ, **settings})
    print(f"{what}: {'good' if done.returncode == 0 else 'FAILED'} after "
          f"{time.monotonic() - began:.0f} s", flush=True)
    return done.returncode == 0


def main():
    why = missing()
    if why is not None:
        print(f"skipped: {why}")
        return SKIPPED
    good = run("mock station", "--test", "--test-reporter=spec",
               "test/states.mjs", STATES="ready,error", LOOKS="1", FLOWS="0")
    good = run("real station", "test/real.mjs",
               os.environ["STILLPOINT_PROGRAM"], HOURS="6") and good
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
