"""A tiny invented sky as RINEX observations, navigation and SP3 text.

24 GPS-like satellites on circular orbits, an antenna at 47.3 N 8.9 E: small
enough to damage a hundred times, true enough that `locate` answers when
nothing is damaged.
"""
import datetime
import math

MU, OMEGA_E, C = 3.986005e14, 7.2921151467e-5, 299792458.0
RADIUS_M, INCLINATION = 26560e3, math.radians(55)
START = datetime.datetime(2024, 5, 8, 10, 0, 0)
TOW_S = 3 * 86400 + 10 * 3600
WEEK = 2313
# Six planes of four: (number, node [rad], mean anomaly [rad]).
SATELLITES = [(4 * plane + slot + 1, math.radians(60 * plane),
               math.radians(90 * slot + 15 * plane))
              for plane in range(6) for slot in range(4)]


def antenna_ecef_m():
    lat, lon, height = math.radians(47.3), math.radians(8.9), 512.0
    e2 = 6.69437999014e-3
    n = 6378137.0 / math.sqrt(1 - e2 * math.sin(lat) ** 2)
    return ((n + height) * math.cos(lat) * math.cos(lon),
            (n + height) * math.cos(lat) * math.sin(lon),
            (n * (1 - e2) + height) * math.sin(lat))


def satellite_ecef_m(node, mean, seconds):
    """Seconds count from START; a circular orbit has no other terms."""
    u = mean + math.sqrt(MU / RADIUS_M ** 3) * seconds
    x, y = RADIUS_M * math.cos(u), RADIUS_M * math.sin(u)
    turn = node - OMEGA_E * (seconds + TOW_S)
    return (x * math.cos(turn) - y * math.cos(INCLINATION) * math.sin(turn),
            x * math.sin(turn) + y * math.cos(INCLINATION) * math.cos(turn),
            y * math.sin(INCLINATION))


def code_range_m(node, mean, seconds):
    here, flight = antenna_ecef_m(), 0.07
    for _ in range(4):
        x, y, z = satellite_ecef_m(node, mean, seconds - flight)
        turn = OMEGA_E * flight
        there = (x * math.cos(turn) + y * math.sin(turn),
                 y * math.cos(turn) - x * math.sin(turn), z)
        flight = math.dist(here, there) / C
    # A zenith delay of 2.4 m, mapped by the elevation's sine.
    away = [t - h for t, h in zip(there, here)]
    sine = sum(a * h for a, h in zip(away, here)) / (
        math.hypot(*away) * math.hypot(*here))
    return flight * C + 2.4 / max(sine, 0.1) if sine > 0.08 else None


def labelled(text, label):
    return f"{text:60}{label}\n"


def observations(epochs=20):
    x, y, z = antenna_ecef_m()
    lines = [labelled("     3.05           OBSERVATION DATA    G: GPS",
                      "RINEX VERSION / TYPE"),
             labelled("LHOL", "MARKER NAME"),
             labelled("1                   SPDEMO-A1           NONE",
                      "ANT # / TYPE"),
             labelled(f"{x:14.4f}{y:14.4f}{z:14.4f}", "APPROX POSITION XYZ"),
             labelled(f"{0:14.4f}{0:14.4f}{0:14.4f}",
                      "ANTENNA: DELTA H/E/N"),
             labelled("G    4 C1C C2W S1C S2W", "SYS / # / OBS TYPES"),
             labelled(f"{30:10.3f}", "INTERVAL"),
             labelled("  2024     5     8    10     0    0.0000000     GPS",
                      "TIME OF FIRST OBS"),
             labelled("", "END OF HEADER")]
    for epoch in range(epochs):
        when = START + datetime.timedelta(seconds=30 * epoch)
        rows = []
        for number, node, mean in SATELLITES:
            metres = code_range_m(node, mean, 30 * epoch)
            if metres:
                # Two frequencies: a slant ionosphere of 4 m on the first.
                rows.append(f"G{number:02d}{metres + 4:14.3f}  "
                            f"{metres + 4 * 1.6469:14.3f}  "
                            f"{45:14.3f}  {40:14.3f}  \n")
        lines.append(f"> {when:%Y %m %d %H %M} {when.second:10.7f}"
                     f"  0{len(rows):3d}\n")
        lines += rows
    return "".join(lines).encode()


def navigation():
    def row(*values):
        return "    " + "".join(f"{v:19.12e}" for v in values) + "\n"

    lines = [labelled("     3.05           N: GNSS NAV DATA    G: GPS",
                      "RINEX VERSION / TYPE"),
             labelled("    18", "LEAP SECONDS"),
             labelled("", "END OF HEADER")]
    for number, node, mean in SATELLITES:
        # toe is START; the node is counted from the week's beginning.
        lines.append(f"G{number:02d} {START:%Y %m %d %H %M %S}" +
                     "".join(f"{v:19.12e}" for v in (0, 0, 0)) + "\n")
        lines += [row(1, 0, 0, mean), row(0, 0, 0, math.sqrt(RADIUS_M)),
                  row(TOW_S, 0, node, 0), row(INCLINATION, 0, 0, 0),
                  row(0, 1, WEEK, 0), row(2, 0, 0, 1), row(TOW_S, 4)]
    return "".join(lines).encode()


def orbits(epochs=16):
    begin = START - datetime.timedelta(minutes=105)
    names = [f"G{n:02d}" for n, _, _ in SATELLITES]
    names += ["  0"] * (85 - len(names))

    def stamp(when):
        return (f"{when.year:4d} {when.month:2d} {when.day:2d} {when.hour:2d} "
                f"{when.minute:2d} {when.second:11.8f}")

    lines = [f"#cP{stamp(begin)} {epochs:7d} CODE  IGS20 FIT  DEMO\n",
             f"## {WEEK} {TOW_S - 6300:15.8f} {900:14.8f} 60438 0.4\n"]
    for row in range(5):
        count = f"{len(SATELLITES):3d}" if row == 0 else "   "
        lines.append(f"+  {count}   {''.join(names[17 * row:17 * row + 17])}\n")
    lines += [f"++       {'  0' * 17}\n"] * 5
    lines += ["%c G  cc GPS ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n",
              "%c cc cc ccc ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc\n",
              "%f  0.0000000  0.000000000  0.00000000000  0.000000000000000\n",
              "%f  0.0000000  0.000000000  0.00000000000  0.000000000000000\n",
              "%i    0    0    0    0      0      0      0      0         0\n",
              "%i    0    0    0    0      0      0      0      0         0\n",
              "/* invented satellites\n"] + ["/*\n"] * 3
    for epoch in range(epochs):
        when = begin + datetime.timedelta(minutes=15 * epoch)
        lines.append(f"*  {stamp(when)}\n")
        for number, node, mean in SATELLITES:
            seconds = 900 * epoch - 6300
            x, y, z = satellite_ecef_m(node, mean, seconds)
            lines.append(f"PG{number:02d}{x / 1e3:14.6f}{y / 1e3:14.6f}"
                         f"{z / 1e3:14.6f}{0:14.6f}\n")
    return "".join(lines + ["EOF\n"]).encode()
