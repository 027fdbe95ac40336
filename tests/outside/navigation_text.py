"""A second reader of RINEX navigation files 3.05 and 4.0x, by names of fields.

Shares nothing with ours: the tables below were written from the standard's
(3.05 and 4.02, tables of the navigation messages; CNAV, CNV1 to CNV3 from
memory). "-" is a spare field. Values are numbers or None for blank.
"""
import datetime

ORBIT = ("Crs DeltaN M0 Cuc e Cus sqrtA", "Cic Omega0 Cis i0 Crc omega OmegaDot")


def kepler(first, third, *rest):
    """Four fields a line behind the clock's three."""
    return ["af0", "af1", "af2", first, *ORBIT[0].split(), third,
            *ORBIT[1].split(), *" ".join(rest).split()]


LNAV = kepler("IODE", "Toe", "IDOT CodesL2 Week L2P URA Health TGD IODC",
              "Sent Fit - -")
NAVIC = kepler("IODEC", "Toe", "IDOT - Week - URA Health TGD -", "Sent - - -")
GALILEO = kepler("IODnav", "Toe", "IDOT Sources Week - SISA Health BGDa BGDb",
                 "Sent - - -")
BEIDOU = kepler("AODE", "Toe", "IDOT - Week - URA Health TGD1 TGD2",
                "Sent AODC - -")
CNAV = kepler("ADot", "top", "IDOT DnDot NED0 NED1 ED Health TGD NED2",
              "L1CA L2C L5I5 L5Q5")
BCNAV = kepler("ADot", "Toe", "IDOT DnDot SatType top",
               "SISAIoe SISAIocb SISAIoc1 SISAIoc2")
GLONASS = ("-TauN GammaN Frame X dX ddX Health Y dY ddY Channel Z dZ ddZ Age "
           "Status L2L1 FT Flags").split()
SBAS = "af0 af1 Sent X dX ddX Health Y dY ddY URA Z dZ ddZ IODN".split()
TABLES = {
    "G LNAV": LNAV, "J LNAV": LNAV, "I LNAV": NAVIC,
    "E INAV": GALILEO, "E FNAV": GALILEO, "C D1": BEIDOU, "C D2": BEIDOU,
    "G CNAV": CNAV + "Sent wnop - -".split(),
    "G CNV2": CNAV + "L1Cd L1Cp - - Sent wnop - -".split(),
    "C CNV1": BCNAV + ("B1Cd - TGDB1Cp TGDB2ap SISMAI Health Integrity IODC "
                       "Sent - - IODE").split(),
    "C CNV2": BCNAV + ("- B2ad TGDB1Cp TGDB2ap SISMAI Health Integrity IODC "
                       "Sent - - IODE").split(),
    "C CNV3": BCNAV + "SISMAI Health Integrity TGDB2bI Sent - - -".split(),
    "R FDMA": GLONASS, "S SBAS": SBAS,
    "ION K": "a0 a1 a2 a3 b0 b1 b2 b3 Region - - -".split()[:9],
    "ION E": "ai0 ai1 ai2 Storm".split(),
}
TABLES["J CNAV"], TABLES["J CNV2"] = TABLES["G CNAV"], TABLES["G CNV2"]
UNKNOWN = .999999999999e9
# What our values do not hold (navigation_writer.h).
NOT_HELD = {"CodesL2", "L2P", "top", "wnop", "NED1", "NED2", "SatType",
            "SISAIoe", "SISAIocb", "SISAIoc1", "SISAIoc2", "SISMAI",
            "Integrity", "Status", "Age"}


def number(text):
    text = text.strip().replace("D", "e").replace("d", "e")
    return float(text) if text else None


def fields(lines, names):
    """{name: value} of a record's lines; the first holds three fields."""
    columns = [(0, 23 + 19 * k) for k in range(3)]
    columns += [(row, 4 + 19 * k) for row in range(1, 12) for k in range(4)]
    values = {}
    for name, (row, at) in zip(names, columns):
        line = lines[row] if row < len(lines) else ""
        if name != "-":
            values[name] = number(line[at:at + 19])
        elif line[at:at + 19].strip(" 0.eEdD+"):
            values[f"spare {row}"] = number(line[at:at + 19])
    return values


def old_message(head, values):
    """Of version 3: the standard leaves it to the satellite and the word."""
    letter, prn = head[0], int(head[1:3])
    if letter == "E":
        return "FNAV" if int(values["Sources"]) & 0x102 == 0x102 else "INAV"
    return {"C": "D2" if prn < 6 or prn > 58 else "D1", "R": "FDMA",
            "S": "SBAS"}.get(letter, "LNAV")


def records(text):
    """Yields the head ("" in version 3) and the lines of every record."""
    head, mark, body = text.partition("END OF HEADER")
    assert mark and 3 <= float(head[:9]) < 5
    current = None
    for line in body.splitlines()[1:]:
        if line[:1] not in ("", " "):
            if line[0] == ">" or not (current and current[1] == []):
                if current:
                    yield current
                current = [line if line[0] == ">" else "", []]
            if line[0] == ">":
                continue
        if current:
            current[1].append(line)
    if current:
        yield current


def read(text):
    """[(satellite, message, time, {name: value})] in the file's order;
    "ION" records with their kind as message."""
    found = []
    for head, lines in records(text):
        kind, sat, message = (head[2:].split() + [""])[:3] if head else (
            "EPH", lines[0][:3], "")
        if kind == "ION":
            names = TABLES["ION E" if message == "IFNV" else "ION K"]
            if message == "CNVX" and sat[0] == "C":
                continue
            found.append((sat, "ION " + message, lines[0][4:23],
                          fields(lines, names)))
        if kind == "EPH":
            table = TABLES[f"{sat[0]} " + (message or {
                "E": "INAV", "C": "D1", "R": "FDMA", "S": "SBAS"
            }.get(sat[0], "LNAV"))]
            values = fields(lines, table)
            found.append((sat, message or old_message(lines[0], values),
                          lines[0][4:23], values))
    return found


def comparable(values, message):
    """Without what is not held, and alike what means the same."""
    kept = {k: v for k, v in values.items() if k not in NOT_HELD}
    if "ED" in kept:
        # The two come back as a pair, the larger one first.
        pair = sorted([kept.pop("ED"), kept.pop("NED0")])
        kept["NED0"], kept["ED"] = pair
    if "Fit" in kept and (message != "LNAV" or kept["Fit"] in (0, None)):
        kept["Fit"] = 4.0
    if message == "FNAV":
        kept["BGDb"] = kept["BGDb"] or None
    if message == "FDMA" and "Flags" in kept:
        # "An almanac says healthy" is not held, "unhealthy" is.
        flags = int(kept["Flags"] or 0)
        kept["Flags"] = float(flags & 4) + (2.0 if flags & 3 == 2 else 0.0)
        if not abs(kept["L2L1"] or 0) < 1:
            kept["L2L1"] = UNKNOWN  # .9999E+09 is met too
    return kept


def key(record):
    return record[:3]


def differences(ours, theirs, held=lambda record: True):
    """(values compared, texts of what differs) of two readings. Of several
    records with one key the most alike ones are compared."""
    left, values, wrong = {}, 0, []
    for record in theirs:
        if held(record):
            left.setdefault(key(record), []).append(record[3])
    for record in ours:
        own = comparable(record[3], record[1])
        choice = left.get(key(record), [])

        def off(other, own=own, message=record[1]):
            other = comparable(other, message)
            return [(n, own.get(n), other.get(n))
                    for n in sorted(own.keys() | other.keys())
                    if own.get(n) != other.get(n)]
        best = min(choice, key=lambda o: len(off(o)), default=None)
        if best is None:
            wrong.append(f"{key(record)}: only ours")
            continue
        choice.remove(best)
        values += len(own)
        wrong += [f"{key(record)} {n}: ours {a}, theirs {b}"
                  for n, a, b in off(best)]
    wrong += [f"{k}: only theirs" for k, rest in left.items() for _ in rest]
    return values, wrong


def sort_key(record, ahead_s):
    """Order of our files: instant, system, number, message."""
    order = "GRECJSI".index(record[0][0])
    messages = ("D1 D2 CNV1 CNV2 CNV3" if record[0][0] == "C" else
                "LNAV CNAV CNV2 INAV FNAV FDMA SBAS").split()
    when = datetime.datetime.strptime(record[2], "%Y %m %d %H %M %S")
    when += datetime.timedelta(seconds=ahead_s.get(record[0][0], 0))
    return when, order, record[0], messages.index(record[1])

