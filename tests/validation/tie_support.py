"""What the validation of ties shares: which files belong together, vectors in
millimetres, pieces of a session.

A Pair is two receivers' session with its products. Every run is started once
and kept, since several tests look at the same day.
"""
import datetime
import functools
import math

import ppp_support as ppp
from ppp_support import EARTH_2020, ESBC, GPS_PATTERNS, GRG, OFFSETS, SIO
from ppp_support import WETTZELL, data, local, run

NAVIGATION = ("--nav", ESBC + "ESBC00DNK_R_20201770000_01D_MN.rnx.gz")
WTZR_FILE = WETTZELL + "WTZR00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz"
WTZZ_FILE = WETTZELL + "WTZZ00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz"
ESBC_FILE = ESBC + "ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz"
SIO5_FILE, ALAB_FILE = SIO + "sio53280.24o.gz", SIO + "alab3280.24o.gz"
WETTZELL_PATTERNS = ("--antennas", GPS_PATTERNS,
                     WETTZELL + "igs20_wettzell_trim.atx.gz")


class Tie:
    """One answer of `tie` to one station; lengths in millimetres."""

    def __init__(self, answer):
        self.document = answer.json()
        self.tie = self.document["ties"][0]
        self.status = self.document["status"]
        self.fixed = self.tie["fixed"]
        self.vector_m = self.tie["vector_ecef_m"]
        self.position = self.document["position"]
        if self.position:
            self.ecef_m = self.position["ecef_m"]
            self.sigma_mm = [1e3 * v for v in self.position["sigma_enu_m"]]
            self.sigma_free_mm = [
                1e3 * v for v in
                self.position["sigma_without_calibration_enu_m"]]

    def minus_mm(self, vector_m):
        """East, north, up of the vector less another one, at the marker."""
        other = getattr(vector_m, "vector_m", vector_m)
        return [1e3 * v for v in local(
            [a - b for a, b in zip(self.vector_m, other)], self.ecef_m)]

    def held(self):
        """Integers that are held, of all ambiguities."""
        return (self.tie["ambiguities"]["fixed"],
                self.tie["ambiguities"]["total"])


class Pair:
    """A session of two receivers. Words with a slash are files of the data
    folder; `place` is the marker of the known one, or a function giving it."""

    def __init__(self, name, day, here, there, place, frame, *words):
        self.name, self.place = name, place
        self.begin = datetime.datetime.fromisoformat(day)
        self.here, self.there = here, there
        self.words = ("--frame", frame, "--no-motion", "--json", *words)

    @functools.lru_cache(maxsize=None)
    def tie(self, *more, hours=None):
        """The whole session, or hours = (first, end) of its day."""
        place = self.place() if callable(self.place) else self.place
        words = [self.here, "--to", self.there, *self.words, *more]
        if hours:
            first, end = (self.begin + datetime.timedelta(seconds=round(
                3600 * h)) for h in hours)
            words += ["--start", first.isoformat(), "--end", end.isoformat()]
        answer = run("tie", *(data(w) if "/" in w else w for w in words),
                     "--known", ",".join(f"{v:.4f}" for v in place),
                     timeout=600)
        if answer.code not in (0, 1, 3):
            raise AssertionError(f"{self.name} {more} {hours}: {answer}")
        return Tie(answer)

    def pieces(self, length_h, *more, session_h=24):
        """Answers of the pieces of that many hours: all that have a vector,
        and how many pieces there are."""
        count = round(session_h / length_h)
        found = [self.tie(*more, hours=(n * length_h, (n + 1) * length_h))
                 for n in range(count)]
        return [t for t in found if t.position], count

    def ratios(self, length_h, fixed_only=True):
        """By component: difference to the day over its sigma, as for the
        pieces of one station (ppp_support.Session.ratios)."""
        day, rows = self.tie(), [[], [], []]
        for piece in self.pieces(length_h)[0]:
            if fixed_only and not piece.fixed:
                continue
            difference = piece.minus_mm(day)
            for axis in range(3):
                variance = (piece.sigma_free_mm[axis] ** 2 -
                            day.sigma_free_mm[axis] ** 2)
                if variance > 0:
                    rows[axis].append(difference[axis] / math.sqrt(variance))
        return rows


def wettzell(*words):
    """WTZZ from WTZR, 1.6 m, broadcast orbits."""
    return Pair("WTZZ", "2020-06-25", WTZZ_FILE, WTZR_FILE,
                lambda: ppp.truth("WTZR in 2020")[0], "IGb14@2020-06-25",
                *NAVIGATION, *WETTZELL_PATTERNS, *words)


def own_place(name, observations):
    """Where a San Diego station's own day puts its marker, on integers."""
    return lambda: own_day(name, observations).ecef_m


@functools.lru_cache(maxsize=None)
def own_day(name, observations):
    return ppp.san_diego(name, observations, integers=True).locate()


def san_diego(back=False):
    """SIO5 from ALAB, 3.07 km and 185 m of height; or ALAB from SIO5."""
    here, there = ("ALAB", ALAB_FILE), ("SIO5", SIO5_FILE)
    if not back:
        here, there = there, here
    return Pair(f"{here[0]} from {there[0]}", "2024-11-23", here[1], there[1],
                own_place(*there), "IGS20@2024-11-23", "--orbits",
                ppp.WUM_NAME + "05M_ORB.SP3.gz", "--antennas", GPS_PATTERNS,
                *OFFSETS, "--systems", "G")


def far():
    """WTZR from ESBC, 767 km, one hour, precise orbits."""
    return Pair("WTZR from ESBC", "2020-06-25", WTZR_FILE, ESBC_FILE,
                lambda: ppp.truth("ESBC")[0], "ITRF2014@2020-06-25",
                *GRG[:3], *OFFSETS, *EARTH_2020, *WETTZELL_PATTERNS)
