"""RTCM frames as the library reads them, in the form of dump_rtcm.

A reading is {"DF009": ["2", "3"], ...}: the integers as they stand on the
wire. The library gives fields multiplied by their unit; divided by it again
they must be whole numbers, exactly. What a library is known not to give, or to
give otherwise, stands here beside the call.
"""
import re

# "DF009_01", "DF422_1", "DF025": name and place in a list.
NAME = re.compile(r"(?P<name>(?:DF\d{3}|ExtSatInfo|PRN|CELLPRN|CELLSIG)"
                  r"(?:_\d(?!\d))?)(?:_\d{2,3})*")
# What the library adds of its own.
COUNTS = ("NSat", "NSig", "NCell")
# Texts in one attribute, without their NUL characters.
TEXTS = ("DF140",)
# First digits of MSM numbers.
SYSTEMS = {"107": "G", "108": "R", "109": "E", "110": "S", "111": "J",
           "112": "C", "113": "I"}
# What we decode.
TYPES = {str(n) for n in (*range(1001, 1014), 1019, 1020, 1029, 1033, 1041,
                          1042, 1044, 1045, 1046, 1230)} | {
    f"{start}{level}" for start in SYSTEMS for level in range(1, 8)}
# The library's satellite numbers of SBAS and QZSS are PRN.
FIRST = {"S": 100, "J": 192}
# A signal that it does not know is the second letter of "N/A" there.
UNKNOWN_SIGNAL = "/"


def spread(words):
    """"7*3" is three times "7"."""
    values = []
    for word in words:
        value, _, count = word.partition("*")
        values += [value] * int(count or 1)
    return values


def gathered(values):
    """The reverse of spread()."""
    words, at = [], 0
    while at < len(values):
        end = at
        while end < len(values) and values[end] == values[at]:
            end += 1
        words.append(values[at] + (f"*{end - at}" if end - at > 1 else ""))
        at = end
    return words


def hex_frames(path):
    """The frames of a file with one a line, in hexadecimal."""
    return [bytes.fromhex(line)
            for line in path.read_text(encoding="ascii").splitlines()
            if not line.startswith("#")]


def read_dump(text):
    """[(words of the frame line, {name: values})]."""
    frames = []
    for line in text.splitlines():
        first, *rest = line.split()
        if first == "frame":
            frames.append((rest, {}))
        elif first != "#":
            frames[-1][1][first] = spread(rest)
    return frames


def write_dump(frames):
    lines = []
    for words, fields in frames:
        lines.append(" ".join(["frame", *words]))
        lines += [" ".join([name, *gathered(values)])
                  for name, values in fields.items()]
    return "\n".join(lines) + "\n"


def whole(name, value):
    """The integer on the wire."""
    import pyrtcm
    if isinstance(value, str):
        return ord(value)
    scale = pyrtcm.RTCM_DATA_FIELDS[name][2]
    if scale in (0, 1):
        return value
    integer = round(value / scale)
    if integer * scale != value:
        raise AssertionError(f"{name}: {value} is no multiple of {scale}")
    return integer


def satellite(system, number):
    """"G05" of "005", "J02" of "194"; "?" where the library does not know."""
    if not number.isdigit():
        return "?"
    return f"{system}{int(number) - FIRST.get(system, 0):02d}"


def mend():
    """The library's table of MSM2 has a comma where a colon should stand
    ("DF420", "Half-cycle ..."): it cannot read any message with a cell. Put
    right before it is asked."""
    import pyrtcm
    for payload in pyrtcm.RTCM_PAYLOADS_GET_MSM.values():
        for key, group in payload.items():
            if isinstance(group, tuple) and isinstance(group[1], set):
                name, text = sorted(group[1])
                payload[key] = group[0], {name: text}


def read_library(frame):
    """The library's reading of one frame."""
    import pyrtcm
    mend()
    message = pyrtcm.RTCMReader.parse(frame)
    system = SYSTEMS.get(message.identity[:3], "")
    fields = {}
    for attribute, value in vars(message).items():
        if attribute.startswith("_") or attribute in COUNTS:
            continue
        name = NAME.fullmatch(attribute)
        if name is None:
            raise AssertionError(f"{message.identity}: {attribute}?")
        name = name["name"]
        if name in TEXTS:
            values = [str(ord(letter)) for letter in value]
        elif name in ("PRN", "CELLPRN"):
            values = [satellite(system, value)]
        elif name == "CELLSIG":
            values = ["-" if value == UNKNOWN_SIGNAL else value]
        else:
            values = [str(whole(name, value))]
        fields.setdefault(name, []).extend(values)
    return fields


def is_known(frame):
    """Whether the library decodes this frame; of types that it does not know
    it gives the number as text."""
    import pyrtcm
    try:
        return not isinstance(pyrtcm.RTCMReader.parse(frame).DF002, str)
    except pyrtcm.RTCMTypeError:
        return False


class Tally:
    """Counts of a comparison, and what differs."""

    def __init__(self):
        self.frames = self.values = self.unknown = 0
        self.wrong = []

    def compare(self, key, ours, theirs):
        self.frames += 1
        for name in dict.fromkeys([*ours, *theirs]):
            a, b = ours.get(name, []), theirs.get(name, [])
            if name in TEXTS:
                a = [value for value in a if value != "0"]
            if len(a) != len(b):
                self.wrong.append(f"{key} {name}: ours {len(a)} values, "
                                  f"theirs {len(b)}")
                continue
            for index, (x, y) in enumerate(zip(a, b), 1):
                if y == "?":
                    self.unknown += 1
                    continue
                self.values += 1
                if x != y:
                    self.wrong.append(
                        f"{key} {name}_{index}: ours {x}, theirs {y}")

    def __str__(self):
        return (f"{self.frames} messages, {self.values} values, "
                f"{len(self.wrong)} differ")
