"""A real day through the whole station: played into it as a receiver would send
it, recorded, exported, located with precise products, adopted, and sent to a
rover, whose 1006 must say what `locate` makes of the original file.

source: ESBC00DNK, day 177 of 2020, and the orbits and clocks of that day
(shared data); the comparison is the program's own road by files against its
road by the stream.
"""
import math
import os
import pathlib
import subprocess
import sys

from ppp_support import EARTH_2020, ESBC, GRG, OFFSETS, data, main

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] /
                       "scenario"))
from running import InFolder, wait_until  # noqa: E402
from station_running import Rover, Station  # noqa: E402
from support import run  # noqa: E402

OBSERVATIONS = ESBC + "ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz"
# What the file's header says of the antenna.
ANTENNA = """
[antenna]
type = "TRM57971.00     NONE"
height_m = 0.0
"""
# Half a step of a 1006 in each component, and a little.
SAME_M = 0.001


def words(*all_words):
    return [str(data(w)) if "/" in str(w) and not str(w).startswith("/")
            else w for w in all_words]


def positions_of(stream):
    """Reference points of the 1005 and 1006 in a stream, by their own bits
    (RTCM 10403.3: DF002, DF003, 6 + 1 + 1 + 1 + 1, DF025 of 38 bits ...)."""
    found, at = [], 0
    while (at := stream.find(b"\xd3", at)) >= 0:
        if at + 3 > len(stream):
            break
        length = ((stream[at + 1] & 3) << 8) | stream[at + 2]
        body = stream[at + 3:at + 3 + length]
        bits = int.from_bytes(body, "big")
        width = 8 * length
        if length in (19, 21) and width and bits >> (width - 12) in (1005, 1006):
            def signed(first, size):
                value = (bits >> (width - first - size)) & ((1 << size) - 1)
                return value - (1 << size) if value >> (size - 1) else value
            found.append([signed(34, 38) / 1e4, signed(74, 38) / 1e4,
                          signed(114, 38) / 1e4])
            at += 6 + length
        else:
            at += 1
    return found


class StationLoop(InFolder):
    def test_the_day_comes_back_as_a_coordinate_on_the_air(self):
        original = run("locate", *words(OBSERVATIONS), *words(*GRG, *OFFSETS),
                       *words(*EARTH_2020), "--json", timeout=600)
        self.assertEqual(original.code, 0, original)
        header = original.json()["antenna"]
        stream = self.folder / "day.rtcm3"
        subprocess.run([os.environ["STILLPOINT_ENCODE_DAY"],
                        data(OBSERVATIONS), stream], check=True,
                       capture_output=True)
        antenna = ANTENNA.replace("TRM57971.00     NONE", header["type"])
        antenna = antenna.replace("height_m = 0.0",
                                  f"height_m = {header['delta_enu_m'][2]}")
        station = Station(self, self.folder,
                          f"file:{stream}?speed=0&date=2020-06-25",
                          extra=antenna)
        size = stream.stat().st_size
        wait_until(lambda: station.status()["archive"]["durable_offset"] >= size,
                   "the day is on the disk")
        self.assertEqual(station.recorded(), stream.read_bytes())
        out = self.folder / "rinex"
        exported = run("export", "--config", station.config, "--out", out,
                       "--json", timeout=600)
        self.assertEqual(exported.code, 0, exported)
        files = [f["path"] for f in exported.json()["files"]
                 if f["kind"] == "observations"]
        record = self.folder / "record.json"
        located = run("locate", *files, *words(*GRG, *OFFSETS),
                      *words(*EARTH_2020), "--out", record, "--json",
                      timeout=600)
        self.assertEqual(located.code, 0, located)
        added = run("candidates", "--config", station.config, "--add", record,
                    "--json")
        self.assertEqual(added.code, 0, added)
        number = added.json()["candidates"][0]["id"]
        rover = Rover(self, station, "--header", "Ntrip-Version: Ntrip/2.0")
        adopted = run("adopt", str(number), "--config", station.config,
                      "--reason", "the day of the test", "--json")
        self.assertEqual(adopted.code, 0, adopted)
        told = wait_until(
            lambda: rover.path.exists() and
            positions_of(rover.path.read_bytes()), "a rover is told")[-1]
        wanted = original.json()["position"]["ecef_m"]
        height = header["delta_enu_m"][2]
        lat, lon = (math.radians(v) for v in
                    original.json()["position"]["geodetic_deg_m"][:2])
        up = [math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon),
              math.sin(lat)]
        apart = [t - w - height * u for t, w, u in zip(told, wanted, up)]
        loop = located.json()["position"]["ecef_m"]
        print(f"by the stream minus by the file: "
              f"{1e3 * math.dist(loop, wanted):.3f} mm; 1006 minus the file's: "
              f"{1e3 * math.dist(apart, [0, 0, 0]):.3f} mm", file=sys.stderr)
        # kind: cross; tolerance: the millimetre
        self.assertLess(math.dist(apart, [0, 0, 0]), SAME_M)
        station.stop()


if __name__ == "__main__":
    main()
