"""Frozen: our observation reader against values that libraries once gave.

Needs no network and no libraries. Inputs and values were made by freeze.py;
frozen.json beside them names library, version and the hash of every input.
"""
import json
import re
import unittest

import rinex_text
import support

DEMO = {"demo3": ("demo3.rnx", "demo3.crx"), "demo2": ("demo2.rnx", "demo2.crx")}
FIELDS = ("time", "satellite", "code", "phase", "doppler", "cn0", "lli",
          "phase_strength", "code_strength")


def frozen_rows(name):
    """The library's values: {"TIME G07 1C": row}, None for "not given"."""
    rows, time = {}, ""
    path = support.VECTORS / f"{name}.values.txt"
    for line in path.read_text(encoding="utf-8").splitlines():
        words = line.split()
        if line.startswith("#") or not words:
            continue
        if words[0] == "epoch":
            time = words[1]
            continue
        rows[f"{time} {words[0]} {words[1]}"] = [
            None if w == "-" else float(w) for w in words[2:6]
        ] + [None if w == "?" else int(w) for w in words[6:9]]
    return rows


def compare(ours, theirs):
    tally, seen = rinex_text.Tally(), set()
    for epoch in ours:
        tally.epochs += 1
        for name, row in epoch.rows.items():
            key = f"{epoch.time} {name}"
            seen.add(key)
            if key not in theirs:
                tally.differ(f"{key}: only ours")
                continue
            absent = [rinex_text.NAMES[i] for i in (4, 5, 6)
                      if theirs[key][i] is None]
            tally.row(key, row, theirs[key], skip=absent)
    for key in sorted(theirs.keys() - seen):
        tally.differ(f"{key}: only frozen")
    return tally


def dumped(*words):
    return list(rinex_text.read_dump(support.dump(*words).splitlines()))


class Frozen(unittest.TestCase):
    def test_inputs_are_those_that_were_frozen(self):
        notes = json.loads(
            (support.VECTORS / "frozen.json").read_text(encoding="utf-8"))
        self.assertGreaterEqual(len(notes["sha256"]), 6)
        for name, known in notes["sha256"].items():
            with self.subTest(name):
                found = support.sha256((support.VECTORS / name).read_bytes())
                self.assertEqual(found, known, "run freeze.py, or restore it")

    def test_values_equal_the_librarys(self):
        for name, files in DEMO.items():
            theirs = frozen_rows(name)
            for file in files:
                with self.subTest(file):
                    tally = compare(dumped(support.VECTORS / file), theirs)
                    print(f"{file}: frozen values: {tally}")
                    self.assertEqual(tally.wrong, [])
                    self.assertGreater(tally.total(), 3000)

    def test_values_equal_a_second_reading(self):
        """Flags, clock offsets and every loss of lock too."""
        for name, files in DEMO.items():
            text = (support.VECTORS / files[0]).read_text(encoding="ascii")
            for file in files:
                with self.subTest(file):
                    tally = rinex_text.Tally().files(
                        dumped(support.VECTORS / file),
                        rinex_text.read_rinex(text))
                    print(f"{file}: second reading: {tally}")
                    self.assertEqual(tally.wrong, [])
                    self.assertGreater(tally.total(), 3000)

    def test_restored_text_equals_the_original(self):
        """The .crx files were compressed, and restored, by the library."""
        for plain, compact in DEMO.values():
            with self.subTest(compact):
                text = (support.VECTORS / plain).read_text(encoding="ascii")
                self.assertEqual(
                    support.dump("--rinex-text", support.VECTORS / compact),
                    text)

    def test_a_broken_field_is_noticed(self):
        """Mutation: each field off by its last digit, once; every check that
        could see it must fail, and name that one place."""
        # Version 2, of which the library gives every loss of lock.
        path = support.VECTORS / "demo2.crx"
        theirs = frozen_rows("demo2")
        plain = (support.VECTORS / "demo2.rnx").read_text(encoding="ascii")
        for field in FIELDS:
            with self.subTest(field):
                broken = dumped("--break-field", field, path)
                second = rinex_text.Tally().files(
                    broken, rinex_text.read_rinex(plain))
                for tally in (compare(broken, theirs), second):
                    self.assertGreater(tally.wrong_count, 0)
                    if field not in ("time", "satellite"):
                        self.assertEqual(tally.wrong_count, 1)
                        self.assertRegex(tally.wrong[0], rf" {field}: ours ")
        broken = support.dump("--rinex-text", "--break-field", "text", path)
        pairs = list(zip(broken.splitlines(), plain.splitlines()))
        self.assertEqual(sum(a != b for a, b in pairs), 1)

    def test_digest_counts_what_the_dump_shows(self):
        path = support.VECTORS / "demo3.crx"
        epochs = dumped(path)
        for line in support.dump("--digest", path).splitlines():
            count = re.fullmatch(r"(\w) (\w\w) (\w+) (\d+)", line)
            if not count:
                continue
            system, signal, kind, number = count.groups()
            index = rinex_text.NAMES.index(kind)
            self.assertEqual(int(number), sum(
                row[index] is not None for e in epochs
                for key, row in e.rows.items()
                if key[0] == system and key[4:] == signal), line)


if __name__ == "__main__":
    support.run_checks()
