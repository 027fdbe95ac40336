"""`listen` on recorded bytes: the whole document, key by key. Streams are
invented (rtcm_bytes.py) and counted twice: by how they were made, and by a
scanner of their bytes. Real recordings where they are.
"""
import datetime
import gzip
import re
import subprocess
import unittest

import rtcm_bytes as rtcm
from running import Listening, Running, by_type, check
from support import SOURCE, data, main, run

GGA = rtcm.sentence("GNGGA,120000.00,,,,,0,00,99.9,,,,,,")
PROFILE = SOURCE / "receivers/spdemo-r1.toml"


def utc(second, week=rtcm.WEEK):
    """A second of a GPS week as the documents write it."""
    time = datetime.datetime(1980, 1, 6) + datetime.timedelta(
        days=7 * week, seconds=second - rtcm.LEAP_S)
    return time.isoformat() + "Z"


class Helper(unittest.TestCase):
    # kind: published   source: tests/vectors/, named block by block there
    # tolerance: 0, checksums and whole frames
    def test_checksum_is_that_of_published_frames(self):
        frames = 0
        for path in (SOURCE / "tests/vectors").glob("rtcm_*.vec"):
            for text in re.findall(r"frame=([0-9A-Fa-f]+)", path.read_text()):
                frame = bytes.fromhex(text)
                wanted = int.from_bytes(frame[-3:], "big")
                self.assertEqual(rtcm.crc24q(frame[:-3]), wanted, text)
                self.assertEqual(rtcm.crc24q_fast(frame[:-3]), wanted, text)
                frames += 1
        self.assertGreater(frames, 20)

    def test_packed_position_is_the_published_frame(self):
        text = (SOURCE / "tests/vectors/rtcm_station.vec").read_text()
        frame = rtcm.position((4444030.8028, 3085671.2349, 3366658.2560),
                              None, 0)
        self.assertIn(frame.hex().upper(), text)


class Document(Listening):
    def listen(self, content, *args, options="?speed=0", code=0):
        """The document of a file, and nothing beside it."""
        answer = run("listen", f"file:{self.write(content)}{options}",
                     "--json", *args)
        self.assertEqual(answer.err, "")
        return self.heard(answer, code)

    def everything(self):
        damaged = bytearray(rtcm.opaque(4002))
        damaged[10] ^= 4
        self.assertNotIn(0xD3, damaged[1:])  # else it is two candidates
        short = rtcm.frame(rtcm.packed((1006, 12), (rtcm.STATION, 12)))
        return rtcm.station_stream(12) + bytes(damaged) + short + \
            rtcm.EMPTY_FRAME * 2 + rtcm.opaque(4001) + GGA * 3 + \
            rtcm.sentence("GNZDA,120000.00,14,11,2024,,") + \
            rtcm.maker_packet(b"12345") * 4

    def test_every_key_has_the_value_of_the_stream(self):
        stream = self.everything()
        document = self.listen(stream, "--profile", PROFILE,
                               options="?speed=0&date=2024-11-14")
        seconds = 11

        def message(message_type, count, size, decoded=True, hz=None):
            hz = round(count / seconds, 6) if hz is None else hz
            return {"type": message_type, "count": count,
                    "bytes": count * size, "rate_hz": hz, "decoded": decoded}
        # Sizes by the order and widths of RTCM 10403.3, and six around them.
        self.assertEqual(document, {
            "schema_version": 1,
            "source": f"file:{self.folder}/stream.rtcm3"
                      "?speed=0&date=2024-11-14",
            "seconds": seconds,
            "bytes": len(stream),
            "messages": [
                message(None, 2, 6, False),
                {"type": 1006, "count": 4, "bytes": 3 * 27 + 9,
                 "rate_hz": round(4 / seconds, 6), "decoded": True},
                message(1033, 3, 51),
                message(1077, 12, len(rtcm.epoch(0)) - 52 - 77, hz=1),
                message(1087, 12, 52, hz=1),
                message(1097, 12, 77, hz=1),
                message(1230, 3, 18),
                message(4001, 1, 26, False)],
            "bad": {"crc": 1, "malformed": 1, "skipped_bytes": 26},
            "station": {
                "id": rtcm.STATION, "ecef_m": list(rtcm.ECEF_M),
                "antenna_height_m": rtcm.HEIGHT_M, "antenna": rtcm.ANTENNA,
                "receiver": "SPDEMO-R1"},
            "systems": {
                "G": {"satellites": 3, "signals": ["1C", "2W"],
                      "ephemerides": 0},
                "R": {"satellites": 1, "signals": ["1C", "2C"],
                      "ephemerides": 0},
                "E": {"satellites": 2, "signals": ["1C", "5Q"],
                      "ephemerides": 0}},
            "epochs": {"count": 12, "interval_s": 1,
                       "first": utc(rtcm.TOW_S), "last": utc(rtcm.TOW_S + 11)},
            "lacks": ["no ephemerides of GPS (1019)",
                      "no ephemerides of GLONASS (1020)",
                      "no ephemerides of Galileo (1045 or 1046)"],
            "nmea": [{"type": "GGA", "count": 3}, {"type": "ZDA", "count": 1}],
            "maker_packets": 4})

    def test_counts_equal_those_of_another_scanner(self):
        stream = self.everything()
        found = rtcm.scan(stream)
        document = self.listen(stream)
        self.assertEqual(by_type(document), found.counts)
        self.assertEqual(by_type(document, "bytes"), found.sizes)

    def test_without_its_profile_a_maker_is_bytes_in_no_frame(self):
        packets = rtcm.maker_packet(b"12345") * 4
        document = self.listen(rtcm.station_stream(2) + packets)
        self.assertEqual(document["maker_packets"], 0)
        self.assertEqual(document["bad"]["skipped_bytes"], len(packets))

    def test_nothing_tells_the_week_so_no_time_is_given(self):
        epochs = self.listen(rtcm.station_stream(5))["epochs"]
        self.assertEqual(epochs, {"count": 5, "interval_s": 1, "first": None,
                                  "last": None})

    def test_ephemerides_tell_the_week(self):
        stream = rtcm.station_stream(5) + rtcm.ephemeris(3) + \
            rtcm.ephemeris(7) + rtcm.ephemeris(7)
        document = self.listen(stream)
        self.assertEqual(document["systems"]["G"]["ephemerides"], 2)
        first = datetime.datetime.fromisoformat(
            document["epochs"]["first"].removesuffix("Z"))
        # Ten bits of it: which 1024 weeks follows from the day of reading.
        wanted = datetime.datetime.fromisoformat(
            utc(rtcm.TOW_S).removesuffix("Z"))
        self.assertEqual((first - wanted) %
                         datetime.timedelta(weeks=1024),
                         datetime.timedelta(0))

    def test_the_day_says_which_1024_weeks_are_meant(self):
        stream = rtcm.station_stream(5) + rtcm.ephemeris(3)
        for week in (rtcm.WEEK - 1024, rtcm.WEEK):
            day = datetime.date(1980, 1, 6) + datetime.timedelta(
                days=7 * week + 4)
            first = self.listen(stream, options=f"?date={day}")[
                "epochs"]["first"]
            # Before 2017 there were fewer leap seconds; to the minute.
            self.assertLess(abs(
                datetime.datetime.fromisoformat(first.removesuffix("Z")) -
                datetime.datetime.combine(day, datetime.time())),
                datetime.timedelta(minutes=1))

    def test_epochs_go_on_over_the_end_of_the_week(self):
        document = self.listen(rtcm.station_stream(6, 604797),
                               options="?date=2024-11-16")
        self.assertEqual(document["epochs"], {
            "count": 6, "interval_s": 1, "first": utc(604797),
            "last": utc(604802)})

    def test_slow_epochs_are_named(self):
        document = self.listen(rtcm.station_stream(4, interval_s=30))
        self.assertEqual(document["epochs"]["interval_s"], 30)
        self.assertEqual(by_type(document, "rate_hz")[1077],
                         round(1 / 30, 6))
        self.assertTrue(any("every 30 s" in text
                            for text in document["lacks"]), document["lacks"])

    def test_a_stream_without_values_has_nulls(self):
        document = self.listen(rtcm.opaque(4001) * 2)
        self.assertEqual(document["station"],
                         dict.fromkeys(("id", "ecef_m", "antenna_height_m",
                                        "antenna", "receiver")))
        self.assertEqual(document["systems"], {})
        self.assertEqual(document["epochs"], {
            "count": 0, "interval_s": None, "first": None, "last": None})
        self.assertIsNone(document["seconds"])
        self.assertEqual(by_type(document, "rate_hz"), {4001: None})

    def test_1005_has_no_antenna_height(self):
        station = self.listen(rtcm.position(height_m=None))["station"]
        self.assertEqual(station["ecef_m"], list(rtcm.ECEF_M))
        self.assertIsNone(station["antenna_height_m"])

    def test_nothing_came(self):
        document = self.listen(b"", code=1)
        self.assertEqual(document["bytes"], 0)
        self.assertEqual(document["lacks"], ["no bytes arrive"])

    def test_garbage_asks_for_the_speed(self):
        # The bits of frames, read at half their speed.
        garbage = bytes((b << 1 & 0xAA) | 1 for b in rtcm.station_stream(20))
        self.assertEqual(rtcm.scan(garbage).frames, 0)
        document = self.listen(garbage, code=1)
        self.assertEqual(document["bad"]["skipped_bytes"], len(garbage))
        self.assertEqual(document["lacks"], [
            "bytes arrive but no frame in them: wrong speed?"])

    def test_nmea_alone_is_heard_and_is_no_base(self):
        document = self.listen(GGA * 3)
        self.assertEqual(document["nmea"], [{"type": "GGA", "count": 3}])
        self.assertEqual(document["messages"], [])
        self.assertIn("no observations: no RTCM message at all",
                      document["lacks"])

    def test_frames_of_length_0_have_no_type(self):
        document = self.listen(rtcm.EMPTY_FRAME * 5)
        self.assertEqual(document["messages"], [
            {"type": None, "count": 5, "bytes": 30, "rate_hz": None,
             "decoded": False}])

    def test_a_torn_end_is_skipped(self):
        stream = rtcm.station_stream(3)
        document = self.listen(stream + rtcm.antenna()[:-5])
        self.assertEqual(document["bad"]["skipped_bytes"],
                         len(rtcm.antenna()) - 5)
        self.assertEqual(by_type(document), rtcm.scan(stream).counts)

    def test_packed_file_is_the_same_document(self):
        stream = rtcm.station_stream(5)
        plain = self.listen(stream)
        packed = self.write(gzip.compress(stream), "stream.rtcm3.gz")
        document = run("listen", f"file:{packed}", "--json").json()
        self.assertEqual({**document, "source": plain["source"]}, plain)

    def test_json_may_stand_before_or_behind_the_verb(self):
        source = f"file:{self.write(rtcm.station_stream(3))}"
        answers = [run(*words).out for words in (
            ("--json", "listen", source), ("listen", "--json", source),
            ("listen", source, "--json"))]
        self.assertEqual(set(answers), {answers[0]})
        check(run("listen", source, "--json").json(), "listen")

    def test_for_is_ignored_where_a_file_is_read_at_once(self):
        stream = rtcm.station_stream(100)
        self.assertEqual(self.listen(stream, "--for", "1ms")["epochs"]["count"],
                         100)

    def test_standard_input(self):
        stream = rtcm.station_stream(10)
        with open(self.write(stream), "rb") as file:
            from_file = Running(self, "listen", "-", "--json",
                                stdin=file).answer()
        cat = subprocess.Popen(["cat", self.folder / "stream.rtcm3"],
                               stdout=subprocess.PIPE)
        self.addCleanup(cat.wait)
        from_pipe = Running(self, "listen", "-?date=2024-11-14", "--json",
                            stdin=cat.stdout).answer()
        cat.stdout.close()
        for answer in (from_file, from_pipe):
            self.assertEqual(by_type(self.heard(answer)),
                             rtcm.scan(stream).counts)
        self.assertEqual(from_pipe.json()["epochs"]["first"],
                         utc(rtcm.TOW_S))

    def test_empty_standard_input_says_no(self):
        answer = run("listen", "-", "--json")
        self.assertEqual(answer.code, 1, answer)
        self.assertEqual(answer.json()["lacks"], ["no bytes arrive"])


class Captures(Listening):
    """Real recordings, where they are."""
    NAMES = ("legacy-beside-msm7.rtcm3", "mixed-station-stream.rtcm3",
             "msm7-five-systems.rtcm3.gz", "msm7-week-rollover.rtcm3.gz",
             "ssr-1240-1264.rtcm3", "ssr-3epochs.rtcm3.gz", "ssr-4076.rtcm3",
             "system-params-1300-1302.rtcm3")
    ROLLOVER = "rtcm/msm7-week-rollover.rtcm3.gz"

    def listen(self, path, code=0):
        return self.heard(run("listen", f"file:{path}?speed=0", "--json"),
                          code)

    # kind: cross   source: the scanner of rtcm_bytes.py   tolerance: 0, counts
    def test_counts_equal_those_of_another_scanner(self):
        for name in self.NAMES:
            path = data(f"rtcm/{name}")
            with self.subTest(name):
                opened = gzip.open if name.endswith(".gz") else open
                with opened(path, "rb") as file:
                    content = file.read()
                found = rtcm.scan(content)
                document = self.listen(path)
                self.assertEqual(by_type(document), found.counts)
                self.assertEqual(by_type(document, "bytes"), found.sizes)
                self.assertEqual(document["bytes"], len(content))
                self.assertEqual(document["nmea"], [])
                self.assertEqual(document["bad"]["skipped_bytes"],
                                 len(found.rest))

    def test_a_caster_s_table_is_no_stream(self):
        self.listen(data("rtcm/ntrip2-sourcetable.http.txt"), code=1)

    # kind: cross   source: the stream's own 1006, of the ITRF by its network
    # tolerance: 3 m, 19 minutes of code ranges with broadcast orbits; common
    # practice, no source
    def test_a_recorded_stream_is_located_where_its_1006_says(self):
        path = data(self.ROLLOVER)
        sent = self.listen(path)["station"]["ecef_m"]
        for words in ((path,), (path, "--nav", path)):
            answer = run("locate", *words, "--method", "code", "--json")
            self.assertEqual(answer.code, 0, answer)
            check(answer.json(), "locate")
            got = answer.json()["position"]["ecef_m"]
            apart = sum((a - b) ** 2 for a, b in zip(got, sent)) ** 0.5
            self.assertLess(apart, 3)

    def test_a_recorded_stream_without_ephemerides_needs_its_day(self):
        path = data("rtcm/legacy-beside-msm7.rtcm3")
        answer = run("locate", path, "--json")
        self.assertEqual(answer.code, 3, answer)
        check(answer.json(), "error")
        self.assertIn("?date=", answer.json()["error"]["remedy"])

    def test_a_dated_stream_without_ephemerides_needs_orbits(self):
        path = data("rtcm/legacy-beside-msm7.rtcm3")
        answer = run("locate", f"file:{path}?date=2018-01-02", "--json")
        self.assertEqual(answer.code, 3, answer)
        error = answer.json()["error"]
        self.assertIn("orbit", error["what"] + error["remedy"])
        self.assertTrue(error["remedy"], answer)


if __name__ == "__main__":
    main()
