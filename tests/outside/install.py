"""Proves how support.py decides whether libraries are there, without network:
a registry that is not reached is a skip, everything else that is wrong fails.
"""
import contextlib
import io
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest
import unittest.mock
import zipfile

import support

PIP = {"PIP_CONFIG_FILE": os.devnull, "PIP_EXTRA_INDEX_URL": "",
       "PIP_FIND_LINKS": "", "PIP_NO_INDEX": "0"}
# Nothing listens on the discard port.
DEAD = {**PIP, "PIP_INDEX_URL": "http://127.0.0.1:9/simple"}


def wheel(folder, name):
    """A package with nothing in it, and its hash."""
    path = pathlib.Path(folder, f"{name.replace('-', '_')}-1.0-py3-none-any.whl")
    info = f"{name.replace('-', '_')}-1.0.dist-info"
    with zipfile.ZipFile(path, "w") as file:
        file.writestr(f"{info}/METADATA",
                      f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")
        file.writestr(f"{info}/WHEEL", "Wheel-Version: 1.0\n"
                      "Root-Is-Purelib: true\nTag: py3-none-any\n")
        file.writestr(f"{info}/RECORD", "")
    return support.sha256(path.read_bytes())


def line(name, digest):
    return f"{name}==1.0 \\\n    --hash=sha256:{digest}\n"


class Install(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.temporary = tempfile.TemporaryDirectory()
        cls.addClassCleanup(cls.temporary.cleanup)
        cls.folder = pathlib.Path(cls.temporary.name)
        cls.shelf = cls.folder / "shelf"
        cls.shelf.mkdir()
        cls.probe = wheel(cls.shelf, support.PROBE)
        cls.venv = cls.folder / "venv"
        subprocess.run([sys.executable, "-m", "venv", cls.venv], check=True,
                       stdout=subprocess.DEVNULL)

    def lock(self, text):
        path = self.folder / "some.lock"
        path.write_text("# a comment\n" + text, encoding="utf-8")
        return path

    def shelf_only(self):
        """A folder of files stands for the registry."""
        return unittest.mock.patch.dict(os.environ, {
            **PIP, "PIP_NO_INDEX": "1", "PIP_FIND_LINKS": str(self.shelf)})

    def test_no_registry_is_not_here(self):
        with unittest.mock.patch.dict(os.environ, DEAD):
            with self.assertRaisesRegex(support.NotHere,
                                        "registry not reached"):
                support.install(self.venv, self.lock(
                    line(support.PROBE, self.probe)))

    def test_pinned_file_installs(self):
        with self.shelf_only():
            support.install(self.venv, self.lock(
                line(support.PROBE, self.probe)))

    def test_other_file_than_pinned_is_wrong(self):
        other = wheel(self.shelf, "stillpoint-nothing")
        flipped = other[:-1] + ("0" if other[-1] != "0" else "1")
        with self.shelf_only():
            with self.assertRaisesRegex(support.Wrong, "was pinned"):
                support.install(self.venv, self.lock(
                    line(support.PROBE, self.probe) +
                    line("stillpoint-nothing", flipped)))

    def test_registry_without_a_library_is_wrong(self):
        with self.shelf_only():
            with self.assertRaisesRegex(support.Wrong, "registry answers"):
                support.install(self.venv, self.lock(
                    line(support.PROBE, self.probe) +
                    line("stillpoint-absent", self.probe)))

    def leave(self, require):
        out = io.StringIO()
        with unittest.mock.patch.dict(
                os.environ, {"STILLPOINT_REQUIRE_OUTSIDE": require}):
            with contextlib.redirect_stdout(out):
                with self.assertRaises(SystemExit) as left:
                    support.leave_skipped("registry not reached")
        return left.exception.code, out.getvalue()

    def test_skip_is_said(self):
        self.assertEqual(self.leave(""),
                         (77, "skipped: registry not reached\n"))

    def test_skip_fails_where_it_is_required(self):
        code, text = self.leave("1")
        self.assertEqual(code, 1)
        self.assertIn("registry not reached", text)

    def test_lock_pins_everything_named(self):
        lock = support.LOCK.read_text(encoding="utf-8")
        wanted = support.HERE / "requirements.in"
        for name in wanted.read_text(encoding="utf-8").splitlines():
            if not name.startswith("#"):
                self.assertIn(f"\n{name} \\\n    --hash=sha256:", lock)
        self.assertIn(f"{support.PROBE}==", support.probe_line(support.LOCK))


if __name__ == "__main__":
    support.run_checks()
