"""One simulated hour by two roads: as RINEX from the simulator, and as RTCM
through a recording and `export`. The files hold the same observations within
what MSM7 resolves, slips included.
"""
import os
import pathlib
import subprocess

from simulated import Simulated, columns_of, epochs_of
from support import main, run

# MSM7 has steps of 2^-29 ms of light (0.56 mm) of code, 2^-31 ms (0.14 mm, at
# most 0.0007 cycles) of phase, 0.1 mm/s (0.0006 Hz) and 1/16 dB-Hz: half a step
# is less than the last digit printed, so that two printed values are one unit
# apart at most; C/N0 half a step and half a unit.
CODE_M, PHASE_CYC, DOPPLER_HZ, STRENGTH = 0.0011, 0.0011, 0.0011, 0.033
SPAN = ("--start", "2026-06-02T10:00:00", "--end", "2026-06-02T11:00:00")


class TwoRoads(Simulated):
    def exported(self, stream, received="2026-06-02"):
        raw = self.folder / "raw"
        raw.mkdir()
        with open(stream, "rb") as file:
            subprocess.run(
                [os.environ["STILLPOINT_RECORD_CAPTURE"], raw, received, "0"],
                stdin=file, check=True, stdout=subprocess.DEVNULL)
        answer = run("export", "--raw", raw, "--name", "LHOL00XXX", "--out",
                     self.folder / "out", "--period", "hour", "--json")
        self.assertEqual(answer.code, 0, answer)
        files = [f["path"] for f in answer.json()["files"]
                 if f["path"].endswith("MO.rnx")]
        self.assertEqual(len(files), 1)
        return pathlib.Path(files[0]).read_text()

    def test_export_of_the_stream_equals_the_simulated_rinex(self):
        document = self.simulate("--receiver", "LHOL00XXX", *SPAN,
                                 "--interval", "5", "--rinex", "--rtcm")
        direct = pathlib.Path(self.path(document, "observations")).read_text()
        other = self.exported(self.path(document, "rtcm"))
        ours, theirs = epochs_of(direct), epochs_of(other)
        # The supply is unplugged for a hundred seconds in this hour.
        self.assertEqual(len(ours), 720 - 20)
        self.assertEqual([e for e, _ in ours], [e for e, _ in theirs])
        tables = columns_of(direct), columns_of(other)
        shift, compared, slips, halves = {}, 0, 0, 0
        for (when, a), (_, b) in zip(ours, theirs):
            self.assertEqual(sorted(a), sorted(b), when)
            for sat, fields in a.items():
                names = tables[0][sat[0]]
                found = dict(zip(tables[1][sat[0]], b[sat]))
                for code, (value, lli) in zip(names, fields):
                    if value is None:
                        continue
                    what = f"{when} {sat} {code}"
                    got, got_lli = found[code]
                    self.assertIsNotNone(got, what)
                    compared += 1
                    if code[0] == "L":
                        lost = int(lli or 0) & 1
                        self.assertEqual(int(got_lli or 0) & 3,
                                         int(lli or 0) & 3, what)
                        key = sat, code
                        if lost or key not in shift:
                            shift[key] = round(got - value)
                        slips += lost
                        halves += int(lli or 0) >> 1 & 1
                        self.assertAlmostEqual(got - value, shift[key],
                                               delta=PHASE_CYC, msg=what)
                    else:
                        self.assertAlmostEqual(
                            got, value, msg=what,
                            delta={"C": CODE_M, "D": DOPPLER_HZ,
                                   "S": STRENGTH}[code[0]])
        self.assertGreater(compared, 200_000)
        # Every lock is lost over the gap.
        self.assertGreater(slips, 80)
        self.assertGreater(halves, 80)

    def test_navigation_of_the_stream_is_that_of_the_world(self):
        document = self.simulate("--receiver", "LHOL00XXX", *SPAN,
                                 "--interval", "10", "--rinex", "--rtcm")
        # Received on another day: files go by the epochs all the same.
        self.exported(self.path(document, "rtcm"), "2026-06-20")
        paths = list((self.folder / "out").glob("*MN.rnx"))
        self.assertEqual([p.name for p in paths],
                         ["LHOL00XXX_S_20261531000_01H_MN.rnx"])
        path = paths[0]

        def records(text):
            """{first line of a set: its lines}, comments apart."""
            found, lines = {}, text.partition("END OF HEADER")[2].splitlines()
            for line in lines[1:]:
                if line[:1] != " ":
                    found[line[:23]] = current = []
                current.append(line)
            return found

        world = records(pathlib.Path(self.path(document, "navigation"))
                        .read_text())
        sent = records(path.read_text())
        self.assertGreater(len(sent), 40)
        for head, lines in sent.items():
            self.assertIn(head, world)
            # Clock, orbit and rates; what the messages have no place for
            # (transmission times, codes) stands in the last lines.
            for a, b in list(zip(lines, world[head]))[:4]:
                for at in range(4, 80, 19):
                    if at > 4 or a[:1] == " ":
                        self.assertEqual(a[at:at + 19].strip(),
                                         b[at:at + 19].strip(), head)


if __name__ == "__main__":
    main()
