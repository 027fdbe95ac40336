"""Observation text read a second time, by nothing but the column tables.

Written apart from the C++ reader and for comparison only: plain RINEX 2.10,
2.11 and 3.0x in GPS time, files that are whole. Also the lines that
dump_observations prints. Both give the same Epoch.

Source: RINEX 2.11 section 5.1 and tables A1, A2; RINEX 3.05 tables A2, A3.
"""
import typing

NAMES = ("code", "phase", "doppler", "cn0",
         "lli", "phase_strength", "code_strength")
KIND = {"C": 0, "P": 0, "L": 1, "D": 2, "S": 3}


class Epoch(typing.NamedTuple):
    time: str     # "2020-06-25T00:00:00", GPST, no trailing zeros
    flag: int
    clock_s: typing.Optional[float]
    rows: dict    # {"G07 1C": [four values or None, then three digits]}


def signal_of_type2(system, kind, types):
    """Which signal a two-letter type of version 2 belongs to.

    The standard does not say the tracking code: common practice, no source.
    Only what the compared files have.
    """
    letter, band = kind
    if system == "R":
        follows_p = letter == "P" or (
            letter != "C" and "C" + band not in types)
        return band + ("P" if follows_p else "C")
    if letter == "P" or (letter != "C" and band == "2" and "P2" in types) or (
            letter != "C" and "C" + band not in types):
        return band + "W"
    return band + ("C" if band == "1" else "X")


class Header:
    def __init__(self):
        self.version = 0.0
        self.system = "G"
        self.types = {}     # version 3: by system; version 2: under ""
        self.columns = {}   # {system: [(row, signal) or None]}
        self.scales = False
        self._open = ""

    def line(self, text):
        """One header line; True at the last one."""
        label, text = text[60:80].strip(), text[:60]
        if label == "RINEX VERSION / TYPE":
            self.version = float(text[:9])
            self.system = text[40]
        elif label == "SYS / # / OBS TYPES":
            if text[0] != " ":
                self._open = text[0]
                self.types[self._open] = []
            self.types[self._open] += text[6:].split()
            self.columns = {}
        elif label == "# / TYPES OF OBSERV":
            if text[:6].strip():
                self.types[""] = []
            self.types[""] += text[6:].split()
            self.columns = {}
        elif label == "TIME OF FIRST OBS":
            if text[48:51].strip() not in ("", "GPS"):
                raise ValueError(f"times are in {text[48:51]}")
        elif label == "SYS / SCALE FACTOR":
            raise ValueError("scale factors are not read here")
        return label == "END OF HEADER"

    def columns_of(self, system):
        if system not in self.columns:
            types = self.types[system if self.version >= 3 else ""]
            self.columns[system] = [
                (KIND[t[0]], t[1:] if self.version >= 3
                 else signal_of_type2(system, t, types)) for t in types]
        return self.columns[system]


def number(text):
    """None for blanks and for zero, which says the same."""
    text = text.strip()
    return (float(text) or None) if text else None


def digit(text):
    return int(text) if text.strip() else 0


def read_satellite(name, text, columns, rows):
    """Fields of 14 columns, loss of lock and strength behind each."""
    for index, (kind, signal) in enumerate(columns):
        field = text[16 * index:16 * index + 16]
        value = number(field[:14])
        if value is None:
            continue
        row = rows.setdefault(f"{name} {signal}", [None] * 4 + [0, 0, 0])
        row[kind] = value
        if kind == 1:
            row[4], row[5] = digit(field[14:15]), digit(field[15:16])
        elif kind == 0:
            row[6] = digit(field[15:16])


def stamp(year, fields, second):
    whole, _, part = f"{float(second):.7f}".partition(".")
    part = part.rstrip("0")
    return "{:04d}-{:02d}-{:02d}T{:02d}:{:02d}:{:02d}".format(
        year, *map(int, fields), int(whole)) + ("." + part if part else "")


def is_epoch2(text):
    return text[:18].count(".") == 1 and text[18:19] == "." or (
        text[:3].strip().isdigit() and text[15:26].strip()[-8:-7] == ".")


def read_version2(lines, header):
    here = next(lines, None)
    while here is not None:
        flag, count = digit(here[28:29]), int(here[29:32])
        if flag > 1:
            for _ in range(count):
                here = next(lines, None)
                if here is None or is_epoch2(here):
                    break  # fewer lines than announced: see observations.py
                header.line(here)
            else:
                here = next(lines, None)
            continue
        year = int(here[:3])
        time = stamp(year + (1900 if year >= 80 else 2000),
                     (here[3:6], here[6:9], here[9:12], here[12:15]),
                     here[15:26])
        clock, names, rows = number(here[68:80]), here[32:68], {}
        for _ in range((count - 1) // 12):
            names = names.ljust(36 * (len(names) // 36)) + next(lines)[32:68]
        for index in range(count):
            name = names[3 * index:3 * index + 3].ljust(3)
            name = (name[0] if name[0] != " " else "G") + \
                name[1:].replace(" ", "0")
            columns = header.columns_of(name[0])
            text = "".join(next(lines)[:80].ljust(80)
                           for _ in range((len(columns) + 4) // 5))
            read_satellite(name, text, columns, rows)
        yield Epoch(time, flag, clock, rows)
        here = next(lines, None)


def read_version3(lines, header):
    for here in lines:
        flag, count = int(here[31]), int(here[32:35])
        if flag > 1:
            for _ in range(count):
                header.line(next(lines))
            continue
        time = stamp(int(here[2:6]), (here[7:9], here[10:12], here[13:15],
                                      here[16:18]), here[18:29])
        rows = {}
        for _ in range(count):
            text = next(lines)
            name = text[0] + text[1:3].replace(" ", "0")
            read_satellite(name, text[3:], header.columns_of(text[0]), rows)
        yield Epoch(time, flag, number(here[41:56]), rows)


def read_rinex(text):
    """All epochs of a file's text."""
    header, lines = Header(), iter(text.splitlines())
    while not header.line(next(lines)):
        pass
    yield from (read_version3 if header.version >= 3 else
                read_version2)(lines, header)


def read_dump(lines):
    """All epochs of dump_observations; checks its closing counts."""
    epoch, epochs, rows = None, 0, 0
    for line in lines:
        words = line.split()
        if words[0] == "epoch":
            if epoch:
                yield epoch
            clock = None if words[3] == "-" else float(words[3])
            epoch = Epoch(words[1], int(words[2]), clock or None, {})
            epochs += 1
        elif words[0] == "end":
            if [int(words[1]), int(words[3])] != [epochs, rows]:
                raise ValueError(f"the dump counts otherwise: {line}")
        else:
            rows += 1
            epoch.rows[f"{words[0]} {words[1]}"] = [
                None if w == "-" else float(w) for w in words[2:6]
            ] + [int(w) for w in words[6:9]]
    if epoch:
        yield epoch


def print_dump(epochs):
    """The lines of dump_observations for these epochs, without the end."""
    def text(value):
        return "-" if value is None else repr(value).removesuffix(".0")

    for epoch in epochs:
        satellites = {key[:3] for key in epoch.rows}
        yield (f"epoch {epoch.time} {epoch.flag} {text(epoch.clock_s)} "
               f"{len(satellites)}")
        for key, row in epoch.rows.items():
            yield " ".join([key, *map(text, row[:4]), *map(str, row[4:])])


class Tally:
    """Compares epoch by epoch and counts what it compared."""

    def __init__(self):
        self.epochs = 0
        self.values = dict.fromkeys(NAMES, 0)
        self.wrong = []     # the first few, as text
        self.wrong_count = 0

    def total(self):
        return sum(self.values.values())

    def differ(self, text):
        self.wrong_count += 1
        if len(self.wrong) < 10:
            self.wrong.append(text)

    def __str__(self):
        counts = " ".join(f"{n}={c}" for n, c in self.values.items())
        return (f"{self.epochs} epochs, {self.total()} values ({counts}), "
                f"{self.wrong_count} differ")

    def row(self, place, ours, theirs, skip=()):
        # A digit counts where the value that it belongs to is there.
        present = [v is not None for v in theirs[:4]]
        present += [present[1], present[1], present[0]]
        for index, name in enumerate(NAMES):
            if name in skip:
                continue
            self.values[name] += present[index]
            if ours[index] != theirs[index]:
                self.differ(f"{place} {name}: ours {ours[index]}, "
                            f"theirs {theirs[index]}")

    def epoch(self, ours, theirs):
        self.epochs += 1
        if ours[:3] != theirs[:3]:
            self.differ(f"ours {ours[:3]}, theirs {theirs[:3]}")
        if ours.rows.keys() != theirs.rows.keys():
            odd = sorted(ours.rows.keys() ^ theirs.rows.keys())
            self.differ(f"{ours.time}: only on one side: {odd}")
        for key in ours.rows.keys() & theirs.rows.keys():
            self.row(f"{ours.time} {key}", ours.rows[key], theirs.rows[key])

    def files(self, ours, theirs):
        ours, theirs = iter(ours), iter(theirs)
        for a in ours:
            b = next(theirs, None)
            if b is None:
                self.differ(f"{a.time}: only ours")
                break
            self.epoch(a, b)
        else:
            for b in theirs:
                self.differ(f"{b.time}: only theirs")
                break
        return self
