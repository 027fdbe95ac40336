"""The readings of the pinned libraries, in the form of rinex_text.py.

Runs only with the pinned libraries (live checks and freeze.py). What a library
is known not to give, or to give otherwise, stands here beside the call.
"""
import datetime
import io
import re
import warnings

import georinex.obs2
import georinex.obs3
import hatanaka

import rinex_text

# Its own use of xarray is older than the xarray that it installs with.
warnings.simplefilter("ignore", FutureWarning)

# A number between -1 and 1 as the Hatanaka library writes it: ".300", "-.353".
# RINEX fields are F14.3, which allows both forms, and the compressed form does
# not keep which one the receiver's program had chosen. We write "0.300".
BARE_POINT = re.compile(rb" (-?)\.(?=\d)")


def restored(compact):
    """The library's text and how many lines have a number without its zero."""
    text = hatanaka.crx2rnx(compact)
    lines = text.split(b"\n")
    full = [BARE_POINT.sub(rb"\g<1>0.", line) for line in lines]
    return b"\n".join(full), sum(a != b for a, b in zip(lines, full))


def value(number):
    """A missing value is NaN or zero there."""
    return None if number != number or number == 0 else float(number)


def to_10us(time):
    """The library cuts decimals of a second off instead of rounding them
    (30.0125 becomes 30.012499): times agree to 10 microseconds."""
    whole, _, part = time.partition(".")
    return whole + f"{round(float('0.' + (part or '0')), 5):.5f}"[1:]


def one_system(text, version, system, limits):
    if version < 3:
        return georinex.obs2.rinexsystem2(
            io.StringIO(text), system, tlim=limits, useindicators=True)
    return georinex.obs3.rinexobs3(
        io.StringIO(text), use={system}, tlim=limits, useindicators=True)


def add_column(table, signal, index, name, rows):
    """One variable of the library: a value for every time and satellite."""
    times = [to_10us(str(t))
             for t in table.time.values.astype("datetime64[us]")]
    names = [str(s) for s in table.sv.values]
    for time, line in zip(times, table[name].values):
        for sat, number in zip(names, line):
            key = time, f"{sat} {signal}"
            if index < 4:
                number = value(number)
                if number is not None:
                    rows.setdefault(
                        key, [None] * 4 + [None] * 3)[index] = number
            elif key in rows:
                rows[key][index] = int(number) if number == number else 0


def read(text, count):
    """The first `count` epochs as {(time, "G07 1C"): row}.

    Of a row's three digits one that the library does not give is None: it
    has loss of lock for bands 1 and 2 (in version 2 also 5) only.
    """
    header, lines = rinex_text.Header(), iter(text.splitlines())
    while not header.line(next(lines)):
        pass
    epochs = [e for _, e in zip(range(count), rinex_text.read_rinex(text))]
    systems = sorted({key[0] for e in epochs for key in e.rows})
    limits = tuple(datetime.datetime.fromisoformat(e.time[:19]) +
                   datetime.timedelta(seconds=late)
                   for e, late in ((epochs[0], 0), (epochs[-1], 0.6)))
    rows = {}
    for system in systems:
        table = one_system(text, header.version, system, limits)
        types = header.types[system if header.version >= 3 else ""]
        columns = list(zip(types, header.columns_of(system)))
        for name, (kind, signal) in columns:
            add_column(table, signal, kind, name, rows)
        for name, (kind, signal) in columns:
            for suffix, index in (("lli", 4), ("ssi", 5 if kind == 1 else 6)):
                wanted = kind == 1 or (kind == 0 and suffix == "ssi")
                if wanted and name + suffix in table:
                    add_column(table, signal, index, name + suffix, rows)
    for row in rows.values():
        # A digit beside a value that is not there means nothing to us.
        if row[1] is None:
            row[4] = row[5] = 0
        if row[0] is None:
            row[6] = 0
    return rows


def compare(ours, theirs):
    """Tally of our epochs against read(): values, not flags and clocks."""
    tally, seen = rinex_text.Tally(), set()
    for epoch in ours:
        tally.epochs += 1
        for name, row in epoch.rows.items():
            key = to_10us(epoch.time), name
            seen.add(key)
            if key not in theirs:
                tally.differ(f"{key}: only ours")
                continue
            absent = [rinex_text.NAMES[i] for i in (4, 5, 6)
                      if theirs[key][i] is None]
            tally.row(" ".join(key), row, theirs[key], skip=absent)
    for key in theirs.keys() - seen:
        tally.differ(f"{key}: only theirs")
    return tally
