"""NMEA sentences as the library reads them, in the form of dump_nmea."""
import datetime

# Our names by the library's.
NAMES = {
    "GGA": {"time": "utc_s", "lat": "lat_deg", "lon": "lon_deg",
            "quality": "quality", "numSV": "satellites", "HDOP": "hdop",
            "alt": "altitude_m", "sep": "separation_m", "diffAge": "age_s",
            "diffStation": "reference"},
    "RMC": {"time": "utc_s", "lat": "lat_deg", "lon": "lon_deg",
            "date": "date", "status": "status", "spd": "speed_kn",
            "cog": "course_deg", "posMode": "mode"},
    "GST": {"time": "utc_s", "rangeRms": "rms_m", "stdMajor": "semi_major_m",
            "stdMinor": "semi_minor_m", "orient": "orientation_deg",
            "stdLat": "sigma_lat_m", "stdLong": "sigma_lon_m",
            "stdAlt": "sigma_alt_m"},
    "GSV": {"numMsg": "total", "msgNum": "index", "numSV": "in_view",
            "signalID": "signal",
            **{f"{theirs}_{k:02d}": f"{ours}{k}" for k in range(1, 5)
               for theirs, ours in (("svid", "number"), ("elv", "elevation"),
                                    ("az", "azimuth"), ("cno", "cn0_"))}},
}
WORDS = ("status", "mode", "date")
# The library rounds degrees to ten decimals.
DEGREES = 1e-10
# Our radians and m/s, and back: a few roundings of doubles up to 1e3.
OTHERS = 1e-12


def read_dump(text):
    """{line number: (talker, type, {name: value})}, None for refused."""
    found = {}
    for line in text.splitlines():
        if line.startswith("#"):
            continue
        number, talker, *rest = line.split()
        found[int(number)] = None if talker == "refused" else (
            talker, rest[0], dict(word.split("=", 1) for word in rest[1:]))
    return found


def write_dump(found):
    return "".join(
        " ".join([str(number), talker, kind,
                  *(f"{name}={value}" for name, value in values.items())]) +
        "\n" for number, (talker, kind, values) in found.items())


def plain(name, value):
    """A library's value as text; "" is none."""
    if value == "" or value is None:
        return None
    if isinstance(value, datetime.time):
        whole = value.hour * 3600 + value.minute * 60 + value.second
        return repr(whole + value.microsecond / 1e6)
    if name == "signal":  # a hexadecimal digit
        return str(int(str(value), 16))
    return str(value)


def read_library(lines):
    """The same from the library."""
    import pynmeagps
    found = {}
    for number, line in enumerate(lines, 1):
        sentence = pynmeagps.NMEAReader.parse(line)
        values = {}
        for theirs, ours in NAMES.get(sentence.msgID, {}).items():
            text = plain(ours, getattr(sentence, theirs, None))
            if text is not None:
                values[ours] = text
        found[number] = sentence.talker, sentence.msgID, values
    return found


def same(name, a, b):
    if name in WORDS:
        return a == b
    within = DEGREES if name in ("lat_deg", "lon_deg") else OTHERS
    return abs(float(a) - float(b)) <= within


def differences(ours, theirs):
    """(values compared, texts of what differs)."""
    values, wrong = 0, []
    for number in sorted(ours.keys() | theirs.keys()):
        a, b = ours.get(number), theirs.get(number)
        if a is None or b is None or a[:2] != b[:2]:
            wrong.append(f"{number}: ours {a}, theirs {b}")
            continue
        for name in sorted(a[2].keys() | b[2].keys()):
            x, y = a[2].get(name), b[2].get(name)
            values += 1
            if x is None or y is None or not same(name, x, y):
                wrong.append(f"{number} {name}: ours {x}, theirs {y}")
    return values, wrong
