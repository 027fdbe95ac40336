"""Live: our NMEA reader and writer against the NMEA library, field by field."""
import pathlib
import re
import tempfile
import unittest

import demo_nmea
import nmea_text
import support

# Captures may hold sentences between frames of other kinds.
CAPTURE = "rtcm/mixed-short.rtcm3"
SENTENCE = re.compile(rb"[$][A-Z]{5},[ -)+-~]*[*][0-9A-F]{2}(?=\r\n)")


def dumped(lines, *words):
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder, "sentences.txt")
        path.write_text("".join(line + "\r\n" for line in lines),
                        encoding="ascii")
        return support.dump(*words, path, program="dump_nmea")


class Nmea(unittest.TestCase):
    def check(self, title, lines, least):
        theirs = nmea_text.read_library(lines)
        ours = nmea_text.read_dump(dumped(lines))
        values, wrong = nmea_text.differences(ours, theirs)
        print(f"{title}: {len(lines)} sentences, {values} values, "
              f"{len(wrong)} differ", flush=True)
        self.assertEqual(wrong[:20], [])
        self.assertGreaterEqual(values, least)

    def test_invented_sentences(self):
        self.check("invented", demo_nmea.sentences(40, 300), 100_000)

    def test_a_capture(self):
        content = support.data(CAPTURE).read_bytes()
        lines = [s.decode("ascii") for s in SENTENCE.findall(content)]
        self.assertEqual(len(lines), 2)
        self.check(CAPTURE, lines, 5)

    def test_positions_that_we_write(self):
        """Read from a sentence, written by us, read by the library: the same
        to half of the last digit that we write."""
        lines = [s for s in demo_nmea.sentences(41, 400) if s[3:6] == "GGA"]
        written = dumped(lines, "--write-gga").splitlines()
        self.assertEqual(len(written), len(lines))
        before = nmea_text.read_library(lines)
        after = nmea_text.read_library(written)
        values = 0
        for number, (talker, kind, read) in before.items():
            self.assertEqual(after[number][:2], (talker, kind))
            again = after[number][2]
            self.assertEqual(again.keys(), read.keys(), written[number - 1])
            # Minutes have as many decimals as 82 characters leave room for.
            self.assertLessEqual(len(written[number - 1]) + 2, 82)
            places = re.search(r",\d{4,5}[.](\d+),", written[number - 1])
            angle = 0.5001 / 60 / 10 ** len(places[1]) if places else 0
            within = {"utc_s": 0.00501, "lat_deg": angle, "lon_deg": angle,
                      "hdop": 0.0501, "altitude_m": 0.00501,
                      "separation_m": 0.00501, "age_s": 0.0501}
            for name, value in read.items():
                off = abs(float(again[name]) - float(value))
                if name == "utc_s" and off > 86_000:
                    off = abs(off - 86_400)
                self.assertLessEqual(off, within.get(name, 0) + 1e-9,
                                     f"{name}: {written[number - 1]}")
                values += 1
        print(f"written by us: {len(lines)} sentences, {values} values")
        self.assertGreater(values, 20_000)


if __name__ == "__main__":
    support.main()
