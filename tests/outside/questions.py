"""Questions for dump_geodesy with the answers of PROJ and ERFA.

Runs only with the pinned libraries (live check and freeze.py).
"""
import random
import typing
import warnings

import erfa
import numpy
import pyproj

# Years before 1960 and far ahead are ERFA's "dubious year"; not ours to say.
warnings.simplefilter("ignore", erfa.ErfaWarning)


class Question(typing.NamedTuple):
    text: str        # a line for dump_geodesy
    theirs: tuple
    library: str
    detail: str
    tolerances: tuple   # of each number of the answer
    why: str


def pipeline(steps):
    return pyproj.Transformer.from_pipeline("+proj=pipeline " + steps)


def cart(ellipsoid):
    return pipeline("+step +proj=unitconvert +xy_in=deg +xy_out=rad "
                    f"+step +proj=cart +ellps={ellipsoid}")


ELLIPSOIDS = {"grs80": "GRS80", "wgs84": "WGS84"}
# Corners first: poles, equator, date line, below and far above the surface.
CORNERS = [(90, 0, 0), (-90, 0, 100), (0, 0, 0), (0, 180, 0), (0, -90, 9000),
           (47.3, 8.9, 512), (-33.25, 151.5, -35), (89.9999999, -179.5, 12),
           (1e-9, -1e-9, 0), (78.93, 11.87, 84), (55.5, 8.46, 60)]


def places(count):
    dice = random.Random(7)
    yield from CORNERS
    for _ in range(count):
        yield (round(dice.uniform(-90, 90), 9), round(dice.uniform(-180, 180), 9),
               round(dice.uniform(-500, 9000), 4))


def to_and_from_ecef(name, lat, lon, height):
    there = cart(ELLIPSOIDS[name])
    xyz = there.transform(lon, lat, height)
    yield Question(f"to_ecef {name} {lat!r} {lon!r} {height!r}", xyz, "pyproj",
                   ", +proj=cart", (1e-8,) * 3,
                   "m, rounding of doubles at 6e6 m and of degrees to radians")
    xyz = [round(v, 4) for v in xyz]
    if abs(xyz[0]) + abs(xyz[1]) < 1:
        return  # a longitude on the axis says nothing
    back = there.transform(*xyz, direction="INVERSE")
    metres = 1e-6
    degrees = metres / 111e3
    # A metre east is more degrees near a pole.
    east = degrees / max(1e-7, abs(numpy.cos(numpy.radians(back[1]))))
    yield Question(f"to_geodetic {name} {xyz[0]!r} {xyz[1]!r} {xyz[2]!r}",
                   (back[1], back[0], back[2]), "pyproj",
                   ", +proj=cart +inv", (degrees, east, metres),
                   "degrees and m; 1e-6 m on the ground: PROJ takes one step "
                   "of an iteration, our own way there and back closes to 1e-8")


def enu(dice):
    origin = [round(v, 4) for v in cart("GRS80").transform(
        dice.uniform(-180, 180), dice.uniform(-89, 89), dice.uniform(0, 3000))]
    reach = dice.choice((1e2, 1e5, 3e7))
    point = [round(v + dice.uniform(-reach, reach), 4) for v in origin]
    there = pipeline("+step +proj=topocentric +ellps=GRS80 "
                     "+X_0={!r} +Y_0={!r} +Z_0={!r}".format(*origin))
    text = " ".join(map(repr, point + origin))
    return Question(f"to_enu {text}", there.transform(*point), "pyproj",
                    ", +proj=topocentric", (max(1e-8, reach * 1e-13),) * 3,
                    "m, rounding, and PROJ's latitude of the origin (see "
                    "to_geodetic) times the distance")


# By the table's name of PROJ. ITRF2020 here is the pure rotation; what ends in
# _T there adds the origin rate bias of the source.
PLATES = {
    "ITRF2014": "ANTA ARAB AUST EURA INDI NAZC NOAM NUBI PCFC SOAM SOMA",
    "ITRF2020": "AMUR ANTA ARAB AUST CARB EURA INDI NAZC NOAM NUBI PCFC SOAM "
                "SOMA",
}


def plate(model, name, xyz):
    years = 1000.0  # the displacement is linear in time
    moved = pipeline(f"+step +init={model}:{name} +t_epoch=2000").transform(
        *xyz, 2000 + years)
    velocity = tuple((a - b) / years for a, b in zip(moved[:3], xyz))
    text = " ".join(map(repr, xyz))
    return Question(f"plate {model.lower()} {name} {text}", velocity, "pyproj",
                    f", its table {model}", (3e-12,) * 3,
                    "m/year, rounding of a displacement over 1000 years at "
                    "6e6 m")


def geodesy(count=6):
    dice = random.Random(11)
    asked = []
    for name in ELLIPSOIDS:
        for place in places(count):
            asked += to_and_from_ecef(name, *place)
    asked += [enu(dice) for _ in range(count + 3)]
    for model, names in PLATES.items():
        for index, name in enumerate(names.split()):
            xyz = [round(v, 3) for v in cart("GRS80").transform(
                8.9 + 27 * index, 47.3 - 9 * index, 512)]
            asked.append(plate(model, name, xyz))
    return asked


# The first day, 00:00 UTC, after each leap second since 1981.
LEAPS = [(1981, 7), (1982, 7), (1983, 7), (1985, 7), (1988, 1), (1990, 1),
         (1991, 1), (1992, 7), (1993, 7), (1994, 7), (1996, 1), (1997, 7),
         (1999, 1), (2006, 1), (2009, 1), (2012, 7), (2015, 7), (2017, 1)]
DAY_S = 86400


def jd_parts(reading):
    return erfa.dtf2d("UTC", *reading)


def offset(year, month, day, clock):
    """TAI - UTC is 19 s ahead of GPST - UTC throughout."""
    seconds = clock[0] * 3600 + clock[1] * 60 + min(clock[2], 59.5)
    whole = erfa.dat(year, month, day, seconds / DAY_S) - 19
    text = f"{year} {month} {day} {clock[0]} {clock[1]} {clock[2]!r}"
    return Question(f"gps_minus_utc {text}", (float(whole),), "pyerfa",
                    ", dat - 19 s", (0.0,), "whole seconds")


def gpst(year, month, day, clock):
    tai = erfa.utctai(*jd_parts((year, month, day, *clock)))
    epoch = sum(erfa.cal2jd(1980, 1, 6))
    # The big part is a whole number of half days, the small one is exact to
    # picoseconds.
    days, half = divmod(round((tai[0] - epoch) * 2), 2)
    seconds = half * (DAY_S / 2) + tai[1] * DAY_S - 19
    days += int(seconds // DAY_S)
    seconds %= DAY_S
    text = f"{year} {month} {day} {clock[0]} {clock[1]} {clock[2]!r}"
    return Question(f"gpst {text}", (float(days), seconds),
                    "pyerfa", ", dtf2d, utctai", (0.0, 1e-9),
                    "s, the nanosecond that an instant holds")


def mjd(scale, year, month, day, clock):
    date = erfa.cal2jd(year, month, day)[1]
    part = erfa.tf2d("+", clock[0], clock[1], clock[2])
    text = f"{year} {month} {day} {clock[0]} {clock[1]} {clock[2]!r}"
    return Question(f"mjd {scale} {text}", (float(date + part),), "pyerfa",
                    ", cal2jd, tf2d", (1.5e-11,),
                    "days, two roundings of a double at 60000")


def time(count=6):
    dice = random.Random(13)
    asked = []
    for year, month in LEAPS:
        eve = (year, 6, 30) if month == 7 else (year - 1, 12, 31)
        for clock in ((23, 59, 59.25), (23, 59, 60.5)):
            asked += [offset(*eve, clock), gpst(*eve, clock)]
        asked += [offset(year, month, 1, (0, 0, 0.0)),
                  gpst(year, month, 1, (0, 0, 0.0))]
    for _ in range(count):
        # Days after 1980-01-06; none is a leap second's.
        date = (dice.randint(1981, 2030), dice.randint(1, 12),
                dice.randint(2, 28))
        clock = (dice.randint(0, 23), dice.randint(0, 59),
                 round(dice.uniform(0, 59.99), 6))
        asked += [offset(*date, clock), gpst(*date, clock)]
        asked += [mjd(s, *date, clock) for s in ("gps", "utc", "tai", "beidou")]
    return asked
