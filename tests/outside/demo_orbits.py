"""Invented navigation and orbit files of the demo's world.

Every message of version 4.02 with random numbers in every field, what we do not
keep included; nothing is a sky. freeze_orbits.py writes them to
tests/vectors/outside once; the checks read the files, not this program.
"""
import random

from navigation_text import TABLES

TOW_S, WEEK = 295200.0, 2313  # 2024-05-08 10:00:00 of every system's own clock
PER_MESSAGE = 3
SATELLITES = {"G": (3, 7, 31), "R": (1, 9, 24), "E": (2, 11, 36),
              "C": (2, 19, 60), "J": (2, 3, 4), "S": (20, 23, 36),
              "I": (2, 6, 9)}
RANGES = {
    "af0": 1e-3, "af1": 1e-11, "af2": 1e-18, "Crs": 200, "DeltaN": 5e-9,
    "M0": 3, "Cuc": 1e-5, "Cus": 1e-5, "Cic": 2e-7, "Omega0": 3, "Cis": 2e-7,
    "Crc": 300, "omega": 3, "OmegaDot": 9e-9, "IDOT": 1e-9, "TGD": 1e-8,
    "TGD1": 1e-8, "TGD2": 1e-8, "BGDa": 1e-8, "BGDb": 1e-8, "ADot": 0.02,
    "DnDot": 1e-13, "TGDB1Cp": 1e-8, "TGDB2ap": 1e-8, "TGDB2bI": 1e-8,
    "L1CA": 1e-8, "L2C": 1e-8, "L5I5": 1e-8, "L5Q5": 1e-8, "L1Cd": 1e-8,
    "L1Cp": 1e-8, "B1Cd": 1e-8, "B2ad": 1e-8, "-TauN": 1e-4, "GammaN": 1e-11,
    "dX": 3, "dY": 3, "dZ": 3, "ddX": 2e-9, "ddY": 2e-9, "ddZ": 2e-9,
    "L2L1": 1e-8}
WHOLE = {"IODE": 256, "IODEC": 256, "IODnav": 1024, "AODE": 32, "IODC": 1024,
         "AODC": 32, "Health": 4, "CodesL2": 4, "L2P": 2, "SatType": 4,
         "SISAIoe": 9, "SISAIocb": 9, "SISAIoc1": 5, "SISAIoc2": 5,
         "SISMAI": 4, "Integrity": 8, "Age": 3, "Status": 200, "IODN": 256}


def number(value):
    return " " * 19 if value is None else f"{value:19.12E}"


def value(dice, name, head):
    """One field of a message, e.g. head = "G LNAV"."""
    beidou = head[0] == "C"
    fixed = {
        "e": dice.uniform(0, 0.02), "i0": dice.uniform(0.1, 1.1),
        "sqrtA": dice.uniform(5100, 6500), "Toe": TOW_S, "top": TOW_S - 9000,
        "Week": WEEK - 1356 if beidou else WEEK, "wnop": WEEK,
        "URA": dice.choice((2, 2.8, 4, 8)), "SISA": dice.choice((3.12, -1)),
        "Sent": TOW_S + dice.choice((-1218, 18, 48)),
        "Frame": TOW_S - dice.choice((30, 870)),
        "Fit": dice.choice((4, 6)) if head[0] == "G" else 0,
        "Sources": 258 if head == "E FNAV" else 517,
        "NED0": dice.randint(-9, 3), "NED1": dice.randint(0, 7),
        "NED2": dice.randint(0, 7), "ED": dice.randint(-9, 3),
        "Channel": dice.randint(-7, 6), "FT": dice.randint(0, 15),
        "Flags": dice.choice((0, 2, 3, 4, 7)),
        "X": dice.uniform(14000, 20000), "Y": dice.uniform(-16000, 16000),
        "Z": dice.uniform(-9000, 9000)}
    if name == "BGDb" and head == "E FNAV":
        return None
    if name in fixed:
        return fixed[name]
    if name in WHOLE:
        return dice.randrange(WHOLE[name])
    return dice.uniform(-RANGES[name], RANGES[name])


def record(dice, head, sat):
    names = TABLES[head]
    fields = [number(None if n == "-" else value(dice, n, head))
              for n in names]
    lines = [f"> EPH {sat} {head[2:]}",
             f"{sat} 2024 05 08 10 00 00" + "".join(fields[:3])]
    for begin in range(3, len(fields), 4):
        lines.append("    " + "".join(fields[begin:begin + 4]))
    return "".join(f"{line:80}".rstrip() + "\n" for line in lines)


def navigation():
    dice = random.Random(402)
    text = (f"{'     4.02           NAVIGATION DATA     M: MIXED':60}"
            "RINEX VERSION / TYPE\n"
            f"{'demo_orbits.py      LHOL':60}PGM / RUN BY / DATE\n"
            f"{'    18':60}LEAP SECONDS\n{'':60}END OF HEADER\n"
            "> ION G07 LNAV\n    2024 05 08 09 39 42"
            + "".join(map(number, (1.1e-8, 2.2e-8, -3.3e-8))) + "\n    "
            + "".join(map(number, (-1.2e-7, 1.3e5, 6.5e4, -1.9e5))) + "\n    "
            + number(-3.9e5) + "\n")
    for head in TABLES:
        if head[:3] == "ION":
            continue
        for n, prn in zip(range(PER_MESSAGE), SATELLITES[head[0]]):
            if head in ("C D1", "C D2") and (prn in (2, 60)) != (head == "C D2"):
                continue  # version 3 knows the message by the satellite
            text += record(dice, head, f"{head[0]}{prn:02d}")
    return text


def orbits():
    dice = random.Random(3)
    names = [f"{s}{n:02d}" for s in "GREC" for n in range(1, 12)]
    lines = ["#dP2024  5  8  0  0  0.00000000      10 ORBIT IGS20 FIT LHOL",
             "## 2313 259200.00000000   900.00000000 60438 0.0000000000000"]
    for begin in range(0, 85, 17):
        some = names[begin:begin + 17]
        lines.append(("+   44   " if begin == 0 else "+        ")
                     + "".join(some) + "  0" * (17 - len(some)))
    lines += ["++       " + "  0" * 17] * 5
    lines += ["%c M  cc GPS ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc",
              "%c cc cc ccc ccc cccc cccc cccc cccc ccccc ccccc ccccc ccccc",
              "%f  1.2500000  1.025000000  0.00000000000  0.000000000000000",
              "%f  0.0000000  0.000000000  0.00000000000  0.000000000000000",
              "%i    0    0    0    0      0      0      0      0         0",
              "%i    0    0    0    0      0      0      0      0         0",
              "/* invented; see demo_orbits.py", "/*", "/*", "/*"]
    for epoch in range(10):
        lines.append(f"*  2024  5  8 {epoch // 4:2d} {epoch % 4 * 15:2d}"
                     "  0.00000000")
        for name in names:
            place = [dice.uniform(-29e3, 29e3) for _ in range(3)]
            clock = dice.uniform(-900, 900)
            if dice.random() < 0.05:
                place = [0.0] * 3
            if dice.random() < 0.05:
                clock = 999999.999999
            flags = ""
            if dice.random() < 0.2:
                flags = " " * 14 + dice.choice("E ") + "P  " + \
                    dice.choice("M ") + "P"
                if clock > 9e5:
                    flags = flags[:15] + " " + flags[16:]
            lines.append((f"P{name}" + "".join(f"{v:14.6f}" for v in place) +
                          f"{clock:14.6f}{flags}").rstrip())
    return "\n".join(lines) + "\nEOF\n"
