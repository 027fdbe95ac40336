"""Two stations in one simulated sky, by their files: where they are, what
their clocks do, and that phases corrected by the products leave whole cycles.
Plain Python on what `simulate` wrote.
"""
import csv
import math
import pathlib

from simulated import Simulated, columns_of, epochs_of, to_enu, truth_rows
from support import SOURCE, main

SCENARIO = SOURCE / "scenarios/larch-tie.toml"
# Metres per second (exact by definition) and carriers in Hz as the interface
# documents print them (from memory).
C = 299792458.0
PAIRS = {"G": (("1C", 1575.42e6), ("2L", 1227.60e6)),
         "E": (("1C", 1575.42e6), ("5Q", 1176.45e6)),
         "C": (("2I", 1561.098e6), ("6I", 1268.52e6))}
RANDOM = ("noise", "multipath", "scintillation", "slips", "half-cycles",
          "product-orbits")
# What an observation and its model have in common.
COMMON = (("range_m", 1), ("relativity_m", -1), ("shapiro_m", 1),
          ("hydrostatic_m", 1), ("wet_m", 1), ("gradient_m", 1),
          ("satellite_antenna_m", 1), ("antenna_m", 1))


def biases_of(text):
    """{(satellite, observable): [s]} of one day's rows."""
    rows = [line.split() for line in text.splitlines()
            if line.startswith(" OSB")]
    return {(r[2], r[3]): float(r[7]) * 1e-9 for r in rows}


def clocks_of(text):
    """{satellite: [(seconds of the day, clock)]}"""
    found = {}
    for line in text.splitlines():
        if line.startswith("AS "):
            word = line.split()
            hour, minute, second = map(float, word[5:8])
            found.setdefault(word[1], []).append(
                (3600 * hour + 60 * minute + second, float(word[9])))
    return found


def between(samples, at):
    for (t0, v0), (t1, v1) in zip(samples, samples[1:]):
        if t0 <= at <= t1:
            return v0 + (v1 - v0) * (at - t0) / (t1 - t0)
    raise AssertionError(f"no clock at {at}")


def off_whole(cycles):
    return abs(cycles - round(cycles))


class TieWorld(Simulated):
    def both(self, *words):
        return self.simulate("--rinex", "--products", "--terms", "--start",
                             "2026-06-03T07:00:00", "--end",
                             "2026-06-03T07:20:00", *words, scenario=SCENARIO)

    def files_of(self, document, number):
        return {f["kind"]: pathlib.Path(f["path"])
                for f in document["receivers"][number]["files"]}

    def test_each_has_its_file_and_its_truth_where_the_scenario_says(self):
        document = self.both()
        self.assertEqual(len(document["receivers"]), 2)
        first, second = (r["marker"] for r in document["receivers"])
        off = to_enu(first, [b - a for a, b in zip(first["ecef_m"],
                                                   second["ecef_m"])])
        # Up is between the heights: the plane is 8 m above the Earth here,
        # and its metres longer by 151 m over the Earth's radius (0.2 m).
        self.assertAlmostEqual(off[0], 8000, delta=0.3)
        self.assertAlmostEqual(off[1], -6000, delta=0.3)
        self.assertAlmostEqual(
            second["geodetic_deg_m"][2] - first["geodetic_deg_m"][2], 143,
            delta=1e-3)
        times = []
        for number, (receiver, antenna) in enumerate(
                (("SPDEMO-R1", "SPDEMO-A1"), ("SPDEMO-R2", "SPDEMO-A2"))):
            files = self.files_of(document, number)
            text = files["observations"].read_text()
            self.assertIn(receiver, text)
            self.assertIn(antenna, text)
            times.append([when for when, _ in epochs_of(text)])
            self.assertEqual(len(truth_rows(files["truth"])), 40)
        self.assertEqual(times[0], times[1])
        antennas = pathlib.Path(self.path(document, "antennas")).read_text()
        self.assertIn("SPDEMO-A1", antennas)
        self.assertIn("SPDEMO-A2", antennas)

    def test_second_clock_is_far_off_and_set_by_milliseconds(self):
        document = self.both()
        clock_ms = [1e3 * r["clock_s"] for r in
                    truth_rows(self.files_of(document, 1)["truth"])]
        self.assertTrue(all(21.49 < v < 22.51 for v in clock_ms), clock_ms)
        steps = [b - a for a, b in zip(clock_ms, clock_ms[1:])]
        # 2 ppm: 0.06 ms in half a minute, and a jump every 500 s.
        jumps = [s for s in steps if s < -0.5]
        self.assertIn(len(jumps), (2, 3))
        for step in steps:
            whole = -1 if step < -0.5 else 0
            self.assertAlmostEqual(step - whole, 0.06, delta=0.005)

    def fractions(self, document, number):
        """Of satellite differences: off whole wide and narrow cycles."""
        files = self.files_of(document, number)
        biases = biases_of(
            pathlib.Path(self.path(document, "biases")).read_text())
        clocks = clocks_of(
            pathlib.Path(self.path(document, "clocks")).read_text())
        text = files["observations"].read_text()
        columns = columns_of(text)
        truth = truth_rows(files["truth"])
        with open(files["terms"], newline="", encoding="ascii") as file:
            terms = {(r["time_gpst"], r["satellite"], r["signal"]): r
                     for r in csv.DictReader(file)}
        wides, narrows = [], []
        for index in (0, 20, 39):
            _, rows = epochs_of(text)[index]
            true = truth[index]
            hour, minute, second = map(
                float, true["time_gpst"].split("T")[1].split(":"))
            tag = 3600 * hour + 60 * minute + second
            first = {}
            for sat, fields in sorted(rows.items()):
                pair = PAIRS.get(sat[0])
                if pair is None:
                    continue
                values = dict(zip(columns[sat[0]], (v for v, _ in fields)))
                phase, code = [], []
                for signal, hz in pair:
                    t = terms.get((true["time_gpst"], sat, signal))
                    if t is None or not values.get("L" + signal):
                        break
                    sent = tag - true["clock_s"] - float(t["range_m"]) / C
                    computed = (sum(k * float(t[name]) for name, k in COMMON)
                                + C * true["clock_s"]
                                - C * between(clocks[sat], sent))
                    phase.append(values["L" + signal]
                                 - hz * biases[sat, "L" + signal]
                                 - float(t["wind_up_cyc"])
                                 - hz / C * computed)
                    code.append(values["C" + signal] - computed
                                - C * biases[sat, "C" + signal])
                if len(phase) < 2:
                    continue
                f1, f2 = pair[0][1], pair[1][1]
                wide = phase[0] - phase[1] - (f1 - f2) / (f1 + f2) * (
                    code[0] * f1 + code[1] * f2) / C
                if sat[0] not in first:
                    first[sat[0]] = (wide, phase)
                    continue
                wide -= first[sat[0]][0]
                wides.append(off_whole(wide))
                a = [p - q for p, q in zip(phase, first[sat[0]][1])]
                # c (f1 N1 - f2 N2) / (f1^2 - f2^2), N2 by the wide lane, over
                # the narrow wave c / (f1 + f2).
                narrow = (f1 * a[0] - f2 * a[1] - f2 * round(wide)) / (f1 - f2)
                narrows.append(off_whole(narrow))
        self.assertGreater(len(wides), 20)
        return wides, narrows

    def test_exact_products_leave_whole_cycles_between_satellites(self):
        document = self.both("--without", *RANDOM, "product-clocks")
        for number in (0, 1):
            wides, narrows = self.fractions(document, number)
            # 0.02 cycles; the printed digits are worth 0.006.
            self.assertLess(max(wides), 0.02)
            self.assertLess(max(narrows), 0.02)

    def test_biases_go_with_the_clocks_unless_told_otherwise(self):
        def rms(document):
            wides, narrows = self.fractions(document, 0)
            self.assertLess(max(wides), 0.02)
            return math.sqrt(sum(v * v for v in narrows) / len(narrows))

        # Two clocks wrong by 6.7 mm each, of waves of 107 mm: 0.09 cycles. By
        # 30 mm each, the fractions may be anything: 0.29.
        self.assertLess(rms(self.both("--without", *RANDOM)), 0.15)
        self.assertGreater(
            rms(self.both("--without", *RANDOM, "integer-biases")), 0.2)

    def test_what_both_see_differs_as_far_as_they_stand_apart(self):
        document = self.both()
        seen = []
        for number in (0, 1):
            with open(self.files_of(document, number)["terms"], newline="",
                      encoding="ascii") as file:
                seen.append({(r["time_gpst"], r["satellite"]): r
                             for r in csv.DictReader(file)
                             if float(r["elevation_deg"]) > 20})
        common = seen[0].keys() & seen[1].keys()
        self.assertGreater(len(common), 400)
        # Metres of delay on L1 a TECU (IERS Conventions 2010, section 9.4).
        ionosphere = [0.162 * (float(seen[1][k]["slant_tecu"])
                               - float(seen[0][k]["slant_tecu"]))
                      for k in common]
        size = math.sqrt(sum(v * v for v in ionosphere) / len(ionosphere))
        self.assertTrue(0.001 < size < 0.03, size)
        zenith = [[r["zenith_wet_m"] for r in
                   truth_rows(self.files_of(document, n)["truth"])]
                  for n in (0, 1)]
        # 143 m of height are 7 % of 0.13 m, the patches 3 mm.
        for a, b in zip(*zenith):
            self.assertTrue(-0.005 < a - b < 0.025, (a, b))


if __name__ == "__main__":
    main()
