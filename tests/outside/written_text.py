"""What the checks of our observation writer share.

Epochs are read from a file by rinex_text.py, not by our reader, handed to
write_observations as text, and what it writes is given to the libraries.
"""
import subprocess

import rinex_text
import support

# The committed invented files and the version that each is written in.
DEMO = {"3": ("demo3.rnx", "3.05"), "2": ("demo2.rnx", "2.11")}
FIELDS = ("time", "satellite", "code", "phase", "doppler", "cn0", "lli",
          "phase_strength", "code_strength")


def epochs_of(text, count=None):
    """The first epochs of a file's text."""
    return list(rinex_text.read_rinex(text))[:count]


def write(epochs, version, *words):
    """The text that our writer makes of these epochs, and what it said."""
    given = "\n".join([*rinex_text.print_dump(epochs), ""])
    done = subprocess.run(
        [support.build() / "write_observations", version, *words],
        input=given, capture_output=True, text=True, check=False, timeout=600)
    if done.returncode != 0:
        raise AssertionError(f"write_observations {version} {words}: exit "
                             f"{done.returncode}\n{done.stderr[:2000]}")
    return done.stdout, done.stderr


def broken(epochs, field):
    """The same epochs with the tenth present value of one field another."""
    seen = 0
    result = []
    for epoch in epochs:
        rows = {}
        for key, row in epoch.rows.items():
            row = list(row)
            if field in rinex_text.NAMES:
                index = rinex_text.NAMES.index(field)
                present = row[index] if index < 4 else row[1 if index < 6
                                                           else 0]
                seen += present is not None
                if present is not None and seen == 10:
                    row[index] = row[index] + 0.001 if index < 4 else (
                        0 if row[index] else 1)
            elif field == "satellite":
                seen += 1
                if seen == 10:
                    # Numbers that every system has; free in demo2.
                    key = f"{key[0]}{(int(key[1:3]) + 15) % 32 + 1:02d}" + \
                        key[3:]
            rows[key] = row
        time = epoch.time
        if field == "time":
            seen += 1
            if seen == 10:
                time += ("" if "." in time else ".") + "001"
        result.append(epoch._replace(time=time, rows=rows))
    return result
