"""Writes requirements.lock from requirements.in: versions and file hashes.

usage: refresh_lock.py            (needs the registry; some 200 MB of downloads)

Resolves with the Python that runs it, then fetches the same versions for every
Python that support.py names.
"""
import pathlib
import re
import subprocess
import sys
import tempfile

import support

TAGS = ("manylinux_2_28_x86_64", "manylinux_2_27_x86_64",
        "manylinux_2_17_x86_64", "manylinux2014_x86_64",
        "manylinux_2_5_x86_64", "manylinux1_x86_64")


def download(folder, *words):
    subprocess.run([sys.executable, "-m", "pip", "download", "--quiet",
                    "--only-binary=:all:", "--dest", folder, *words],
                   check=True)


def name_and_version(path):
    name, version = path.name.split("-")[:2]
    return re.sub(r"[-_.]+", "-", name).lower(), version


def main():
    with tempfile.TemporaryDirectory() as folder:
        download(folder, "-r", support.HERE / "requirements.in")
        pins = sorted({name_and_version(p)
                       for p in pathlib.Path(folder).iterdir()})
        for major, minor in support.PYTHONS:
            platforms = [w for t in TAGS for w in ("--platform", t)]
            download(folder, "--no-deps", "--python-version",
                     f"{major}.{minor}", *platforms,
                     *(f"{name}=={version}" for name, version in pins))
        hashes = {}
        for path in pathlib.Path(folder).iterdir():
            hashes.setdefault(name_and_version(path), set()).add(
                support.sha256(path.read_bytes()))
    lines = ["# Made by refresh_lock.py from requirements.in.\n"]
    for (name, version), found in sorted(hashes.items()):
        lines.append(f"{name}=={version}")
        lines += [f" \\\n    --hash=sha256:{one}" for one in sorted(found)]
        lines.append("\n")
    support.LOCK.write_text("".join(lines), encoding="utf-8")


if __name__ == "__main__":
    main()
