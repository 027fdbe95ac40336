"""What the outside checks share: the pinned libraries, our dumps, skipping.

ctest sets STILLPOINT_OUTSIDE_BUILD (where our test programs were built),
STILLPOINT_OUTSIDE_VENV (where the libraries go) and STILLPOINT_DATA. A file of
live checks calls main(): it makes sure that the libraries are there and starts
itself again with them. Exit: 0 good, 1 failed, 77 skipped with the reason as last line;
with STILLPOINT_REQUIRE_OUTSIDE=1 a skip for lack of libraries is a failure.
"""
import contextlib
import fcntl
import gzip
import hashlib
import os
import pathlib
import platform
import shutil
import subprocess
import sys
import unittest

HERE = pathlib.Path(__file__).resolve().parent
VECTORS = HERE.parent / "vectors" / "outside"
LOCK = HERE / "requirements.lock"
# What the hashes of the lock file cover.
PYTHONS = ((3, 11), (3, 12), (3, 13))
MACHINE = ("Linux", "x86_64")
# One small file of the lock, asked for alone when the rest did not come.
PROBE = "importlib-resources"
SKIPPED = 77


RELEASE = HERE.parents[1] / "build/release"


def build():
    return pathlib.Path(os.environ.get("STILLPOINT_OUTSIDE_BUILD") or
                        RELEASE / "tests/outside")


def venv():
    return pathlib.Path(os.environ.get("STILLPOINT_OUTSIDE_VENV") or
                        RELEASE / "outside-venv")


def sha256(data):
    return hashlib.sha256(data).hexdigest()


# The pinned libraries.

class NotHere(Exception):
    """The libraries cannot be had here; nothing is wrong with us."""


class Wrong(Exception):
    """The libraries should have come and did not."""


def pip(folder, *words):
    return subprocess.run(
        [folder / "bin/python", "-m", "pip", "--disable-pip-version-check",
         "--no-input", "--timeout", "20", "--retries", "3", *words],
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, text=True, errors="replace", check=False)


def probe_line(lock):
    """The lines of one small requirement, hashes included."""
    text = lock.read_text(encoding="utf-8")
    for block in text.replace("\\\n", "").splitlines():
        if block.startswith(PROBE + "=="):
            return " ".join(block.split()) + "\n"
    raise Wrong(f"{lock.name} does not have {PROBE}")


def install(folder, lock):
    """Fills an empty virtual environment with exactly what the lock says."""
    words = ("--require-hashes", "--only-binary=:all:", "--no-cache-dir")
    done = pip(folder, "install", "--quiet", *words, "-r", str(lock))
    if done.returncode == 0:
        return
    said = done.stdout[-4000:]
    if "DO NOT MATCH THE HASHES" in said:
        raise Wrong(f"a library is not the one that was pinned\n{said}")
    # No registry, or a registry that lacks what it should have? One small file
    # tells.
    small = folder / "probe.txt"
    small.write_text(probe_line(lock), encoding="utf-8")
    asked = pip(folder, "download", "--quiet", *words, "--no-deps",
                "--dest", str(folder / "probe"), "-r", str(small))
    if asked.returncode == 0:
        raise Wrong(f"the registry answers, but not with the libraries\n{said}")
    if "DO NOT MATCH THE HASHES" in asked.stdout:
        raise Wrong(f"a library is not the one that was pinned\n{asked.stdout}")
    raise NotHere("registry not reached")


@contextlib.contextmanager
def only_one(path):
    """Checks that run side by side install once."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(path, "w", encoding="utf-8") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


def libraries(folder, lock=LOCK):
    """The Python that has the pinned libraries, installed if need be.

    Raises NotHere or Wrong.
    """
    stamp, python = folder / "installed", folder / "bin/python"
    key = "\n".join([sha256(lock.read_bytes()), sys.version,
                     os.path.realpath(sys.executable), str(folder)])
    with only_one(folder.with_suffix(".busy")):
        if stamp.is_file() and stamp.read_text(encoding="utf-8") == key:
            return python
        here = (platform.system(), platform.machine())
        if sys.version_info[:2] not in PYTHONS or here != MACHINE:
            raise NotHere("no pinned libraries for Python "
                          f"{platform.python_version()} on {' '.join(here)}")
        shutil.rmtree(folder, ignore_errors=True)
        done = subprocess.run(
            [sys.executable, "-m", "venv", folder], stdin=subprocess.DEVNULL,
            capture_output=True, text=True, check=False)
        if done.returncode != 0:
            raise Wrong("python3 -m venv does not work (Debian: python3-venv)\n"
                        + done.stdout + done.stderr)
        install(folder, lock)
        stamp.write_text(key, encoding="utf-8")
    return python


def leave_skipped(why):
    if os.environ.get("STILLPOINT_REQUIRE_OUTSIDE") == "1":
        print(f"STILLPOINT_REQUIRE_OUTSIDE=1, but skipped: {why}")
        sys.exit(1)
    print(f"skipped: {why}")
    sys.exit(SKIPPED)


def with_libraries():
    """Goes on with the pinned libraries: the calling file starts again."""
    folder = venv()
    if pathlib.Path(sys.prefix).resolve() != folder.resolve():
        try:
            python = libraries(folder)
        except NotHere as why:
            leave_skipped(why)
        except Wrong as why:
            print(why)
            sys.exit(1)
        sys.stdout.flush()
        os.execv(python, [str(python), "-B", *sys.argv])


def main():
    """Runs the checks of the calling file with the pinned libraries."""
    with_libraries()
    run_checks()


def run_checks():
    """Runs the checks of the calling file; 77 when all were skipped."""
    done = unittest.main(module="__main__", exit=False, verbosity=2,
                         warnings="ignore").result
    if not done.wasSuccessful():
        sys.exit(1)
    for _, why in done.skipped:
        print(why)
    sys.exit(SKIPPED if done.testsRun == len(done.skipped) else 0)


# Files and our programs.

def data(relative):
    """A real file's path; without it the check is skipped."""
    folder = os.environ.get("STILLPOINT_DATA", "")
    path = pathlib.Path(folder, relative)
    if not folder or not path.exists():
        raise unittest.SkipTest("skipped: no data")
    return path


def unpacked(path):
    content = path.read_bytes()
    return gzip.decompress(content) if path.suffix == ".gz" else content


def dump(*words, program="dump_observations", given=""):
    """stdout of one of our test programs; anything but exit 0 is an error."""
    done = subprocess.run([build() / program, *map(str, words)], input=given,
                          capture_output=True, text=True, check=False,
                          timeout=600)
    if done.returncode != 0:
        raise AssertionError(f"{program} {words}: exit {done.returncode}\n"
                             f"{done.stderr[:2000]}")
    return done.stdout
