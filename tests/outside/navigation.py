"""Live: our navigation reader against the RINEX library, set by set.

Every broadcast number that both name is compared. Differences of meaning that
are no errors of either: the library's times are those of the file (BeiDou's
time is 14 s behind GPST, GLONASS files are in UTC) and it multiplies kilometres
by 1000 in floating point, as we do. It refuses sets with blank spare fields,
which the standard allows: it gets them filled with zeros.
"""
import datetime
import io
import pathlib
import sys
import tempfile
import unittest

import support

REAL = {
    "esbc_mixed": ("esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz", 18),
    "usno_gps": ("days/brdc0200.05n.gz", 13),
    "nya1_galileo": ("days/NYA100NOR_S_20241270000_01D_EN.rnx.gz", 18),
    "nya1_gps": ("days/NYA100NOR_S_20241270000_01D_GN.rnx.gz", 18),
}
KEPLER = ("Toe SVclockBias SVclockDrift SVclockDriftRate Crs DeltaN M0 Cuc "
          "Eccentricity Cus sqrtA Cic Omega0 Cis Io Crc omega OmegaDot IDOT"
          ).split()
# Issue of data, health, group delays by the library's names.
OTHERS = {"G": ("IODE", "health", "TGD", None),
          "J": ("IODE", "health", "TGD", None),
          "E": ("IODnav", "health", "BGDe5a", "BGDe5b"),
          "C": ("AODE", "SatH1", "TGD1", "TGD2")}
STATE = ("SVclockBias SVrelFreqBias X Y Z dX dY dZ dX2 dY2 dZ2").split()
BDT_S = 14


def ours_of(path, *words):
    """{(satellite, time): {numbers as a tuple}} and the closing counts."""
    sets, counts = {}, None
    for line in support.dump(path, *words,
                             program="dump_navigation").splitlines():
        first, *rest = line.split()
        if first == "end":
            counts = [int(w) for w in rest]
            continue
        numbers = tuple(None if w == "-" else float(w) for w in rest[2:])
        sets.setdefault((rest[0], rest[1]), set()).add(numbers)
    return sets, counts


def clean(number):
    return None if number != number else float(number)


def filled(text):
    """Version 3 with a number in every field."""
    head, mark, body = text.partition("END OF HEADER")
    lines = body.split("\n")
    for index, line in enumerate(lines[1:], 1):
        if line.startswith("    "):
            fields = [line[4 + 19 * k:23 + 19 * k].strip() or "0.0E+00"
                      for k in range(4)]
            lines[index] = "    " + "".join(f"{f:>19}" for f in fields)
    return head + mark + "\n".join(lines)


def theirs_of(text, leap_s):
    """The same from the library, one system at a time."""
    import georinex.nav2
    import georinex.nav3
    version = float(text[:9])
    systems = {line[0] for line in text.splitlines() if line[:1] in "GRECJS"
               and line[1:3].strip().isdigit()} if version >= 3 else {"G"}
    text = filled(text) if version >= 3 else text
    sets = {}
    for system in sorted(systems):
        table = georinex.nav2.rinexnav2(io.StringIO(text)) if version < 3 \
            else georinex.nav3.rinexnav3(io.StringIO(text), use={system})
        names = STATE + ["FreqNum", "health"] if system in "RS" else \
            KEPLER + list(OTHERS[system])
        columns = [table[n].values if n and n in table else None
                   for n in names]
        late = {"C": BDT_S, "R": leap_s}.get(system, 0)
        for i, time in enumerate(table.time.values.astype("datetime64[s]")):
            when = (time.astype(object) + datetime.timedelta(seconds=late)
                    ).isoformat()
            for j, sat in enumerate(table.sv.values):
                row = [c if c is None else clean(c[i, j]) for c in columns]
                if row[0] is None:
                    continue
                if system == "C":
                    row[0] = (row[0] + BDT_S) % 604800
                sets.setdefault((str(sat)[:3], when), set()).add(tuple(row))
    return sets


def differences(ours, theirs):
    """(values compared, texts of what differs)."""
    values, wrong = 0, []
    for key in sorted(ours.keys() | theirs.keys()):
        left = list(theirs.get(key, ()))
        for row in ours.get(key, ()):
            # What one side does not have is not compared.
            def off(other, row=row):
                return [(n, a, b) for n, (a, b) in enumerate(zip(row, other))
                        if a is not None and b is not None and a != b]
            best = min(left, key=lambda other: len(off(other)), default=None)
            if best is None:
                wrong.append(f"{key}: only ours")
                continue
            left.remove(best)
            values += sum(a is not None and b is not None
                          for a, b in zip(row, best))
            wrong += [f"{key} number {n}: ours {a}, theirs {b}"
                      for n, a, b in off(best)]
        wrong += [f"{key}: only theirs"] * len(left)
    return values, wrong


class Navigation(unittest.TestCase):
    def check(self, path, leap_s):
        text = support.unpacked(path).decode("ascii", "replace")
        theirs = theirs_of(text, leap_s)
        ours, counts = ours_of(path)
        values, wrong = differences(ours, theirs)
        print(f"{path.name}: {counts[0]} orbits, {counts[1]} state vectors, "
              f"{values} values, {len(wrong)} differ", flush=True)
        self.assertEqual(wrong[:20], [])
        self.assertEqual(counts[2], 0)
        self.assertGreater(values, 500)
        broken, _ = ours_of(path, "--break-field")
        self.assertEqual(len(differences(broken, theirs)[1]), 1)


    def test_invented_sky(self):
        """The scenario tests' 24 satellites."""
        sys.path.append(str(support.HERE.parent / "scenario"))
        import small_files
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "invented.rnx")
            path.write_bytes(small_files.navigation())
            self.check(path, 18)


def real_file(relative, leap_s):
    return lambda self: self.check(support.data(relative), leap_s)


for _name, _file in REAL.items():
    setattr(Navigation, f"test_{_name}", real_file(*_file))

if __name__ == "__main__":
    support.main()
