"""What the phase validation shares: which files belong together, pieces of a
day, differences in millimetres, and the shares within sigmas.

A Session is one receiver's day with its products. Every run is started once
and kept, since several tests look at the same day.
"""
import datetime
import functools
import gzip
import json
import math
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] /
                       "scenario"))
# East, north, up and Wilson's interval: the same as for the seeds.
from ppp_seeds import interval, local  # noqa: E402
from support import SOURCE, data, main, run  # noqa: E402,F401

ESBC, SIO, WETTZELL = "esbc-2020-177/", "sio-2024-328/", "wettzell-2020-177/"
OFFSETS = ("--offsets", ESBC + "JAX0MGXFIN_20202440000_01D_000_SOL.SNX.gz",
           SIO + "ESA0OPSFIN_20241850000_01D_01D_SOL.SNX.gz")
EARTH_2020 = ("--earth", ESBC + "eopc04_14_IAU2000.20.txt")
# The orbit files end at 23:45; the day before is there for the first minutes.
GRG = ("--orbits", ESBC + "GRG0MGXFIN_20201770000_01D_15M_ORB.SP3.gz",
       ESBC + "GRG0MGXFIN_20201760000_01D_15M_ORB.SP3.gz",
       "--clocks", ESBC + "GRG0MGXFIN_20201770000_01D_30S_CLK.CLK.gz")
# Orbits with clocks of their own, every 5 minutes.
COD = ("--orbits", ESBC + "COD0MGXFIN_20201770000_01D_05M_ORB.SP3.gz")
WUM_NAME = SIO + "WUM0MGXRAP_20243280000_01D_"
WUM = ("--orbits", WUM_NAME + "05M_ORB.SP3.gz", "--clocks",
       WUM_NAME + "30S_CLK.CLK.gz", "--biases", WUM_NAME + "01D_OSB.BIA.gz")
GPS_PATTERNS = SIO + "igs20_gps.atx.gz"


class Solution:
    """One answer of `locate`; lengths of sigmas in millimetres."""

    def __init__(self, answer):
        self.document = answer.json()
        self.status = self.document["status"]
        self.fixed = self.document["method"] == "ppp-fixed"
        self.position = self.document["position"]
        if not self.position:
            return
        self.ecef_m = self.position["ecef_m"]
        self.sigma_mm = [1e3 * v for v in self.position["sigma_enu_m"]]
        self.sigma_free_mm = [
            1e3 * v for v in self.position["sigma_without_calibration_enu_m"]]

    def minus_mm(self, ecef_m):
        """East, north, up against a place (or another solution)."""
        place = getattr(ecef_m, "ecef_m", ecef_m)
        return [1e3 * v for v in local(
            [a - b for a, b in zip(self.ecef_m, place)], place)]

    def warning(self, code):
        """The warning of that code, or None."""
        for warning in self.document["warnings"]:
            if warning["code"] == code:
                return warning
        return None


class Session:
    """A receiver's day: observations, products and options. Words with a
    slash are files of the data folder, or whole paths. Ambiguities stay
    floating unless integers are asked for."""

    def __init__(self, name, day, observations, *words, integers=False):
        self.name = name
        self.begin = datetime.datetime.fromisoformat(day)
        self.words = (observations, "--method", "ppp", "--json",
                      "--ambiguities", "auto" if integers else "float",
                      *words)

    @functools.lru_cache(maxsize=None)
    def locate(self, *more, hours=None):
        """The solution of the day, or of hours = (first, end) of it."""
        span = ()
        if hours:
            first, end = (self.begin + datetime.timedelta(hours=h)
                          for h in hours)
            span = ("--start", first.isoformat(), "--end", end.isoformat())
        words = [data(w) if "/" in w else w
                 for w in (*self.words, *more, *span)]
        answer = run("locate", *words, timeout=600)
        if answer.code not in (0, 1, 3):
            raise AssertionError(f"{self.name} {more} {hours}: {answer}")
        return Solution(answer)

    @functools.lru_cache(maxsize=None)
    def pieces(self, length_h):
        """Solutions of the pieces of that many hours, none left out that has a
        position."""
        found = (self.locate(hours=(h, h + length_h))
                 for h in range(0, 24, length_h))
        return [s for s in found if s.position]

    def differences_mm(self, length_h):
        """Pieces minus the whole day."""
        day = self.locate()
        return [s.minus_mm(day) for s in self.pieces(length_h)]

    def ratios(self, length_h):
        """By component: difference to the day over its sigma. A piece is part
        of the day, so that the variance of their difference is the piece's
        less the day's, as for means of growing samples; where the day is not
        the surer one, there is no ratio."""
        day, rows = self.locate(), [[], [], []]
        for piece in self.pieces(length_h):
            difference = piece.minus_mm(day)
            for axis in range(3):
                variance = (piece.sigma_free_mm[axis] ** 2 -
                            day.sigma_free_mm[axis] ** 2)
                if variance > 0:
                    rows[axis].append(difference[axis] / math.sqrt(variance))
        return rows


def esbc(name, systems, *words, products=GRG, integers=False):
    return Session(name, "2020-06-25",
                   ESBC + "ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz",
                   *products, *OFFSETS, *EARTH_2020, "--systems", systems,
                   *words, integers=integers)


def wtzr(integers=False):
    return Session("WTZR", "2020-06-25", WETTZELL +
                   "WTZR00DEU_R_20201770000_01D_30S_MO_120epoch.rnx.gz", *GRG,
                   *OFFSETS, *EARTH_2020, "--systems", "GER", "--antennas",
                   GPS_PATTERNS, WETTZELL + "igs20_wettzell_trim.atx.gz",
                   integers=integers)


def san_diego(name, observations, integers=False):
    return Session(name, "2024-11-23", observations, *WUM, *OFFSETS, "--earth",
                   SIO + "eopc04_14_IAU2000.24.csv", "--systems", "G",
                   "--antennas", GPS_PATTERNS, integers=integers)


def truth(name):
    """Coordinates [m] and their sigma [mm] from truth.json."""
    with open(data("truth.json"), encoding="utf-8") as file:
        row = json.load(file)[name]
    return row["ecef_m"], 1e3 * row["sigma_m"]


def rms(rows):
    """Of every component."""
    return [math.sqrt(sum(r[a] ** 2 for r in rows) / len(rows))
            for a in range(3)]


def thin_rinex2(packed, path, interval_s):
    """Writes the epochs of a gzipped RINEX 2 observation file that fall on
    whole multiples of interval_s, all other lines as they are. Returns how
    many epochs were kept, and of how many."""
    lines = gzip.open(packed, "rt", encoding="latin-1").read().splitlines()
    at = next(n for n, line in enumerate(lines)
              if line[60:].startswith("END OF HEADER")) + 1
    types = next(int(line[:6]) for line in lines[:at]
                 if line[60:].startswith("# / TYPES OF OBSERV"))
    out, kept, seen = lines[:at], 0, 0
    while at < len(lines):
        line = lines[at]
        count, special = int(line[29:32]), int(line[28]) > 1
        # Twelve satellites to a line of names, five values to a line.
        length = 1 + (count if special else
                      (count - 1) // 12 + count * -(-types // 5))
        if special:
            out += lines[at:at + length]
        else:
            second = round(60 * int(line[12:15]) + float(line[15:26]))
            seen += 1
            if second % interval_s == 0:
                kept += 1
                out += lines[at:at + length]
        at += length
    pathlib.Path(path).write_text("\n".join(out) + "\n", encoding="latin-1")
    return kept, seen


def words_mm(values, digits=1):
    return " ".join(f"{v:+7.{digits}f}" for v in values)


def share_row(ratios, sigmas, low, high):
    """(text, good): a share only fails when its whole 95 % interval lies
    outside the aim: few pieces cannot tell more."""
    hits = sum(abs(v) <= sigmas for v in ratios)
    begin, end = interval(hits, len(ratios))
    good = begin <= high and end >= low
    return (f"{hits:4} of {len(ratios):4} within {sigmas}: "
            f"{100 * hits / len(ratios):5.1f} % "
            f"({100 * begin:.1f} - {100 * end:.1f}), aim {100 * low:.0f} - "
            f"{100 * high:.0f} %{'' if good else '   MISSED'}", good)


def julian_centuries(moment):
    return (moment - datetime.datetime(2000, 1, 1, 12)) / datetime.timedelta(
        days=36525)


def moon_and_sun(moment):
    """Earth-fixed unit vectors, distances [m] and masses (Earth = 1); some
    hundredths of a radian at worst. Source: low-precision formulas of the
    almanacs, from memory. UT1, UTC and GPS time count as one."""
    t = julian_centuries(moment)

    def sine(degrees, rate, function=math.sin):
        return function(math.radians(degrees + rate * t))

    lon = (218.32 + 481267.881 * t + 6.29 * sine(135.0, 477198.87) -
           1.27 * sine(259.3, -413335.36) + 0.66 * sine(235.7, 890534.22) +
           0.21 * sine(269.9, 954397.74) - 0.19 * sine(357.5, 35999.05) -
           0.11 * sine(186.5, 966404.03))
    lat = (5.13 * sine(93.3, 483202.02) + 0.28 * sine(228.2, 960400.89) -
           0.28 * sine(318.3, 6003.15) - 0.17 * sine(217.6, -407332.21))
    parallax = (0.9508 + 0.0518 * sine(135.0, 477198.87, math.cos) +
                0.0095 * sine(259.3, -413335.36, math.cos) +
                0.0078 * sine(235.7, 890534.22, math.cos) +
                0.0028 * sine(269.9, 954397.74, math.cos))
    anomaly = math.radians(357.528 + 35999.050 * t)
    sun = (280.460 + 36000.771 * t + 1.915 * math.sin(anomaly) +
           0.020 * math.sin(2 * anomaly))
    away = 149597870700 * (1.00014 - 0.01671 * math.cos(anomaly))
    tilt = math.radians(23.439)
    turn = sidereal_rad(moment)
    for longitude, latitude, distance, mass in (
            (lon, lat, 6378137 / math.sin(math.radians(parallax)),
             0.0123000371), (sun, 0.0, away, 332946.05)):
        l, b = math.radians(longitude), math.radians(latitude)
        x, y, z = (math.cos(b) * math.cos(l), math.cos(b) * math.sin(l),
                   math.sin(b))
        y, z = (y * math.cos(tilt) - z * math.sin(tilt),
                y * math.sin(tilt) + z * math.cos(tilt))
        yield (x * math.cos(turn) + y * math.sin(turn),
               y * math.cos(turn) - x * math.sin(turn), z), distance, mass


def sidereal_rad(moment):
    return math.radians(
        280.46062 + 360.98564737 * 36525 * julian_centuries(moment))


def solid_tide_mm(moment, place_m):
    """East, north, up of degree two with K1's own radial number. Source: IERS
    Conventions 2010, 7.1.1 (h2 0.6078, l2 0.0847), and those of 1996 for K1
    (-25.3 mm sin cos of the latitude), from memory; without the rest 5 mm."""
    radius = math.sqrt(sum(v * v for v in place_m))
    up = [v / radius for v in place_m]
    lat = math.asin(up[2])
    k1 = -0.0253 * math.sin(lat) * math.cos(lat) * math.sin(
        sidereal_rad(moment) + math.atan2(up[1], up[0]))
    moved = [k1 * v for v in up]
    for unit, distance, mass in moon_and_sun(moment):
        size = mass * 6378136.6 ** 4 / distance ** 3
        c = sum(a * b for a, b in zip(unit, up))
        for n in range(3):
            moved[n] += size * (0.6078 * up[n] * (3 * c * c - 1) / 2 +
                                3 * 0.0847 * c * (unit[n] - c * up[n]))
    return [1e3 * v for v in local(moved, place_m)]
