"""Live: MSM7 captures recorded by us, exported, and read back, against what the
RTCM library reads in the same bytes.

Codes, phases, Doppler and strengths are computed here from the library's
integers (RTCM 10403.3: range = c (DF397 + DF398 + fine), rate = DF399 + DF404);
the file is read by rinex_text.py. They agree to half of the last digit that a
file has, and no cell is missing or too many. Losses of lock are not the
library's; the open half cycle is.

Known of the captures: the receiver of msm7-week-rollover writes the first
BeiDou epochs of a GPS week, which belong to BeiDou's week before, as negative
numbers, and has a satellite R26, which the library does not name.
"""
import collections
import datetime
import os
import pathlib
import subprocess
import tempfile
import unittest

import rinex_text
import rtcm
import rtcm_text
import support

CAPTURES = ("msm7-week-rollover.rtcm3.gz", "msm7-five-systems.rtcm3.gz",
            "legacy-beside-msm7.rtcm3")
LIGHT_MPS = 299792458.0
HALF_DIGIT = 0.0005 + 1e-6  # and the rounding of doubles at 1e8 cycles
WEEK_MS = 604_800_000
DAY_MS = 86_400_000
# Carriers [MHz] by band, RINEX 4.02; GLONASS bands 1 and 2 with k channels.
CARRIERS = {
    "G": {"1": 1575.42, "2": 1227.60, "5": 1176.45},
    "E": {"1": 1575.42, "5": 1176.45, "7": 1207.14, "8": 1191.795,
          "6": 1278.75},
    "C": {"1": 1575.42, "2": 1561.098, "5": 1176.45, "6": 1268.52,
          "7": 1207.14, "8": 1191.795},
    "J": {"1": 1575.42, "2": 1227.60, "5": 1176.45, "6": 1278.75},
    "S": {"1": 1575.42, "5": 1176.45},
    "I": {"5": 1176.45, "9": 2492.028},
}
LAST_GLONASS = 24  # whose name the library knows
GLONASS = {"1": (1602.0, 0.5625), "2": (1246.0, 0.4375)}
LEAP_MS = 18_000   # GPS time - UTC since 2017, IERS Bulletin C 52
MOSCOW_MS = 10_800_000
BEIDOU_MS = 14_000
EPOCH_FIELDS = {"G": "DF004", "E": "DF248", "C": "DF427", "J": "DF428",
                "S": "DF004", "I": "DF546"}
# "Not measured", by field.
NONE = {"DF397": 255, "DF399": -8192, "DF404": -16384, "DF405": -524288,
        "DF406": -8388608, "DF408": 0}


def week_ms(system, fields):
    """Millisecond of the GPS week."""
    if system == "R":
        day, ms = int(fields["DF416"][0]), int(fields["DF034"][0])
        return (day * DAY_MS + ms - MOSCOW_MS + LEAP_MS) % WEEK_MS
    ms = int(fields[EPOCH_FIELDS[system]][0])
    if ms >= WEEK_MS:
        ms -= 1 << 30
    return (ms + (BEIDOU_MS if system == "C" else 0)) % WEEK_MS


def carrier_hz(system, band, channel):
    if system != "R":
        return CARRIERS[system][band] * 1e6
    if band not in GLONASS or channel is None:
        return None
    first, step = GLONASS[band]
    return (first + step * channel) * 1e6


def cells_of(system, fields, channels):
    """{"G07 1C": [code, phase, Doppler, strength, half cycle]}; `channels` of
    GLONASS by satellite, those of the message are added."""
    columns = {name: [int(v) for v in fields.get(name, ())]
               for name in ("DF397", "DF398", "DF399", "DF404", "DF405",
                            "DF406", "DF408", "DF420", "DF419")}
    place = {sat: i for i, sat in enumerate(fields["PRN"])}
    if system == "R":
        channels.update({sat: value - 7 for sat, value in zip(
            fields["PRN"], columns["DF419"]) if value <= 13})
    cells = {}
    for i, (sat, signal) in enumerate(zip(fields["CELLPRN"],
                                          fields["CELLSIG"])):
        s = place[sat]
        hz = None if signal == "-" else carrier_hz(system, signal[0],
                                                   channels.get(sat))

        def missing(name, at):
            return columns[name][at] == NONE[name]
        code = phase = doppler = strength = None
        ms = columns["DF397"][s] + columns["DF398"][s] / 1024
        if not missing("DF397", s):
            if not missing("DF405", i):
                code = (ms + columns["DF405"][i] * 2.0 ** -29) * \
                    LIGHT_MPS / 1000
            if hz and not missing("DF406", i):
                phase = (ms + columns["DF406"][i] * 2.0 ** -31) / 1000 * hz
        if hz and not missing("DF399", s) and not missing("DF404", i):
            rate = columns["DF399"][s] + columns["DF404"][i] * 1e-4
            doppler = -rate * hz / LIGHT_MPS
        if not missing("DF408", i):
            strength = columns["DF408"][i] / 16
        if sat != "?" and signal != "-" and any(v is not None for v in
                                 (code, phase, doppler, strength)):
            cells[f"{sat} {signal}"] = [code, phase, doppler, strength,
                                        columns["DF420"][i]]
    return cells


def epochs_of_library(stream):
    """{ms of the week: cells}, in the order of the stream."""
    epochs, channels = {}, {}
    for frame in rtcm.frames_of_library(stream):
        kind = str(frame[3] << 4 | frame[4] >> 4)
        if kind == "1020":
            fields = rtcm_text.read_library(frame)
            channels[f"R{int(fields['DF038'][0]):02d}"] = \
                int(fields["DF040"][0]) - 7
        system = rtcm_text.SYSTEMS.get(kind[:3])
        if system is None or len(kind) != 4 or kind[3] != "7" or \
                not rtcm_text.is_known(frame):
            continue
        fields = rtcm_text.read_library(frame)
        if "CELLPRN" in fields:
            epochs.setdefault(week_ms(system, fields), {}).update(
                cells_of(system, fields, channels))
    return epochs


def ms_of(time):
    since = datetime.datetime.fromisoformat(time) - \
        datetime.datetime(1980, 1, 6)
    return round(since / datetime.timedelta(milliseconds=1)) % WEEK_MS


class Export(unittest.TestCase):
    def exported(self, stream, folder):
        """{ms of the week: rows}, of all files."""
        raw, out = folder / "raw", folder / "out"
        raw.mkdir()
        subprocess.run(
            [os.environ["STILLPOINT_RECORD_CAPTURE"], raw, "2024-11-14"],
            input=stream, check=True, stdout=subprocess.DEVNULL)
        subprocess.run(
            [os.environ["STILLPOINT_PROGRAM"], "export", "--raw", raw,
             "--name", "LHOL00XXX", "--out", out], check=True,
            stdout=subprocess.DEVNULL)
        epochs = {}
        for path in sorted(out.glob("*_MO.rnx")):
            for epoch in rinex_text.read_rinex(path.read_text("ascii")):
                epochs[ms_of(epoch.time)] = epoch.rows
        return epochs

    def compare(self, key, ours, theirs, tally):
        for at, (a, b) in enumerate(zip(ours[:4], theirs[:4])):
            self.assertEqual(a is None, b is None, f"{key} {at}")
            if a is not None:
                self.assertLess(abs(a - b), HALF_DIGIT, f"{key} {at}")
                tally["values"] += 1
                tally["worst"] = max(tally["worst"], abs(a - b))
        if ours[1] is not None:
            self.assertEqual(ours[4] >> 1 & 1, theirs[4], f"{key} half cycle")
            tally["half cycles"] += theirs[4]

    def check(self, path):
        stream = rtcm.stream_of(path)
        theirs = epochs_of_library(stream)
        with tempfile.TemporaryDirectory() as folder:
            ours = self.exported(stream, pathlib.Path(folder))
        self.assertEqual(list(ours), list(theirs))
        tally = collections.Counter(worst=0)
        for time, cells in theirs.items():
            unnamed = {key for key in ours[time] if key[0] == "R" and
                       int(key[1:3]) > LAST_GLONASS}
            tally["not named"] += len(unnamed)
            self.assertEqual(set(ours[time]) - unnamed, set(cells), time)
            for key, cell in cells.items():
                self.compare(f"{time} {key}", ours[time][key], cell, tally)
        print(f"{path.name}: {len(theirs)} epochs, {dict(tally)}", flush=True)
        self.assertGreater(tally["values"], 1000)

    def test_a_digit_that_differs_is_found(self):
        cell = [2e7, 1e8, None, 45.0, 0]
        for at in (0, 1, 3):
            ours = [*cell[:4], 0]
            self.compare("", ours, cell, collections.Counter())
            ours[at] += 0.001
            with self.assertRaises(AssertionError):
                self.compare("", ours, cell, collections.Counter())
        with self.assertRaises(AssertionError):
            self.compare("", [2e7, 1e8, 1.0, 45.0, 0], cell,
                         collections.Counter())
        with self.assertRaises(AssertionError):
            self.compare("", [2e7, 1e8, None, 45.0, 2], cell,
                         collections.Counter())

    def test_captures(self):
        for name in CAPTURES:
            with self.subTest(name):
                self.check(support.data(f"rtcm/{name}"))


if __name__ == "__main__":
    support.main()
