"""`locate --method ppp` on real station-days, at the project's own targets.

Prints what it measures: docs/validation.md, "Position by phases", is made of
it. A target that is missed is in MISSES, is printed and not judged; all others
are judged as they stand. One process at a time, two to three minutes.
"""
import datetime
import functools
import math
import pathlib
import tempfile
import unittest

import ppp_support as ppp
from ppp_support import ESBC, GPS_PATTERNS, SIO, words_mm

DAY = ppp.esbc("ESBC G E", "GE")
PATTERNS = ("--antennas", GPS_PATTERNS)
GPS = (ppp.esbc("ESBC G", "G", *PATTERNS),
       ppp.san_diego("SIO5 G", SIO + "sio53280.24o.gz"),
       ppp.san_diego("ALAB G", SIO + "alab3280.24o.gz"))
LENGTHS_H = (1, 2, 4, 6, 12)
AXES = ("east", "north", "up")
# Targets known to be missed, by the names that judge() prints.
MISSES = {"GPS 1 h north", "GPS 2 h north", "GPS 2 h up", "GPS 4 h east",
          "GPS 4 h north", "GPS 4 h up"}


def horizontal(difference):
    return math.hypot(difference[0], difference[1])


def row(name, solution, place):
    """Prints a solution against a place; the difference [mm]."""
    difference = solution.minus_mm(place)
    print(f"  {name:24} {words_mm(difference)}   sigma"
          f"{words_mm(solution.sigma_mm)}  without calibration"
          f"{words_mm(solution.sigma_free_mm)}  {solution.status}", flush=True)
    return difference


class RealDays(unittest.TestCase):
    def setUp(self):
        ppp.data("truth.json")

    def judge(self, name, value, limit):
        """Below the limit, or known to be missed; says which."""
        met = value < limit
        if not met:
            print(f"  MISSED: {name} {value:.2f}, limit {limit:.2f}")
        elif name in MISSES:
            print(f"  no longer missed: {name} {value:.2f}")
        with self.subTest(name):
            self.assertTrue(met or name in MISSES,
                            f"{value:.2f} is not below {limit:.2f}")

    def usable(self, name, solution):
        name = f"{name} converged"
        met = solution.status == "converged"
        if not met:
            print(f"  MISSED: {name}: {solution.document['why']}")
        elif name in MISSES:
            print(f"  no longer missed: {name}")
        with self.subTest(name):
            self.assertTrue(met or name in MISSES, solution.document["why"])


class AgainstPublishedPlaces(RealDays):
    # kind: published; source: truth.json (the national agency's ITRF2014)
    # tolerance: 5 mm horizontally is the target (mask 7, the default); the
    # height only by its sigma, since the antenna's pattern is not at hand
    def test_esbc_at_five_masks(self):
        place, _ = ppp.truth("ESBC")
        print("\nESBC, 24 h, GPS and Galileo, by elevation mask [mm]")
        for mask in ("5", "7", "10", "15", "20"):
            solution = DAY.locate("--elevation-mask", mask)
            difference = row(f"mask {mask}", solution, place)
            self.usable(f"mask {mask}", solution)
            self.assertEqual(solution.document["antenna"]["calibration"],
                             "offset")
            self.judge(f"ESBC mask {mask} up", abs(difference[2]),
                       2 * solution.sigma_mm[2])
            if mask == "7":
                self.judge("ESBC horizontal", horizontal(difference), 5)

    # kind: published; source: truth.json (IGS coordinates, two routes)
    # tolerance: 50 mm and 60 mm are the target of an hour; two sigma without
    # the truth's own 5 mm
    def test_wettzell_in_one_hour(self):
        place, _ = ppp.truth("WTZR in 2020")
        print("\nWTZR, first hour, full calibration [mm]")
        solution = ppp.wtzr().locate()
        difference = row("G E R", solution, place)
        self.assertEqual(solution.document["antenna"]["calibration"], "full")
        self.judge("WTZR horizontal", horizontal(difference), 50)
        self.judge("WTZR up", abs(difference[2]), 60)
        for axis, name in enumerate(AXES):
            self.judge(f"WTZR two sigma {name}", abs(difference[axis]),
                       2 * solution.sigma_mm[axis])


class OneDayManyWays(RealDays):
    # kind: cross; source: other systems, another agency's orbits and clocks
    # tolerance: 8 mm between any two, the target
    def test_systems_and_agencies_agree(self):
        place, _ = ppp.truth("ESBC")
        print("\nESBC, 24 h, systems and agencies [mm]")
        found = []
        for name, systems, products in (
                ("GRG G", "G", ppp.GRG), ("GRG E", "E", ppp.GRG),
                ("GRG G E", "GE", ppp.GRG), ("GRG G E R", "GER", ppp.GRG),
                ("COD G E R", "GER", ppp.COD),
                ("COD G E R C", "GERC", ppp.COD)):
            solution = ppp.esbc(name, systems, products=products).locate()
            self.usable(name, solution)
            found.append((name, row(name, solution, place)))
        for n, (one, a) in enumerate(found):
            for other, b in found[:n]:
                self.judge(f"{one} against {other}",
                           math.hypot(a[0] - b[0], a[1] - b[1]), 8)

    # No antenna file at hand has BeiDou's satellites: beside others they are
    # left out by name and change nothing (0.1 mm: ten times the digits of the
    # document); alone they are used with a sigma that covers it.
    def test_satellites_without_antenna_are_named(self):
        solution = ppp.esbc("C", "GERC", products=ppp.COD).locate()
        without = ppp.esbc("-", "GER", products=ppp.COD).locate()
        named = solution.warning("satellites_without_antenna")["what"]
        for satellite in ("C06", "C11", "C16"):
            self.assertIn(satellite, named)
        self.assertNotIn("C", solution.document["used"]["satellites"])
        self.assertLess(math.hypot(*solution.minus_mm(without)), 0.1)
        print("\nESBC, 24 h, BeiDou alone [mm]")
        place, _ = ppp.truth("ESBC")
        alone = ppp.esbc("C alone", "C", products=ppp.COD).locate()
        difference = row("COD C", alone, place)
        for axis, name in enumerate(AXES):
            self.judge(f"COD C two sigma {name}", abs(difference[axis]),
                       2 * alone.sigma_mm[axis])

    # kind: cross; source: the same day with every tenth epoch
    # tolerance: 8 mm horizontally, the target
    def test_thinned_to_five_minutes(self):
        print("\n300 s minus 30 s, 24 h, GPS [mm]")
        for whole, file in zip(GPS[1:], ("sio53280.24o.gz", "alab3280.24o.gz")):
            with tempfile.TemporaryDirectory(prefix="ppp_days_") as folder:
                path = pathlib.Path(folder, file.removesuffix(".gz"))
                kept, seen = ppp.thin_rinex2(ppp.data(SIO + file), path, 300)
                self.assertEqual((kept, seen), (288, 2880))
                thin = ppp.san_diego(whole.name, str(path)).locate()
            self.usable(f"{whole.name} 300 s", thin)
            self.assertLessEqual(thin.document["used"]["epochs"], 288)
            difference = row(whole.name, thin, whole.locate())
            self.judge(f"{whole.name} 300 s", horizontal(difference), 8)


class SanDiego(RealDays):
    # kind: cross; source: the other half of the day
    # tolerance: 12 mm horizontally and 30 mm up, the target
    def test_days_converge_and_halves_agree(self):
        print("\nfirst minus second half of the day, GPS [mm]")
        for station in GPS[1:]:
            self.usable(station.name, station.locate())
            first, second = station.pieces(12)
            difference = row(station.name, first, second)
            self.judge(f"{station.name} halves horizontal",
                       horizontal(difference), 12)
            self.judge(f"{station.name} halves up", abs(difference[2]), 30)

    # kind: published; source: the data's README: NAD83(2011), about 2 m from
    # ITRF; a clock 22 ms off
    def test_traps_of_sio5_are_named(self):
        solution = GPS[1].locate()
        header = solution.warning("header_position_differs")
        self.assertIn("NAD83(2011)", header["what"])
        self.assertGreater(header["size_m"], 1.5)
        self.assertLess(header["size_m"], 2.5)
        self.assertIn("21.6", solution.warning("receiver_clock")["what"])


class PiecesOfADay(RealDays):
    # kind: cross; source: the day that the pieces are of
    # tolerance: the targets of 1, 4 and 12 h
    def test_pieces_of_esbc(self):
        print("\nESBC G E, pieces minus day, RMS [mm]")
        limits = {1: 50, 4: 22, 12: 8}
        for hours in LENGTHS_H:
            rows = DAY.differences_mm(hours)
            self.assertEqual(len(rows), 24 // hours)
            parts = ppp.rms(rows)
            all_mm = math.hypot(*parts)
            print(f"  {hours:2} h {len(rows):3} pieces {words_mm(parts)}  "
                  f"3-D {all_mm:5.1f}  limit {limits.get(hours, '-')}")
            if hours in limits:
                self.judge(f"ESBC G E {hours} h", all_mm, limits[hours])

    # kind: published; source: Scientific Reports 5:8328 (2015), table 1,
    # static float solution, GPS: RMS of 1, 2 and 4 h
    # tolerance: 1.3 times the published; three stations here, many there
    def test_gps_pieces_against_published(self):
        published = {1: (41.8, 11.9, 59.5), 2: (16.1, 4.8, 16.3),
                     4: (8.8, 3.0, 12.5)}
        print("\nGPS, three stations, pieces minus day, RMS [mm]")
        for hours, values in published.items():
            rows = []
            for station in GPS:
                own = station.differences_mm(hours)
                self.assertEqual(len(own), 24 // hours)
                print(f"  {hours:2} h {station.name:7} {len(own):3} pieces "
                      f"{words_mm(ppp.rms(own))}")
                rows += own
            for name, value, got in zip(AXES, values, ppp.rms(rows)):
                print(f"  {hours:2} h {name:6} all {len(rows):3} pieces "
                      f"{got:6.2f}  published {value:5.1f}  limit "
                      f"{1.3 * value:5.2f}")
                self.judge(f"GPS {hours} h {name}", got, 1.3 * value)

    # kind: cross; source: the normal law, 68.3 and 95.4 %
    # tolerance: 62 to 75 % and 92 to 98 %; fails where the whole 95 % interval
    # (Wilson) lies outside. Pieces of one day are not independent, which the
    # interval does not know.
    def test_sigma_holds(self):
        print("\npieces of 1, 2, 4, 6 and 12 h, difference to their day")
        for axis, name in enumerate(AXES):
            for sigmas, low, high in ((1, 0.62, 0.75), (2, 0.92, 0.98)):
                ratios = [v for station in (*GPS, DAY) for hours in LENGTHS_H
                          for v in station.ratios(hours)[axis]]
                self.assertGreater(len(ratios), 150)
                text, good = ppp.share_row(ratios, sigmas, low, high)
                print(f"  {name:6} {text}")
                with self.subTest(axis=name, sigmas=sigmas):
                    self.assertTrue(good, text)
        print_shares([(s.name, s, LENGTHS_H) for s in (*GPS, DAY)])
        for hours in LENGTHS_H:
            print_shares([(f"{hours} h", s, (hours,)) for s in (*GPS, DAY)],
                         pooled=True)


def print_shares(parts, pooled=False):
    """Shares within one and two sigma, of every part or of all together."""
    groups = [parts] if pooled else [[part] for part in parts]
    for group in groups:
        words = []
        for axis in range(3):
            values = [abs(v) for _, station, lengths in group
                      for hours in lengths
                      for v in station.ratios(hours)[axis]]
            words.append("/".join(
                f"{100 * sum(v <= k for v in values) / len(values):.0f}"
                for k in (1, 2)) + f" of {len(values)}")
        print(f"  {group[0][0]:9} E N U  " + "   ".join(words))


TERMS = ("satellite-antenna", "receiver-antenna", "wind-up", "yaw-turns",
         "solid-tide", "ocean-loading", "pole-tide", "gradients",
         "group-delay", "relativity", "shapiro", "troposphere",
         "earth-rotation", "satellite-clock", "elevation-weights",
         "cn0-weights", "outlier-rejection", "antenna-height")
PIECE_H = (10, 12)


@functools.lru_cache(maxsize=None)
def change(term, hours):
    """(solution without the term, its change in mm or None, phase rms)."""
    day = ppp.esbc("ESBC G E", "GE", *PATTERNS)
    whole, less = day.locate(hours=hours), day.locate("--without", term,
                                                      hours=hours)
    moved = less.minus_mm(whole) if less.position else None
    return less, moved


class WhatTermsAreWorth(RealDays):
    def test_table(self):
        print("\nESBC G E, one term left out: change [mm]; phase rms [mm]")
        for hours in (None, PIECE_H):
            print(f"  {'24 h' if hours is None else '10:00 to 12:00'}")
            for term in TERMS:
                less, moved = change(term, hours)
                self.assertEqual(less.document["without"], [term])
                rms_m = (less.document.get("residuals") or {}).get(
                    "phase_rms_m")
                print(f"    {term:18} "
                      f"{words_mm(moved) if moved else 'no position':26} "
                      f"{less.status:13} "
                      f"{'-' if rms_m is None else format(1e3 * rms_m, '.1f')}",
                      flush=True)

    # kind: published; source: the header's antenna height, 0.2160 m, upwards
    # tolerance: 0.1 mm, ten times the digits of the document
    def test_antenna_height(self):
        for hours in (None, PIECE_H):
            _, moved = change("antenna-height", hours)
            for got, want in zip(moved, (0, 0, 216)):
                self.assertAlmostEqual(got, want, delta=0.1)

    # kind: published; source: IERS Conventions 2010, 7.1.4: degree-two polar
    # motion, with the secular pole of 2018; m1 and m2 from the C04 file itself
    # tolerance: 0.1 mm; the pole of midnight is taken, it moves 1.5 mas a day,
    # 0.05 mm of height
    def test_pole_tide(self):
        x, y = pole_of(datetime.date(2020, 6, 25))
        years = 20.48
        m1 = x - (0.0550 + 0.001677 * years)
        m2 = -(y - (0.3205 + 0.003460 * years))
        lat, lon = (math.radians(v) for v in
                    DAY.locate().position["geodetic_deg_m"][:2])
        colatitude = math.pi / 2 - lat
        along = m1 * math.cos(lon) + m2 * math.sin(lon)
        across = m1 * math.sin(lon) - m2 * math.cos(lon)
        want = (9 * math.cos(colatitude) * across,
                9 * math.cos(2 * colatitude) * along,
                -33 * math.sin(2 * colatitude) * along)
        for hours in (None, PIECE_H):
            _, moved = change("pole-tide", hours)
            print(f"\npole tide [mm] {words_mm(moved, 2)}, by the formula "
                  f"{words_mm(want, 2)}")
            for got, value in zip(moved, want):
                self.assertAlmostEqual(got, value, delta=0.1)

    # kind: cross; source: degree two by ppp_support.solid_tide_mm()
    # tolerance: as far as the ground moves within the piece, since with free
    # ambiguities a piece is no plain mean, and 10 mm: the small terms and the
    # noise; a wrong sign would be up to 270 mm off
    def test_solid_tide(self):
        place, _ = ppp.truth("ESBC")
        print("\nsolid tide: change without it; the tide; apart, limit [mm]")
        for begin in range(0, 24, 4):
            _, moved = change("solid-tide", (begin, begin + 2))
            tides = [ppp.solid_tide_mm(
                DAY.begin + datetime.timedelta(hours=begin + k / 10), place)
                     for k in range(21)]
            mean = [sum(t[axis] for t in tides) / 21 for axis in range(3)]
            limit = 10 + max(math.dist(a, b) for a in tides for b in tides)
            apart = math.dist(moved, mean)
            print(f"  {begin:2} to {begin + 2:2} h {words_mm(moved)}  "
                  f"{words_mm(mean)}  {apart:5.1f} {limit:5.1f}")
            with self.subTest(begin=begin):
                self.assertLess(apart, limit)

    # kind: published; source: tests/vectors/solid_tide_1000.txt (routine of the
    # IERS Conventions 2010)
    # tolerance: 6 mm: the small terms that the helper leaves out
    def test_the_helper_for_the_tide(self):
        path = ppp.SOURCE / "tests/vectors/solid_tide_1000.txt"
        rows = list(tide_rows(path))
        self.assertEqual(len(rows), 1000)
        for moment, place, want in rows:
            for got, value in zip(ppp.solid_tide_mm(moment, place), want):
                self.assertLess(abs(got - value), 6)

    # kind: cross; source: up to a wave length of path, which a static day
    # averages and two hours do not (from memory)
    # tolerance: between 5 and 100 mm in two hours, less in a day
    def test_wind_up(self):
        _, piece = change("wind-up", PIECE_H)
        _, day = change("wind-up", None)
        self.assertGreater(math.hypot(*piece), 5)
        self.assertLess(math.hypot(*piece), 100)
        self.assertLess(math.hypot(*day), math.hypot(*piece))


def tide_rows(path):
    """(moment, place [m], displacement east, north, up [mm])."""
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            continue
        v = [float(word) for word in line.split()]
        moment = (datetime.datetime(*map(int, v[:3])) +
                  datetime.timedelta(hours=v[3]))
        yield moment, v[4:7], [1e-3 * d for d in ppp.local(v[13:16], v[4:7])]


def pole_of(day):
    """Pole [arc seconds] of a day from the C04 file."""
    with open(ppp.data(ESBC + "eopc04_14_IAU2000.20.txt"),
              encoding="utf-8") as file:
        for line in file:
            words = line.split()
            if words[:3] == [str(day.year), str(day.month), str(day.day)]:
                return float(words[4]), float(words[5])
    raise AssertionError("no such day in the C04 file")


if __name__ == "__main__":
    ppp.main()
