"""`export`: recorded hours to RINEX files, by the real program.

Streams are invented (rtcm_bytes.py) or real captures; record_capture records
them as a station would have, and `run` does so in one test.
"""
import gzip
import hashlib
import os
import pathlib
import re
import shutil
import subprocess

import rtcm_bytes as rtcm
from running import InFolder, Replay, check, wait_until
from station_running import Station
from support import data, main, run

LIGHT_MPS = 299792458.0
DAY = "2024-11-14"  # of rtcm_bytes.WEEK and TOW_S; day 319 of the year
NAME = "LHOL00XXX"
OBSERVATIONS = f"{NAME}_S_20243190000_01D_01S_MO.rnx"
NAVIGATION = f"{NAME}_S_20243190000_01D_MN.rnx"


def recorder():
    return os.environ["STILLPOINT_RECORD_CAPTURE"]


def header_of(text):
    """{label: [lines]} up to the end of the header."""
    found = {}
    for line in text.splitlines():
        found.setdefault(line[60:].strip(), []).append(line[:60])
        if line[60:].startswith("END OF HEADER"):
            return found
    raise AssertionError("no end of the header")


def epochs_of(text):
    """[(second of the minute, {satellite: fields})] of version 3 and 4."""
    epochs = []
    for line in text.partition("END OF HEADER")[2].splitlines()[1:]:
        if line.startswith(">"):
            epochs.append((float(line[18:29]), {}))
        else:
            fields = [line[at:at + 14] for at in range(3, len(line), 16)]
            epochs[-1][1][line[:3]] = [float(f) if f.strip() else None
                                       for f in fields]
    return epochs


class Exports(InFolder):
    def record(self, stream, time=DAY, late_s=0, name="raw"):
        raw = self.folder / name
        raw.mkdir(exist_ok=True)
        subprocess.run([recorder(), raw, time, str(late_s)], input=stream,
                       check=True, stdout=subprocess.DEVNULL)
        return raw

    def export(self, *words, code=0, raw="raw"):
        shutil.rmtree(self.folder / "out", ignore_errors=True)
        answer = run("export", "--raw", self.folder / raw, "--name", NAME,
                     "--out", self.folder / "out", "--json", *words)
        self.assertEqual(answer.code, code, answer)
        document = answer.json()
        if code == 0:
            check(document, "export")
            self.check_files(document)
        return document

    def check_files(self, document):
        """Sizes and digests are those of the files, and nothing else is
        there."""
        written = {pathlib.Path(f["path"]) for f in document["files"]}
        self.assertEqual(len(written), len(document["files"]))
        self.assertEqual(set((self.folder / "out").iterdir()), written)
        for file in document["files"]:
            content = pathlib.Path(file["path"]).read_bytes()
            self.assertEqual(file["bytes"], len(content))
            self.assertEqual(file["sha256"],
                             hashlib.sha256(content).hexdigest())

    def text(self, name):
        return (self.folder / "out" / name).read_text("ascii")


class Documents(Exports):
    def test_a_day_of_observations_and_ephemerides(self):
        stream = rtcm.ephemeris(3) + rtcm.station_stream(60) + \
            rtcm.ephemeris(3) + rtcm.ephemeris(7)
        self.record(stream)
        document = self.export()
        observations, navigation = document["files"]
        self.assertEqual(pathlib.Path(observations["path"]).name, OBSERVATIONS)
        self.assertEqual(observations["epochs"], 60)
        self.assertEqual(observations["satellites"], {"G": 3, "R": 1, "E": 2})
        self.assertEqual(observations["interval_s"], 1)
        self.assertEqual(observations["first_epoch"], "2024-11-13T23:59:42Z")
        self.assertEqual(observations["last_epoch"], "2024-11-14T00:00:41Z")
        self.assertEqual(observations["made_of"][0]["stream"],
                         "000000004c484f4c")
        self.assertEqual(pathlib.Path(navigation["path"]).name, NAVIGATION)
        self.assertEqual(navigation["ephemerides"], 2)
        self.assertEqual(document["gaps"], [])
        self.assertEqual(document["left_out"], [])
        self.assertEqual(document["warnings"], [])

    def test_the_header_says_what_the_stream_says(self):
        self.record(rtcm.station_stream(20))
        self.export()
        header = header_of(self.text(OBSERVATIONS))
        self.assertTrue(header["RINEX VERSION / TYPE"][0].startswith(
            "     3.05           OBSERVATION DATA    M"))
        self.assertEqual(header["MARKER NAME"][0].strip(), NAME)
        self.assertEqual(header["ANT # / TYPE"][0][20:40], rtcm.ANTENNA)
        self.assertEqual(header["REC # / TYPE / VERS"][0][20:40].strip(),
                         "SPDEMO-R1")
        self.assertEqual(header["ANTENNA: DELTA H/E/N"][0].split(),
                         ["0.1234", "0.0000", "0.0000"])
        self.assertEqual(header["INTERVAL"][0].strip(), "1.000")
        self.assertEqual(header["TIME OF FIRST OBS"][0].split()[:6],
                         ["2024", "11", "14", "0", "0", "0.0000000"])
        self.assertEqual(header["TIME OF LAST OBS"][0].split()[5],
                         "19.0000000")
        self.assertEqual(header["LEAP SECONDS"][0].split()[0],
                         str(rtcm.LEAP_S))
        # The extended information is 0: channel -7.
        self.assertEqual(header["GLONASS SLOT / FRQ #"][0].split(),
                         ["1", "R04", "-7"])
        self.assertEqual(
            [line.split() for line in header["SYS / # / OBS TYPES"]],
            [["G", "8", "C1C", "L1C", "D1C", "S1C", "C2W", "L2W", "D2W",
              "S2W"],
             ["R", "8", "C1C", "L1C", "D1C", "S1C", "C2C", "L2C", "D2C",
              "S2C"],
             ["E", "8", "C1C", "L1C", "D1C", "S1C", "C5Q", "L5Q", "D5Q",
              "S5Q"]])
        # The reference point was sent; the marker is below it.
        marker = [float(x) for x in
                  header["APPROX POSITION XYZ"][0].split()]
        below = sum((a - m) ** 2 for a, m in zip(rtcm.ECEF_M, marker)) ** 0.5
        self.assertAlmostEqual(below, rtcm.HEIGHT_M, delta=2e-4)

    def test_values_are_those_that_were_packed(self):
        self.record(rtcm.epoch(rtcm.TOW_S) + rtcm.epoch(rtcm.TOW_S + 1))
        self.export()
        epochs = epochs_of(self.text(OBSERVATIONS))
        self.assertEqual([second for second, _ in epochs], [0, 1])
        # As rtcm_bytes.msm7() fills them.
        for i, number in enumerate(rtcm.GPS_SATELLITES):
            fields = epochs[1][1][f"G{number:02d}"]
            ms = 70 + i + 100 * i / 1024
            for band, carrier_hz in enumerate((1575.42e6, 1227.60e6)):
                cell = 2 * i + band
                code, phase, doppler, strength = fields[4 * band:4 * band + 4]
                cycles = carrier_hz / LIGHT_MPS
                self.assertAlmostEqual(
                    code, (ms + cell * 2 ** -29) * LIGHT_MPS / 1000,
                    delta=6e-4)
                self.assertAlmostEqual(
                    phase, (ms + 2 * cell * 2 ** -31) * LIGHT_MPS / 1000 *
                    cycles, delta=6e-4)
                self.assertAlmostEqual(doppler, -(-300 + i) * cycles,
                                       delta=6e-4)
                self.assertEqual(strength, 45)

    def test_text_is_for_people(self):
        self.record(rtcm.station_stream(5))
        answer = run("export", "--raw", self.folder / "raw", "--name", NAME,
                     "--out", self.folder / "out")
        self.assertEqual(answer.code, 0, answer)
        self.assertIn(OBSERVATIONS, answer.out)
        self.assertIn("5 epochs", answer.out)
        self.assertNotIn("\x1b", answer.out)
        self.assertEqual(answer.err, "")

    def test_the_same_recording_makes_the_same_files(self):
        self.record(rtcm.station_stream(30))
        self.export("--gzip")
        path = self.folder / "out" / f"{OBSERVATIONS}.gz"
        first = gzip.decompress(path.read_bytes())
        self.export("--gzip")
        second = gzip.decompress(path.read_bytes())
        date = re.compile(rb"[^\n]*PGM / RUN BY / DATE *\n")
        self.assertEqual(date.sub(b"", first), date.sub(b"", second))


class Spans(Exports):
    def setUp(self):
        super().setUp()
        # Ten minutes around midnight.
        self.record(rtcm.station_stream(600, rtcm.TOW_S - 300),
                    time="2024-11-13T23:55:00")

    def names(self, document):
        return [pathlib.Path(f["path"]).name for f in document["files"]]

    def test_two_days(self):
        document = self.export()
        self.assertEqual(self.names(document),
                         [f"{NAME}_S_20243180000_01D_01S_MO.rnx",
                          OBSERVATIONS])
        self.assertEqual([f["epochs"] for f in document["files"]], [300, 300])

    def test_hours_thinned_and_packed(self):
        document = self.export("--period", "hour", "--interval", "30",
                               "--hatanaka", "--gzip")
        self.assertEqual(self.names(document),
                         [f"{NAME}_S_20243182300_01H_30S_MO.crx.gz",
                          f"{NAME}_S_20243190000_01H_30S_MO.crx.gz"])
        self.assertEqual([f["epochs"] for f in document["files"]], [10, 10])
        text = gzip.decompress(
            pathlib.Path(document["files"][0]["path"]).read_bytes())
        self.assertIn(b"COMPACT RINEX FORMAT", text[:80])

    def test_start_is_in_and_end_is_out(self):
        document = self.export("--start", f"{DAY}T00:00:00", "--end",
                               f"{DAY}T00:01:00")
        self.assertEqual(self.names(document),
                         [f"{NAME}_S_20243190000_01M_01S_MO.rnx"])
        self.assertEqual(document["files"][0]["epochs"], 60)
        document = self.export("--start", f"{DAY}T00:00:00Z", "--end",
                               f"{DAY}T00:00:01Z")
        seconds = [s for s, _ in epochs_of(
            pathlib.Path(document["files"][0]["path"]).read_text("ascii"))]
        self.assertEqual(seconds, [rtcm.LEAP_S])

    def test_version_two_has_short_names_and_names_what_it_lacks(self):
        document = self.export("--format", "2.11", "--start", DAY)
        self.assertEqual(self.names(document), ["lhol3190.24o"])
        self.assertTrue(self.text("lhol3190.24o").startswith(
            "     2.11           OBSERVATION DATA"))

    def test_version_four(self):
        self.export("--format", "4.02", "--start", DAY)
        self.assertTrue(self.text(OBSERVATIONS).startswith(
            "     4.02           OBSERVATION DATA    M"))


class Refusals(Exports):
    def test_words_that_do_not_fit(self):
        for words in ((), ("--raw", "x"), ("--config", "a", "--raw", "b"),
                      ("--raw", "x", "--name", "lhol"),
                      ("--raw", "x", "--name", NAME, "--format", "3.04"),
                      ("--raw", "x", "--name", NAME, "--period", "week"),
                      ("--raw", "x", "--name", NAME, "--interval", "7"),
                      ("--raw", "x", "--name", NAME, "--interval", "0"),
                      ("--raw", "x", "--name", NAME, "--start", "yesterday"),
                      ("--raw", "x", "--name", NAME, "--start", "2024-11-15",
                       "--end", "2024-11-14"),
                      ("--raw", "x", "--name", NAME, "stray")):
            with self.subTest(words):
                answer = run("export", *words, "--json")
                self.assertEqual(answer.code, 2, answer)
                check(answer.json(), "error")

    def test_nothing_recorded(self):
        (self.folder / "raw").mkdir()
        document = self.export(code=3)
        self.assertEqual(document["error"]["code"], "no_data")
        document = self.export(code=3, raw="not-there")
        self.assertIn("not-there", document["error"]["where"])

    def test_nothing_of_these_times(self):
        self.record(rtcm.station_stream(5))
        document = self.export("--start", "2024-11-15", code=3)
        self.assertEqual(document["error"]["code"], "no_data")
        self.assertEqual(list((self.folder / "out").iterdir()), [])

    def test_a_folder_that_cannot_be_is_the_systems_fault(self):
        self.record(rtcm.station_stream(5))
        self.write(b"", "out")
        document = self.export(code=4)
        self.assertIn("out", document["error"]["where"])

    def test_a_damaged_segment_is_a_warning(self):
        raw = self.record(rtcm.station_stream(600))
        segment = max(raw.rglob("*.seg"), key=lambda p: p.stat().st_size)
        content = bytearray(segment.read_bytes())
        middle = len(content) // 2
        content[middle:middle + 10] = b"0123456789"
        segment.write_bytes(content)
        document = self.export()
        self.assertIn("segments_damaged",
                      [w["code"] for w in document["warnings"]])
        self.assertEqual({g["reason"] for g in document["gaps"]}, {"damaged"})
        epochs = document["files"][0]["epochs"]
        self.assertLess(epochs, 600)
        self.assertGreater(epochs, 100)


class OfAStation(Exports):
    CONFIG = """
[station]
name = "LHOL00XXX"
state = "{state}"
marker_number = "LHOL-1"
observer = "growers"
agency = "Larch Hollow Growers"
[antenna]
type = "SPDEMO-A2 NONE"
height_m = 0.2
[[mountpoint]]
name = "LHOL"
"""

    def test_the_settings_say_who_and_what_it_is(self):
        self.record(rtcm.station_stream(20))
        config = self.write(self.CONFIG.format(state=self.folder).encode(),
                            "station.toml")
        answer = run("export", "--config", config, "--out",
                     self.folder / "out", "--json")
        self.assertEqual(answer.code, 0, answer)
        document = answer.json()
        check(document, "export")
        header = header_of(self.text(OBSERVATIONS))
        self.assertEqual(header["MARKER NUMBER"][0].strip(), "LHOL-1")
        self.assertEqual(header["OBSERVER / AGENCY"][0].split(None, 1),
                         ["growers", "Larch Hollow Growers".ljust(40)])
        self.assertEqual(header["ANT # / TYPE"][0][20:40],
                         "SPDEMO-A2       NONE")
        self.assertEqual(header["ANTENNA: DELTA H/E/N"][0].split()[0],
                         "0.2000")
        self.assertEqual([w["code"] for w in document["warnings"]],
                         ["description_differs"] * 2)

    def test_settings_with_a_mistake_are_named_with_their_line(self):
        config = self.write(b"[station]\nname = 'x'\n", "station.toml")
        answer = run("export", "--config", config)
        self.assertEqual(answer.code, 3, answer)
        self.assertIn("station.toml:2", answer.err)

    def test_while_it_records(self):
        stream = rtcm.ephemeris(3) + rtcm.station_stream(120)
        path = self.write(stream)
        replay = Replay(self, path, "--to", "tcp:0", "--speed", "0")
        station = Station(self, self.folder, replay.source,
                          extra="[archive]\ncommit_s = 1\n")
        wait_until(lambda: station.recorded() == stream, "all is recorded")
        answer = run("export", "--config", station.config, "--out",
                     self.folder / "out", "--json")
        self.assertEqual(answer.code, 0, answer)
        document = answer.json()
        check(document, "export")
        # Received years after it was measured; the sets tell the week.
        self.assertEqual(document["files"][0]["epochs"], 120)
        self.assertEqual(document["files"][0]["first_epoch"],
                         "2024-11-13T23:59:42Z")
        self.assertIn("recording_clock",
                      [w["code"] for w in document["warnings"]])
        self.assertEqual(station.stop().code, 0)


class RealCaptures(Exports):
    def test_positions_are_those_of_the_stream(self):
        """kind: cross: the same solver on the stream and on the files made of
        it. Tolerance 1 mm: codes are printed to 1 mm."""
        path = data("rtcm/msm7-week-rollover.rtcm3.gz")
        with gzip.open(path) as file:
            self.record(file.read(), time="2026-06-01")
        document = self.export()
        observations = [f["path"] for f in document["files"]
                        if f["kind"] == "observations"]
        navigation = [f["path"] for f in document["files"]
                      if f["kind"] == "navigation"]
        of_stream = run("locate", path, "--json")
        of_files = run("locate", *observations, "--nav", *navigation, "--json")
        self.assertEqual(of_stream.code, of_files.code, of_files)
        found = [a.json()["position"] for a in (of_stream, of_files)]
        self.assertTrue(all(found))
        apart = sum((a - b) ** 2 for a, b in zip(
            found[0]["ecef_m"], found[1]["ecef_m"])) ** 0.5
        print(f"{apart * 1000:.3f} mm apart", flush=True)
        self.assertLess(apart, 1e-3)


if __name__ == "__main__":
    main()
