"""Live: what we write, read by others.

Navigation files: georinex reads the original and ours in 3.05 and 2.11. Ours
in 4.02 is read by nmbu-rinex and by navigation_text.py, the original by the
latter alone. Precise orbits: georinex reads original and ours (not
version a: it wants a zero before the point).
"""
import io
import pathlib
import tempfile
import unittest

import navigation_text
import support
from navigation import filled

MIXED = "esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz"
VERSION4 = "days/BRD400DLR_S_20230710000_01D_MN.rnx.gz"
LIBRARY = {
    "mixed": MIXED,
    "galileo": "days/NYA100NOR_S_20241270000_01D_EN.rnx.gz",
    "gps": "days/NYA100NOR_S_20241270000_01D_GN.rnx.gz",
}
SP3 = {
    "five_minutes": "sio-2024-328/WUM0MGXRAP_20243280000_01D_05M_ORB.SP3.gz",
    "quarter_hours": "esbc-2020-177/GRG0MGXFIN_20201770000_01D_15M_ORB.SP3.gz",
    "missing_clocks":
        "esbc-2020-177/COD0MGXFIN_20201770000_01D_05M_ORB.SP3.gz",
}
# Not held, or spare.
LEFT_OUT = ("spare", "CodesL2", "L2Pflag", "AgeOpInfo")


def rewritten(*words):
    return support.dump(*words, program="rewrite_files")


def filled2(text):
    """As filled(), for version 2."""
    head, mark, body = text.partition("END OF HEADER")
    lines = body.split("\n")
    for index, line in enumerate(lines[1:], 1):
        if line.startswith("   ") and line.strip():
            lines[index] = "   " + "".join(
                f"{line[3 + 19 * k:22 + 19 * k].strip() or '0.0D+00':>19}"
                for k in range(4))
    return head + mark + "\n".join(lines)


def library_sets(text, systems):
    """{(satellite, time): [{name: value}]} of the RINEX library."""
    import georinex.nav2
    import georinex.nav3
    sets = {}
    for system in systems:
        if float(text[:9]) < 3:
            table = georinex.nav2.rinexnav2(io.StringIO(filled2(text)))
        else:
            table = georinex.nav3.rinexnav3(io.StringIO(filled(text)),
                                            use={system})
        names = [n for n in table if not n.startswith(LEFT_OUT)]
        columns = [table[n].values for n in names]
        for i, time in enumerate(table.time.values.astype("datetime64[s]")):
            for j, sat in enumerate(table.sv.values):
                row = {n: float(c[i, j]) for n, c in zip(names, columns)}
                if row["SVclockBias"] == row["SVclockBias"]:
                    if row.get("FitIntvl") == 0 or system == "J":
                        row["FitIntvl"] = 4.0  # nothing said: the usual one
                    sets.setdefault((str(sat)[:3], str(time)), []).append(row)
    return sets


def version4_records(text, most):
    """navigation_text.read() by the version 4 library: at most so many of each
    message and system. Its record classes are called one by one: its reader
    of files keeps one set a satellite and time, and stops at NeQuick's."""
    from nmbu.rinex.common import normalize_data_string
    from nmbu.rinex.navigation.v4 import navigation
    start = getattr(navigation, "__read_start_line")
    count, found = {}, []
    for head, lines in navigation_text.records(text):
        _, kind, sat, message = head.split()
        count[sat[0], message] = count.get((sat[0], message), 0) + 1
        if kind != "EPH" or count[sat[0], message] > most:
            continue
        record, _, size = start(head)
        record.read_epoch_line(lines[0].ljust(80) + "\n")
        rows = [normalize_data_string(line.ljust(80) + "\n")
                for line in lines[1:size + 1]]
        if sat[0] == "E":
            rows[4] = rows[4][:57]  # its table lacks the spare behind the week
        record.read_lines(rows)
        names = [n for n in navigation_text.TABLES[f"{sat[0]} {message}"]
                 if n != "-"]
        first = [v for n, v in vars(record).items()
                 if n.startswith(("clock", "relative", "msg"))]
        values = first + [v for n, v in vars(record.orbit_data).items()
                          if not n.startswith(("spare", "blank"))]
        values = [None if v != v else float(v) for v in values]
        found.append((sat, message, lines[0][4:23], dict(zip(names, values))))
    return found


def differences(ours, theirs):
    values, wrong = 0, []
    for key in sorted(ours.keys() | theirs.keys()):
        left = list(theirs.get(key, ()))
        for row in ours.get(key, ()):
            best = min(left, default=None, key=lambda other, row=row: sum(
                row[n] != other[n] for n in row))
            if best is None:
                wrong.append(f"{key}: only ours")
                continue
            left.remove(best)
            values += len(row)
            wrong += [f"{key} {n}: ours {row[n]}, theirs {best[n]}"
                      for n in row if row[n] != best[n]]
        wrong += [f"{key}: only theirs"] * len(left)
    return values, wrong


# Our second reader's names beside georinex's, in the order of the records.
KEPLER = ("af0 SVclockBias af1 SVclockDrift af2 SVclockDriftRate Crs Crs "
          "DeltaN DeltaN M0 M0 Cuc Cuc e Eccentricity Cus Cus sqrtA sqrtA "
          "Toe Toe Cic Cic Omega0 Omega0 Cis Cis i0 Io Crc Crc omega omega "
          "OmegaDot OmegaDot IDOT IDOT Sent TransTime").split()
STATE = ("X X dX dX ddX dX2 Health health Y Y dY dY ddY dY2 Z Z dZ dZ "
         "ddZ dZ2").split()
LNAV = "IODE IODE Week GPSWeek URA SVacc Health health TGD TGD IODC IODC"
NAMES = {
    "G": KEPLER + (LNAV + " Fit FitIntvl").split(), "J": KEPLER + LNAV.split(),
    "I": KEPLER + ("IODEC IODEC Week BDTWeek URA URA Health health TGD TGD"
                   ).split(),
    "E": KEPLER + ("IODnav IODnav Sources DataSrc Week GALWeek SISA SISA "
                   "Health health BGDa BGDe5a BGDb BGDe5b").split(),
    "C": KEPLER + ("AODE AODE Week BDTWeek URA SVacc Health SatH1 TGD1 TGD1 "
                   "TGD2 TGD2 AODC AODC").split(),
    "R": STATE + ("-TauN SVclockBias GammaN SVrelFreqBias Frame "
                  "MessageFrameTime Channel FreqNum").split(),
    "S": STATE + ("af0 SVclockBias af1 SVrelFreqBias Sent MessageFrameTime "
                  "URA URA IODN IODN").split()}


def library_differences(sets, records):
    """georinex's sets of ours against our second reader's of the input."""
    values, wrong = 0, []
    for sat, message, time, numbers in records:
        year, month, day, *clock = time.split()
        key = sat, f"{year}-{month}-{day}T" + ":".join(clock)
        names = NAMES[sat[0]]
        pairs = list(zip(names[::2], names[1::2]))

        def off(row, numbers=numbers, pairs=pairs):
            # Kilometres there are metres here; blank there is zero.
            return [(a, numbers[a], row[b]) for a, b in pairs
                    if row[b] != (numbers[a] or 0) *
                    (1000 if a.strip("d") in ("X", "Y", "Z") else 1)]
        best = min((off(row) for row in sets.get(key, ())), key=len,
                   default=[("set", sat, None)])
        values += len(pairs)
        wrong += [f"{key} {message} {n}: input {a}, read {b}"
                  for n, a, b in best]
    return values, wrong


def sp3_differences(ours, theirs):
    """(values, texts of what differs) of two files, read by georinex."""
    import georinex.sp3
    import numpy
    new, old = (georinex.sp3.load_sp3(path, None) for path in (ours, theirs))
    wrong = [f"{name}: {getattr(new, name)}, {getattr(old, name)}"
             for name in ("Nepoch", "coord_sys", "agency")
             if str(getattr(new, name)).strip() !=
             str(getattr(old, name)).strip()]
    if list(new.sv.values) != list(old.sv.values):
        wrong.append("satellites")
    if list(new.time.values) != list(old.time.values):
        wrong.append("epochs")
    values = 0
    for name in ("position", "clock"):
        if not wrong:
            off = new[name].values != old[name].values
            values += off.size
            wrong += [name] * int(numpy.count_nonzero(off))
    return values, wrong


class Written(unittest.TestCase):
    def good(self, name, compared, least):
        values, wrong = compared
        print(f"{name}: {values} values, {len(wrong)} differ", flush=True)
        self.assertEqual(wrong[:20], [])
        self.assertGreater(values, least)

    def check_library(self, relative):
        path = support.data(relative)
        old = support.unpacked(path).decode("ascii")
        new = rewritten("navigation", path, "305")
        systems = sorted({line[0] for line in new.partition(
            "END OF HEADER")[2].splitlines() if line[:1] in tuple("GRECJSI")})
        ours = library_sets(new, systems)
        self.good(path.name + " 3.05",
                  differences(ours, library_sets(old, systems)), 5000)
        some = next(iter(ours.values()))[0]
        some["SVclockBias"] += 1e-18
        self.assertEqual(len(differences(
            ours, library_sets(old, systems))[1]), 1)

    def test_gps_of_version_2(self):
        path = support.data("days/brdc0200.05n.gz")
        self.good(path.name + " 2.11", differences(
            library_sets(rewritten("navigation", path, "211", "G"), "G"),
            library_sets(support.unpacked(path).decode("ascii"), "G")), 10000)

    def test_glonass_of_version_2(self):
        """Against version 3 of the same: the message frame's time counts from
        the beginning of the day there."""
        path = support.data(MIXED)
        theirs = library_sets(support.unpacked(path).decode("ascii"), "R")
        for rows in theirs.values():
            for row in rows:
                row["MessageFrameTime"] %= 86400
        ours = library_sets(rewritten("navigation", path, "211", "R"), "R")
        self.good(path.name + " 2.11 R", differences(ours, theirs), 5000)

    def test_version_4(self):
        path = support.data(VERSION4)
        old = navigation_text.read(support.unpacked(path).decode("ascii"))
        new = navigation_text.read(rewritten("navigation", path, "402"))
        # Of the ionosphere's sets one of each system is written.
        kinds = [r[1] for r in new if r[1].startswith("ION")]
        self.assertEqual(sorted(kinds),
                         ["ION D1D2", "ION IFNV"] + ["ION LNAV"] * 3)
        for record in new:
            if record[1].startswith("ION"):
                self.assertIn(
                    [v for v in record[3].values() if v is not None],
                    [[v for v in r[3].values() if v is not None]
                     for r in old if r[1].startswith("ION")])

        def is_set(record):
            return not record[1].startswith("ION")
        ours = [r for r in new if is_set(r)]
        self.good(path.name + " 4.02",
                  navigation_text.differences(ours, old, is_set), 400000)
        order = [navigation_text.sort_key(r, {"R": 18, "C": 14})
                 for r in ours]
        self.assertTrue(order == sorted(order))
        ours[100][3]["Omega0" if "Omega0" in ours[100][3] else "X"] += 1e-12
        self.assertEqual(len(navigation_text.differences(
            ours, old, is_set)[1]), 1)

    def test_version_4_by_the_library(self):
        path = support.data(VERSION4)
        ours = version4_records(rewritten("navigation", path, "402"), 60)
        self.assertEqual(len({(r[0][0], r[1]) for r in ours}), 14)
        keys = {r[:3] for r in ours}
        old = navigation_text.read(support.unpacked(path).decode("ascii"))
        # Where one key has two sets only one of them may be among ours.
        values, wrong = navigation_text.differences(
            ours, old, lambda r: r[:3] in keys)
        wrong = [w for w in wrong if not w.endswith("only theirs")]
        self.good(path.name + " 4.02, library", (values, wrong), 20000)

    def test_version_4_in_version_3(self):
        path = support.data(VERSION4)
        old = navigation_text.read(support.unpacked(path).decode("ascii"))
        new = navigation_text.read(rewritten("navigation", path, "305"))
        kept = ("LNAV", "INAV", "FNAV", "D1", "D2", "FDMA", "SBAS")
        self.good(path.name + " 3.05", navigation_text.differences(
            new, old, lambda r: r[1] in kept), 300000)

    def check_sp3(self, relative):
        path = support.data(relative)
        with tempfile.TemporaryDirectory() as folder:
            old, new = (pathlib.Path(folder, n) for n in ("old", "new"))
            old.write_bytes(support.unpacked(path))
            text = rewritten("sp3", path)
            new.write_text(text, "ascii")
            self.good(path.name, sp3_differences(new, old), 5000)
            # One digit of one clock.
            at = text.rindex("PG") + 59
            new.write_text(text[:at] + chr(ord(text[at]) ^ 1) + text[at + 1:],
                           "ascii")
            self.assertEqual(sp3_differences(new, old)[1], ["clock"])


for _name, _file in LIBRARY.items():
    setattr(Written, f"test_{_name}",
            lambda self, f=_file: self.check_library(f))
for _name, _file in SP3.items():
    setattr(Written, f"test_sp3_{_name}",
            lambda self, f=_file: self.check_sp3(f))

if __name__ == "__main__":
    support.main()
