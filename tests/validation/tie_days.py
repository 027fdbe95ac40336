"""`tie` on real pairs of stations, at the project's own targets.

Prints what it measures: docs/validation.md, "Ties", is made of it. A target
that is missed is in MISSES, is printed and not judged; all others are judged as
they stand. One process at a time, one to two minutes.
"""
import json
import math

import ppp_days as days
import ppp_support as ppp
import tie_support as ties
from ppp_support import ESBC, GRG, SIO, words_mm

# Targets known to be missed, by the names that judge() prints.
MISSES = {"WTZZ R alone X", "WTZZ R alone Y", "tie minus phase positions up",
          "answers beyond four sigma up"}
# In hours, and their names; the first five are those of the sigma test.
LENGTHS = ((1 / 6, "10 min"), (0.5, "30 min"), (1, "1 h"), (2, "2 h"),
           (4, "4 h"), (6, "6 h"), (12, "12 h"))
TEN_MINUTES = 1 / 6
WUM_CLOCKS = ppp.WUM[2:] + ("--earth", SIO + "eopc04_14_IAU2000.24.csv")


def published_mm(tie):
    """X, Y, Z [mm] of WTZZ minus WTZR less each of the published pairs."""
    with open(ppp.data("truth.json"), encoding="utf-8") as file:
        row = json.load(file)["WTZZ minus WTZR"]
    return [[1e3 * (a - b) for a, b in zip(tie.vector_m, row[key])]
            for key in ("vector_ecef_m", "second_ecef_m")]


def nearest_mm(tie):
    return min(published_mm(tie), key=lambda row: max(map(abs, row)))


class RealTies(days.RealDays):
    def judge(self, name, value, limit):
        known = days.MISSES
        days.MISSES = MISSES
        try:
            super().judge(name, value, limit)
        finally:
            days.MISSES = known

    def scatter(self, pair, length_h, name):
        """Fixed pieces minus the whole, component by component."""
        whole = pair.tie()
        found, count = pair.pieces(length_h)
        rows = [t.minus_mm(whole) for t in found if t.fixed]
        parts = ppp.rms(rows)
        partly = sum(t.fixed and t.held()[0] < t.held()[1] for t in found)
        print(f"  {name:7} {len(rows):3} of {count:3} fixed, {partly:2} in part"
              f"   RMS{words_mm(parts)}   worst"
              f"{words_mm([max(abs(r[a]) for r in rows) for a in range(3)])}",
              flush=True)
        return rows, parts, count


class OneAndAHalfMetres(RealTies):
    # kind: published; source: truth.json, two pairs for WTZZ minus WTZR
    # tolerance: 3 mm in each component of either, the target
    def test_the_hour(self):
        pair = ties.wettzell()
        hour = pair.tie()
        print("\nWTZZ from WTZR, 1 h, minus the published pairs, X Y Z [mm]")
        self.assertTrue(hour.fixed, hour.document["why"])
        for name, row in zip(("first", "second"), published_mm(hour)):
            print(f"  {name:7}{words_mm(row)}")
            for axis, value in zip("XYZ", row):
                self.judge(f"WTZZ {name} pair {axis}", abs(value), 3)
        print("  sigma E N U", words_mm(hour.sigma_mm), " without calibration",
              words_mm(hour.sigma_free_mm))
        for system in "GREC":
            alone = pair.tie("--systems", system)
            row = nearest_mm(alone)
            print(f"  {system} alone{words_mm(row)}  E N U minus all"
                  f"{words_mm(alone.minus_mm(hour))}  sigma"
                  f"{words_mm(alone.sigma_free_mm)}  integers {alone.held()}")
            self.assertTrue(alone.fixed, alone.document["why"])
            for axis, value in zip("XYZ", row):
                self.judge(f"WTZZ {system} alone {axis}", abs(value), 3)

    # kind: cross; source: the hour that the pieces are of
    # tolerance: 2.5 mm in space, the target
    def test_ten_minutes(self):
        print("\nWTZZ from WTZR, pieces minus the hour, E N U [mm]")
        pair = ties.wettzell()
        hour = pair.tie()
        found, count = pair.pieces(TEN_MINUTES, session_h=1)
        self.assertEqual(count, 6)
        self.assertEqual(sum(t.fixed for t in found), 6)
        parts = ppp.rms([t.minus_mm(hour) for t in found])
        print(f"  10 min RMS{words_mm(parts, 2)}  3-D "
              f"{math.hypot(*parts):.2f}")
        self.judge("WTZZ 10 min", math.hypot(*parts), 2.5)


class ThreeKilometres(RealTies):
    # kind: cross; source: the day that the hours are of, and the other way
    # tolerance: 5 mm horizontally and 12 mm up, 30 mm for any, the target; the
    # two ways are the same arithmetic, but for rounding: 0.1 mm
    def test_hours_both_ways(self):
        found = []
        for back in (False, True):
            pair = ties.san_diego(back)
            day = pair.tie()
            found.append(day.vector_m)
            print(f"\n{pair.name}, hours minus the day, E N U [mm]; integers "
                  f"of the day {day.held()}")
            self.assertTrue(day.fixed, day.document["why"])
            rows, parts, count = self.scatter(pair, 1, "1 h")
            self.assertEqual(len(rows), count)
            for name, got, limit in zip(days.AXES, parts, (5, 5, 12)):
                self.judge(f"{pair.name} 1 h {name}", got, limit)
            self.judge(f"{pair.name} 1 h worst",
                       max(abs(v) for r in rows for v in r), 30)
        self.assertLess(1e3 * math.hypot(*(a + b for a, b in zip(*found))),
                        0.1)

    # kind: published; source: Eckl et al. 2001 (J. Geod. 75:633): 9.5, 9.9 and
    # 36.5 mm north, east and up over the square root of the hours
    # tolerance: none; made for ten times the distance, 4 h and more
    def test_lengths_against_published(self):
        pair = ties.san_diego()
        print("\nSIO5 from ALAB, by length, minus the day, E N U [mm]")
        for hours, name in LENGTHS:
            rows, parts, count = self.scatter(pair, hours, name)
            limits = [v / math.sqrt(hours) for v in (9.9, 9.5, 36.5)]
            if hours < 1:
                continue
            print(f"          published{words_mm(limits)}")
            self.assertEqual(len(rows), count)
            for axis, got, limit in zip(days.AXES, parts, limits):
                self.judge(f"SIO5 from ALAB {name} {axis} published", got,
                           limit)

    # kind: cross; source: the day; an answer on integers further off than four
    # sigma of both would stand on wrong ones
    # tolerance: none of some two hundred
    def test_no_answer_is_wrong(self):
        pair = ties.san_diego()
        day = pair.tie()
        beyond = {name: 0 for name in days.AXES}
        print("\nSIO5 from ALAB, answers on integers beyond four sigma")
        for hours, length in LENGTHS[:5]:
            for t in pair.pieces(hours)[0]:
                if not t.fixed:
                    continue
                for axis, name in enumerate(days.AXES):
                    sigma = math.hypot(t.sigma_free_mm[axis],
                                       day.sigma_free_mm[axis])
                    off = t.minus_mm(day)[axis] / sigma
                    if abs(off) > 4:
                        beyond[name] += 1
                        print(f"  {length}, {t.document['span']['first']}: "
                              f"{off:+.1f} sigma {name}")
        for name, count in beyond.items():
            self.judge(f"answers beyond four sigma {name}", count, 1)

    # kind: cross; source: each station's own position by phases, same signals
    # tolerance: 8, 12 and 20 mm east, north and up, the target
    def test_difference_of_phase_positions(self):
        print("\nSIO5 from ALAB, a day, minus the difference of the phase "
              "positions, E N U [mm]")
        for integers, mask in ((True, "7"), (True, "10"), (True, "15"),
                               (False, "7")):
            words = ("--elevation-mask", mask)
            tie = ties.san_diego().tie(*words)
            here, there = (
                ppp.san_diego(n, file, integers).locate(*words)
                for n, file in (("SIO5", ties.SIO5_FILE),
                                ("ALAB", ties.ALAB_FILE)))
            row = tie.minus_mm([a - b for a, b in
                                zip(here.ecef_m, there.ecef_m)])
            sigma = [math.hypot(*v) for v in zip(
                tie.sigma_free_mm, here.sigma_free_mm, there.sigma_free_mm)]
            name = "integers" if integers else "floating"
            print(f"  {name}, {mask:2} degrees{words_mm(row)}   sigma"
                  f"{words_mm(sigma)}")
            if integers and mask == "7":  # the default
                for axis, value, limit in zip(days.AXES, row, (8, 12, 20)):
                    self.judge(f"tie minus phase positions {axis}",
                               abs(value), limit)

    # kind: cross; source: the normal law, 68.3 and 95.4 %
    # tolerance: 62 to 75 % and 92 to 98 %, by Wilson's interval, as for the
    # pieces of one station (ppp_days.py)
    def test_sigma_holds(self):
        pair = ties.san_diego()
        print("\nSIO5 from ALAB, answers on integers, difference to the day")
        for axis, name in enumerate(days.AXES):
            values = []
            for hours, length in LENGTHS[:5]:
                own = pair.ratios(hours)[axis]
                print(f"  {name:6} {length:6} "
                      f"{ppp.share_row(own, 1, 0.62, 0.75)[0]}")
                values += own
            self.assertGreater(len(values), 150)
            for sigmas, low, high in ((1, 0.62, 0.75), (2, 0.92, 0.98)):
                text, good = ppp.share_row(values, sigmas, low, high)
                print(f"  {name:6} all    {text}")
                with self.subTest(axis=name, sigmas=sigmas):
                    self.assertTrue(good, text)


class EightHundredKilometres(RealTies):
    # kind: published; source: truth.json, both ends
    # tolerance: two sigma of the answer and of the published places
    def test_the_hour_is_within_its_sigma(self):
        (place, here_mm), (_, there_mm) = (
            ppp.truth("WTZR in 2020"), ppp.truth("ESBC"))
        tie = ties.far().tie()
        self.assertIsNotNone(tie.position, tie.document["why"])
        row = tie.minus_mm([a - b for a, b in
                            zip(place, ppp.truth("ESBC")[0])])
        print(f"\nWTZR from ESBC, 1 h, minus the published [mm]\n  E N U"
              f"{words_mm(row)}   sigma{words_mm(tie.sigma_mm)}   without "
              f"calibration{words_mm(tie.sigma_free_mm)}\n  {tie.status}, "
              f"integers {tie.held()}; {tie.tie['handling']}")
        for name, value, sigma in zip(days.AXES, row, tie.sigma_mm):
            self.judge(f"WTZR from ESBC two sigma {name}", abs(value),
                       2 * math.hypot(sigma, here_mm, there_mm))


class FalseCoordinates(RealTies):
    """One known station, its coordinate wrong: what its own codes tell."""

    def told(self, pair, **span):
        document = pair.tie(**span).document
        found = [w for w in document["warnings"]
                 if w["code"] == "known_position_differs"]
        print(f"  {pair.name:28} {str(span.get('hours', 'all')):9} "
              f"{found[0]['what'][:150] if found else '-'}")
        return found

    def moved(self, place, east_m, up_m):
        lon = math.atan2(place[1], place[0])
        radius = math.sqrt(sum(v * v for v in place))
        east = (-math.sin(lon), math.cos(lon), 0)
        return [p + east_m * e + up_m * p / radius
                for p, e in zip(place, east)]

    # kind: cross; source: the shift that was added
    # tolerance: what codes of a day or an hour can tell, metres
    def test_shifts(self):
        print("\none known station, its coordinate shifted")
        alab = ties.own_day("ALAB", ties.ALAB_FILE).ecef_m
        wtzr = ppp.truth("WTZR in 2020")[0]
        for name, east_m, up_m, size_m in (
                ("as it is", 0, 0, None), ("1 m east", 1, 0, 1.0),
                ("5 cm east", 0.05, 0, None), ("10 cm up", 0, 0.1, None)):
            pair = ties.san_diego()
            pair = ties.Pair(f"ALAB {name}", "2024-11-23", pair.here,
                             pair.there, self.moved(alab, east_m, up_m),
                             "IGS20@2024-11-23", *pair.words[4:], *WUM_CLOCKS)
            found = self.told(pair)
            self.assertEqual(bool(found), size_m is not None)
            if size_m:
                self.assertAlmostEqual(found[0]["size_m"], size_m, delta=0.5)
            self.told(pair, hours=(3, 4))
            pair = ties.wettzell()
            pair = ties.Pair(f"WTZR {name}", "2020-06-25", pair.here,
                             pair.there, self.moved(wtzr, east_m, up_m),
                             "IGb14@2020-06-25", *pair.words[4:], *GRG)
            self.assertEqual(bool(self.told(pair)), size_m is not None)

    # kind: published; source: the national agency's ETRS89 coordinate of ESBC,
    # given as if it were the ITRF's
    # tolerance: 0.3 m of what codes say, the frame is to be named
    def test_a_national_coordinate_is_named(self):
        with open(ppp.data(ESBC + "dk_cors_etrs89.csv"),
                  encoding="ascii") as file:
            row = next(line.split(",") for line in file
                       if line.startswith("ESBC"))
        pair = ties.far()
        print("\nESBC's national coordinate given as ITRF2014")
        pair = ties.Pair("ESBC national", "2020-06-25", pair.here, pair.there,
                         [float(v) for v in row[2:5]], "ITRF2014@2020-06-25",
                         *pair.words[4:], *GRG[3:])
        found = self.told(pair)
        self.assertTrue(found)
        self.assertIn("ETRS89", found[0]["what"])


if __name__ == "__main__":
    ppp.main()
