"""Live: files of our observation writer, read and restored by two libraries.

Every epoch is read again by rinex_text.py, the first ones by the RINEX library;
the compressed form of every file, restored by the Hatanaka library, must be the
plain text to the byte, and the library's own compression of that text must be
ours. Of the committed invented files and of real station-days where they are,
the latter in version 3.05, in 4.02 (which the RINEX library does not read) and,
where they come from version 2, in 2.11.
"""
import io
import random
import unittest

import support
import written_text

# Of the RINEX library, which takes a tenth of a second an epoch.
EPOCHS = 40
# Of a real file; the invented ones are whole.
MOST = 240
REAL = {
    "esbc": "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz",
    "ajac": "days/AJAC00FRA_R_20242090000_01D_30S_MO.crx.gz",
    "gras": "days/GRAS00FRA_R_20223151700_15M_01S_MO.crx.gz",
    "usno": "days/usno0200.05o.gz",
    "alab": "sio-2024-328/alab3280.24o.gz",
    "sio5": "sio-2024-328/sio53280.24o.gz",
    "wtzz":
        "wettzell-2020-177/WTZZ00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz",
}


def demo(name):
    file, version = written_text.DEMO[name]
    text = (support.VECTORS / file).read_text(encoding="ascii")
    return written_text.epochs_of(text), version


class Written(unittest.TestCase):
    def lines_equal(self, ours, theirs, what):
        for number, pair in enumerate(zip(ours, theirs), 1):
            self.assertEqual(*pair, f"{what} line {number}")
        self.assertEqual(len(ours), len(theirs))

    def check_compression(self, text, compact):
        """Both directions; how many lines have a number without its zero."""
        import hatanaka

        import libraries
        restored, without_zero = libraries.restored(compact.encode())
        self.lines_equal(text.encode().split(b"\n"), restored.split(b"\n"),
                         "restored")
        theirs = hatanaka.rnx2crx(text.encode()).decode().split("\n")
        ours = compact.split("\n")
        # The second line names the library and the day.
        theirs[1] = ours[1]
        self.lines_equal(ours, theirs, "compressed")
        return without_zero

    def check(self, name, epochs, version):
        import libraries
        import rinex_text
        text, said = written_text.write(epochs, version)
        self.assertEqual(said, "")
        compact, said = written_text.write(epochs, version, "--hatanaka")
        self.assertEqual(said, "")
        without_zero = self.check_compression(text, compact)
        lines = text.count("\n")
        print(f"{name} {version}: {lines} lines restored, {without_zero} with "
              "a number that the library writes without its zero; compressed "
              f"to {len(compact) / len(text):.3f}", flush=True)
        second = rinex_text.Tally().files(epochs, rinex_text.read_rinex(text))
        print(f"{name} {version}: second reading: {second}", flush=True)
        self.assertEqual(second.wrong, [])
        self.assertGreater(second.total(), 1000)
        if version == "4.02":
            return
        library = libraries.compare(epochs[:EPOCHS],
                                    libraries.read(text, EPOCHS))
        print(f"{name} {version}: RINEX library: {library}", flush=True)
        self.assertEqual(library.wrong, [])
        self.assertGreater(library.total(), 1000)

    def test_invented_files(self):
        for name in written_text.DEMO:
            epochs, version = demo(name)
            for target in sorted({version, "3.05", "4.02"}):
                with self.subTest(name, version=target):
                    self.check(name, epochs, target)

    def test_jumps_begin_new_arcs(self):
        """Values and clocks that jump by everything their columns hold."""
        dice = random.Random(3)
        for name in written_text.DEMO:
            epochs, version = demo(name)
            spread = [epoch._replace(
                clock_s=round(10 ** dice.uniform(-9, 0.9) *
                              dice.choice((-1, 1)), 9) or None,
                rows={key: [v and round(10 ** dice.uniform(-3, 8.9) *
                                        dice.choice((-1, 1)), 3)
                            for v in row[:4]] + row[4:]
                      for key, row in epoch.rows.items()})
                for epoch in epochs]
            for target in sorted({version, "3.05", "4.02"}):
                with self.subTest(name, version=target):
                    self.check(f"{name} with jumps", spread, target)

    def test_the_library_reads_the_header(self):
        import georinex
        for name in written_text.DEMO:
            with self.subTest(name):
                epochs, version = demo(name)
                text, _ = written_text.write(epochs, version)
                header = georinex.rinexheader(io.StringIO(text))
                self.assertEqual(header["version"], float(version))
                self.assertEqual(header["systems"], "M")
                self.assertEqual(list(header["position"]),
                                 [4281406.3608, 670450.3441, 4664823.2])

    def test_a_broken_field_is_noticed(self):
        """Mutation: each field off by its last digit, once."""
        import libraries
        import rinex_text
        # Version 2, of which the library gives every loss of lock.
        epochs, version = demo("2")
        for field in written_text.FIELDS:
            with self.subTest(field):
                text, _ = written_text.write(
                    written_text.broken(epochs, field), version)
                second = rinex_text.Tally().files(
                    epochs, rinex_text.read_rinex(text))
                self.assertGreater(second.wrong_count, 0)
                tally = libraries.compare(epochs[:EPOCHS],
                                          libraries.read(text, EPOCHS))
                self.assertGreater(tally.wrong_count, 0)


def real_file(name, relative):
    def check(self):
        import libraries
        content = support.unpacked(support.data(relative))
        if b"COMPACT RINEX" in content[:80]:
            content, _ = libraries.restored(content)
        text = content.decode("ascii", "replace")
        epochs = written_text.epochs_of(text, MOST)
        for version in ["3.05", "4.02"] + ["2.11"] * (text[5] == "2"):
            with self.subTest(version):
                self.check(name, epochs, version)
    return check


for _name, _relative in REAL.items():
    setattr(Written, f"test_{_name}", real_file(_name, _relative))

if __name__ == "__main__":
    support.main()
