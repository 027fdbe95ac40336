"""Damaged input for every reader behind `locate`: truncated, flipped, random.

Whatever the bytes are, the program ends by itself, with an exit code of its
table, within its memory; and when it says no, it names the file and a remedy.
"""
import bz2
import gzip
import io
import pathlib
import random
import tempfile
import unittest
import zipfile

import small_files
from support import SOURCE, data, main, run

EXIT_CODES = {0, 1, 2, 3, 4}
# These kinds of error speak of a file; others (no_data) of all together.
ABOUT_A_FILE = {"truncated", "bad_checksum", "io", "bad_format", "bad_header",
                "unsupported", "too_large"}
TIME_LIMIT_S = 30


def cut(bytes_in, rng):
    return bytes_in[:rng.randrange(len(bytes_in))]


def flip(bytes_in, rng):
    out = bytearray(bytes_in)
    for _ in range(rng.choice((1, 10, 200))):
        out[rng.randrange(len(out))] ^= 1 << rng.randrange(8)
    return bytes(out)


def overwrite(bytes_in, rng):
    begin = rng.randrange(len(bytes_in))
    length = rng.choice((5, 80, 2000))
    return bytes_in[:begin] + rng.randbytes(length) + bytes_in[begin + length:]


def digits_to_nines(bytes_in, rng):
    begin = rng.randrange(len(bytes_in))
    part = bytes_in[begin:begin + 40]
    part = bytes(ord("9") if chr(b).isdigit() else b for b in part)
    return bytes_in[:begin] + part + bytes_in[begin + 40:]


def mix_lines(bytes_in, rng):
    lines = bytes_in.splitlines(keepends=True)
    for _ in range(rng.choice((1, 5, 30))):
        here, there = rng.randrange(len(lines)), rng.randrange(len(lines))
        if rng.random() < 0.5:
            lines[here] = lines[there]
        else:
            lines.insert(here, lines[there])
    return b"".join(lines)


def drop_lines(bytes_in, rng):
    lines = bytes_in.splitlines(keepends=True)
    return b"".join(li for li in lines if rng.random() > 0.05)


def fill(bytes_in, rng):
    begin = rng.randrange(len(bytes_in))
    return bytes_in[:begin] + rng.choice((b"\0", b" ", b"9", b"\n")) * 300000


DAMAGES = (cut, flip, overwrite, digits_to_nines, mix_lines, drop_lines, fill)


def zipped(bytes_in):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.rnx", bytes_in)
    return out.getvalue()


class DamagedFiles(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)
        self.obs = self.write("obs.rnx", small_files.observations())
        self.nav = self.write("nav.rnx", small_files.navigation())
        self.sp3 = self.write("orbit.sp3", small_files.orbits())

    def write(self, name, content):
        path = self.folder / name
        path.write_bytes(content)
        return path

    def survive(self, damaged, *args):
        """Runs locate; the damaged file is the one an error must name."""
        answer = run("locate", *args, "--json", timeout=TIME_LIMIT_S)
        self.assertIn(answer.code, EXIT_CODES, answer)
        document = answer.json()
        error = document.get("error")
        if answer.code in (2, 3, 4):
            self.assertTrue(error, answer)
            self.assertTrue(error["remedy"], answer)
            if error["code"] in ABOUT_A_FILE:
                self.assertIn(damaged.name, error["where"] + error["what"],
                              answer)
        else:
            self.assertFalse(error, answer)
        return answer

    def damage_all(self, name, content, args_of, rounds):
        codes = {}
        for damage in DAMAGES:
            for number in range(rounds):
                # The seed stands in the file's name: a failure repeats.
                label = f"{damage.__name__}-{number}-{name}"
                bytes_out = damage(content, random.Random(label))
                with self.subTest(label):
                    path = self.write(label, bytes_out)
                    code = self.survive(path, *args_of(path)).code
                    codes[code] = codes.get(code, 0) + 1
                    path.unlink()
        print(f"{name}: exit codes {codes}")

    def test_undamaged_files_give_a_position(self):
        for args in ((self.obs, "--nav", self.nav),
                     (self.obs, "--orbits", self.sp3)):
            answer = run("locate", *args, "--json")
            self.assertEqual(answer.code, 0, answer)
            got = answer.json()["position"]["ecef_m"]
            # The invented atmosphere is rough: this proves that the readers
            # read, not that the geodesy is right.
            for a, b in zip(got, small_files.antenna_ecef_m()):
                self.assertLess(abs(a - b), 20)

    def test_observations(self):
        self.damage_all("obs.rnx", self.obs.read_bytes(),
                        lambda path: (path, "--nav", self.nav), 8)

    def test_navigation(self):
        self.damage_all("nav.rnx", self.nav.read_bytes(),
                        lambda path: (self.obs, "--nav", path), 8)

    def test_precise_orbits(self):
        self.damage_all("orbit.sp3", self.sp3.read_bytes(),
                        lambda path: (self.obs, "--orbits", path), 8)

    def test_compressed(self):
        plain = self.obs.read_bytes()
        for suffix, pack in ((".gz", gzip.compress), (".bz2", bz2.compress),
                             (".zip", zipped)):
            self.damage_all("obs.rnx" + suffix, pack(plain),
                            lambda path: (path, "--nav", self.nav), 3)

    def test_what_never_was_such_a_file(self):
        rng = random.Random(3)
        shapes = {"empty": b"", "newline": b"\n", "random": rng.randbytes(9999),
                  "zeros": bytes(100000), "long-line": b"A" * 5000000,
                  "nested.gz": gzip.compress(gzip.compress(b"text")),
                  "bomb.gz": gzip.compress(bytes(300 << 20), 9)}
        for name, content in shapes.items():
            path = self.write(name, content)
            for args in ((path, "--nav", self.nav),
                         (self.obs, "--nav", path),
                         (self.obs, "--orbits", path)):
                with self.subTest(name, args=args[1]):
                    answer = self.survive(path, *args)
                    self.assertEqual(answer.code, 3, answer)

    def test_folder_in_place_of_a_file(self):
        answer = self.survive(self.folder, self.folder, "--nav", self.nav)
        self.assertIn(answer.code, (2, 3), answer)

    def test_wrong_kind_of_file(self):
        for args in ((self.nav, "--nav", self.nav),
                     (self.obs, "--nav", self.obs),
                     (self.obs, "--orbits", self.nav)):
            answer = run("locate", *args, "--json")
            self.assertEqual(answer.code, 3, answer)
            self.assertTrue(answer.json()["error"]["remedy"], answer)

    def test_text_for_people_names_file_and_remedy(self):
        path = self.write("torn.rnx", self.obs.read_bytes()[:400])
        answer = run("locate", path, "--nav", self.nav)
        self.assertEqual(answer.code, 3, answer)
        self.assertIn("torn.rnx", answer.err)
        self.assertEqual(answer.out, "")
        self.assertGreater(len(answer.err.split()), 8, answer)

    def test_inputs_kept_from_fuzzing(self):
        for parser, args_of in (
                ("rinex_observation", lambda p: (p, "--nav", self.nav)),
                ("hatanaka", lambda p: (p, "--nav", self.nav)),
                ("rinex_navigation", lambda p: (self.obs, "--nav", p)),
                ("sp3", lambda p: (self.obs, "--orbits", p))):
            folder = SOURCE / "fuzz/corpus" / parser
            for path in sorted(folder.glob("*"))[:60]:
                with self.subTest(f"{parser}/{path.name}"):
                    self.survive(path, *args_of(path))

    def test_start_of_a_real_hatanaka_day(self):
        name = "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz"
        with gzip.open(data(name)) as stream:
            head = stream.read(60000)
        self.damage_all("esbc.crx", head,
                        lambda path: (path, "--nav", self.nav), 8)


if __name__ == "__main__":
    main()
