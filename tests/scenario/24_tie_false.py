"""Known coordinates that are wrong, as people get them wrong: shifted by a
metre, by centimetres, an antenna's height, a national frame. What `tie` sees of
it, and whom it names, with one, two and three known stations.
"""
import math
import re

from four_masts import Tied
from support import main

# EPSG:10586, ITRF2020 to ETRF2000 at 2015.0, position vector: mm, mas, ppb,
# and their rates a year. source: EPSG dataset v13.101 (IOGP)
SHIFT, SHIFT_RATE = (53.8, 51.8, -82.2), (0.1, 0, -1.7)
TURN, TURN_RATE = (2.106, 12.740, -20.592), (0.081, 0.490, -0.792)
SCALE, SCALE_RATE = 2.25, 0.11
MAS_RAD = math.pi / 180 / 3600e3
FRAME = "ITRF2020@2026-06-02"
YEARS = 11.416  # from 2015.0 to that epoch


def etrf2000(place):
    """That ITRF2020 position in ETRF2000 [m]."""
    def now(values, rates, factor):
        return [factor * (v + r * YEARS) for v, r in zip(values, rates)]
    shift, turn = now(SHIFT, SHIFT_RATE, 1e-3), now(TURN, TURN_RATE, MAS_RAD)
    scale = now((SCALE,), (SCALE_RATE,), 1e-9)[0]
    x, y, z = place
    turned = (turn[1] * z - turn[2] * y, turn[2] * x - turn[0] * z,
              turn[0] * y - turn[1] * x)
    return [p + t + scale * p + r for p, t, r in zip(place, shift, turned)]


class WrongKnown(Tied):
    def east(self, name, by_m):
        x, y, z = self.marker[name]["ecef_m"]
        lon = math.radians(self.marker[name]["geodetic_deg_m"][1])
        return x - by_m * math.sin(lon), y + by_m * math.cos(lon), z

    def higher_antenna(self, name, by_m):
        """The file of a station whose header has a wrong antenna height."""
        head, epochs = self.epochs(name)
        row = re.search(r"(?m)^(.{14})(.{46}ANTENNA: DELTA H/E/N)", head)
        head = head.replace(row[0],
                            f"{float(row[1]) + by_m:14.4f}" + row[2])
        return self.write(name + ".rnx", head, epochs)

    def network(self, known, phases, here=None):
        """Document of the tie to {name: (place, observations)}; None: right."""
        line = []
        for name, (place, file) in known.items():
            words = ",".join(f"{v:.4f}" for v in place or
                             self.marker[name]["ecef_m"])
            line += ["--to", file or self.observations[name], "--known",
                     words + ",0.003,0.003,0.003"]
        if phases:
            line += ["--orbits", self.files["orbits"], "--clocks",
                     self.files["clocks"], "--biases", self.files["biases"]]
        answer = self.tie(*line, to=(), frame=FRAME, here=here)
        document = answer.json()
        # A network that disagrees is not to be relied on, and nothing else is.
        return self.document(answer, 0 if document["network"]["passed"] else 1)

    def one_wrong(self, names, wrong, place, phases, file=None):
        known = {n: (None, None) for n in names}
        known[wrong] = (place, file)
        document = self.network(known, phases)
        return document, document["network"]

    def told(self, document):
        return [w for w in document["warnings"]
                if w["code"] == "known_position_differs"]


class OneKnownStation(WrongKnown):
    # kind: cross; source: the shift that was added
    # tolerance: codes of an hour are good for some decimetres
    def test_a_metre_is_seen_by_its_own_codes(self):
        for phases in (False, True):
            document, _ = self.one_wrong(("MILL",), "MILL",
                                         self.east("MILL", 1), phases)
            found = self.told(document)
            self.assertEqual(len(found), 1)
            self.assertIn("MILL", found[0]["what"])
            self.assertAlmostEqual(found[0]["size_m"], 1, delta=0.3)

    # kind: cross; source: the shift that was added
    # tolerance: 1 cm, what the tie of an hour is good for with room
    def test_centimetres_pass_into_the_answer(self):
        for place, file, moved in (
                (self.east("MILL", 0.05), None, (0.05, 0, 0)),
                (None, self.higher_antenna("MILL", 0.1), (0, 0, 0.1))):
            document, network = self.one_wrong(("MILL",), "MILL", place,
                                               False, file)
            self.assertTrue(network["passed"])
            self.assertIn("no other holds", network["why"])
            for got, want in zip(self.off_enu_m(document), moved):
                self.assertAlmostEqual(got, want, delta=0.01)

    def test_a_national_coordinate_is_named(self):
        for phases in (False, True):
            document, _ = self.one_wrong(
                ("MILL",), "MILL", etrf2000(self.marker["MILL"]["ecef_m"]),
                phases)
            found = self.told(document)
            self.assertEqual(len(found), 1)
            self.assertIn("ETRS89", found[0]["what"])

    # kind: cross; source: the height that was added
    # tolerance: 1 cm, as above
    def test_the_antenna_here_is_nobodys_to_see(self):
        document = self.network(
            {n: (None, None) for n in ("MILL", "RIDG", "PUMP")}, False,
            self.higher_antenna("LHOL", 0.1))
        self.assertTrue(document["network"]["passed"])
        for got, want in zip(self.off_enu_m(document), (0, 0, -0.1)):
            self.assertAlmostEqual(got, want, delta=0.01)


class TwoKnownStations(WrongKnown):
    # Whichever of the two is wrong: the right one is never suspected.
    def test_what_is_told_of_which(self):
        for wrong in ("MILL", "RIDG"):
            height = self.higher_antenna(wrong, 0.1)
            national = etrf2000(self.marker[wrong]["ecef_m"])
            for kind, place, file, named in (
                    # named: by codes, by phases; None: not for sure
                    ("a metre", self.east(wrong, 1), None, (True, True)),
                    ("5 cm", self.east(wrong, 0.05), None, (None, None)),
                    ("the height", None, height, (None, None)),
                    ("a frame", national, None, (True, True))):
                for phases, must in zip((False, True), named):
                    with self.subTest(kind, wrong=wrong, phases=phases):
                        _, network = self.one_wrong(("MILL", "RIDG"), wrong,
                                                    place, phases, file)
                        self.assertFalse(network["passed"])
                        allowed = {wrong} if must else {wrong, None}
                        self.assertIn(network["suspect"], allowed,
                                      network["why"])
                        if kind == "a frame":
                            self.assertIn("ETRF", network["why"])

    def test_both_national_agree_and_are_named(self):
        document = self.network(
            {n: (etrf2000(self.marker[n]["ecef_m"]), None)
             for n in ("MILL", "RIDG")}, True)
        self.assertTrue(document["network"]["passed"])
        found = self.told(document)
        self.assertEqual(len(found), 2)
        for warning in found:
            self.assertIn("ETRS89", warning["what"])


class ThreeKnownStations(WrongKnown):
    def test_the_wrong_one_is_named_by_the_ties_alone(self):
        national = etrf2000(self.marker["PUMP"]["ecef_m"])
        height = self.higher_antenna("PUMP", 0.1)
        for kind, wrong, place, file in (
                ("5 cm", "MILL", self.east("MILL", 0.05), None),
                ("5 cm", "RIDG", self.east("RIDG", 0.05), None),
                ("5 cm", "PUMP", self.east("PUMP", 0.05), None),
                ("a metre", "PUMP", self.east("PUMP", 1), None),
                ("the height", "PUMP", None, height),
                ("a frame", "PUMP", national, None)):
            with self.subTest(kind, wrong=wrong):
                _, network = self.one_wrong(("MILL", "RIDG", "PUMP"), wrong,
                                            place, False, file)
                self.assertFalse(network["passed"])
                self.assertEqual(network["suspect"], wrong, network["why"])


if __name__ == "__main__":
    main()
