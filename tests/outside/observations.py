"""Live: our observation reader against two libraries, afresh.

Text restored from Hatanaka compression is compared byte by byte with the
Hatanaka library, every value with a second reading of that library's text
(rinex_text.py), and the first epochs with the RINEX library. On the committed
invented files always, on real station-days where they are.

Known of the files: USNO announces one more line behind some events than there
is (its comments were blanked before we got it); both readings go on at the
epoch that follows.
"""
import unittest

import support

# Of the RINEX library, which takes a tenth of a second an epoch.
EPOCHS = 40
REAL = {
    "esbc": "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz",
    "ajac": "days/AJAC00FRA_R_20242090000_01D_30S_MO.crx.gz",
    "nya1": "days/NYA100NOR_S_20241270000_01D_30S_MO.crx.gz",
    "gras": "days/GRAS00FRA_R_20223151700_15M_01S_MO.crx.gz",
    "usno": "days/usno0200.05o.gz",
    "alab": "sio-2024-328/alab3280.24o.gz",
    "sio5": "sio-2024-328/sio53280.24o.gz",
    "wtzr":
        "wettzell-2020-177/WTZR00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz",
    "wtzz":
        "wettzell-2020-177/WTZZ00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz",
}
DEMO = ("demo3.rnx", "demo3.crx", "demo2.rnx", "demo2.crx")
FIELDS = ("time", "satellite", "code", "phase", "doppler", "cn0", "lli",
          "phase_strength", "code_strength")


class Observations(unittest.TestCase):
    def text_of(self, path):
        """The file's RINEX text by the library; ours must be the same."""
        import libraries
        content = support.unpacked(path)
        if b"COMPACT RINEX" not in content[:80]:
            return content.decode("ascii", "replace")
        theirs, without_zero = libraries.restored(content)
        ours = support.dump("--rinex-text", path).encode()
        print(f"{path.name}: {theirs.count(bytes([10]))} lines restored, "
              f"{without_zero} with a number that the library writes without "
              "its zero", flush=True)
        if ours != theirs:
            for number, pair in enumerate(
                    zip(ours.split(b"\n"), theirs.split(b"\n")), 1):
                self.assertEqual(*pair, f"line {number} of {path.name}")
        self.assertTrue(ours == theirs, "one text is longer")
        return theirs.decode("ascii", "replace")

    def check(self, path):
        import libraries
        import rinex_text
        text = self.text_of(path)
        ours = list(rinex_text.read_dump(support.dump(path).splitlines()))
        second = rinex_text.Tally().files(ours, rinex_text.read_rinex(text))
        print(f"{path.name}: second reading: {second}", flush=True)
        self.assertEqual(second.wrong, [])
        library = libraries.compare(ours[:EPOCHS],
                                    libraries.read(text, EPOCHS))
        print(f"{path.name}: RINEX library: {library}", flush=True)
        self.assertEqual(library.wrong, [])
        self.assertGreater(library.total(), 1000)

    def test_invented_files(self):
        for name in DEMO:
            with self.subTest(name):
                self.check(support.VECTORS / name)

    def test_a_broken_field_is_noticed(self):
        """Mutation: each field off by its last digit, once."""
        import libraries
        import rinex_text
        # Version 2, of which the library gives every loss of lock.
        path = support.VECTORS / "demo2.crx"
        text = self.text_of(path)
        theirs = libraries.read(text, EPOCHS)
        for field in FIELDS:
            with self.subTest(field):
                broken = support.dump("--break-field", field, path)
                ours = list(rinex_text.read_dump(broken.splitlines()))
                second = rinex_text.Tally().files(
                    ours, rinex_text.read_rinex(text))
                self.assertGreater(second.wrong_count, 0)
                # The library's times are good to 10 us only.
                if field != "time":
                    tally = libraries.compare(ours, theirs)
                    self.assertGreater(tally.wrong_count, 0)
        broken = support.dump("--rinex-text", "--break-field", "text", path)
        whole, _ = libraries.restored(path.read_bytes())
        self.assertNotEqual(broken.encode(), whole)


def real_file(relative):
    return lambda self: self.check(support.data(relative))


for _name, _relative in REAL.items():
    setattr(Observations, f"test_{_name}", real_file(_relative))

if __name__ == "__main__":
    support.main()
