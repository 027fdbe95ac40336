"""RTCM 3 bytes packed field by field, and a scanner that shares no code with
the program: what the tests of listening count with.

    source   RTCM 10403.3 (order and widths of the fields), from memory where
             tests/vectors/ has no frame of the type; the sender is invented:
             station LHOL00XXX, antenna SPDEMO-A1, receiver SPDEMO-R1
"""
import binascii
import dataclasses
import struct

WEEK, TOW_S = 2340, 345600  # 2024-11-14 00:00:00 GPS time
STATION = 5
ECEF_M = (4279402.4, 671220.0, 4666639.5)
HEIGHT_M = 0.1234
ANTENNA = "SPDEMO-A1       NONE"
GPS_SATELLITES = (3, 7, 22)
GALILEO_SATELLITES = (11, 36)
GPS_SIGNALS = {"1C": 2, "2W": 10}  # their numbers in the signal mask
GALILEO_SIGNALS = {"1C": 2, "5Q": 23}
LEAP_S = 18  # GPS time - UTC at WEEK; IERS Bulletin C 52 (2016)
MOSCOW_S = 10800  # GLONASS time - UTC


def crc24q(data):
    """Bit by bit: 0x1864CFB, start 0, nothing reflected."""
    crc = 0
    for byte in data:
        crc = shifted(crc ^ byte << 16)
    return crc


def shifted(crc):
    for _ in range(8):
        crc <<= 1
        if crc & 0x1000000:
            crc ^= 0x1864CFB
    return crc


SHIFTED = [shifted(byte << 16) for byte in range(256)]


def crc24q_fast(data):
    """The same over megabytes."""
    crc = 0
    for byte in data:
        crc = (crc << 8 & 0xFFFFFF) ^ SHIFTED[crc >> 16 ^ byte]
    return crc


def frame(payload):
    head = b"\xd3" + struct.pack(">H", len(payload)) + payload
    return head + crc24q_fast(head).to_bytes(3, "big")


EMPTY_FRAME = frame(b"")


def packed(*fields):
    """Fields (value, bits), negative ones in two's complement; whole bytes."""
    bits = 0
    size = 0
    for value, width in fields:
        bits = bits << width | value & (1 << width) - 1
        size += width
    spare = -size % 8
    return (bits << spare).to_bytes((size + spare) // 8, "big")


def opaque(message_type, size=20):
    """A message of a type with a content that says nothing."""
    return frame(packed((message_type, 12), (0, 8 * size - 12)))


def position(ecef_m=ECEF_M, height_m=HEIGHT_M, station=STATION):
    """1006, or 1005 without a height."""
    x, y, z = (round(v * 10000) for v in ecef_m)
    fields = [(1005 if height_m is None else 1006, 12), (station, 12), (0, 6),
              (1, 1), (1, 1), (1, 1), (0, 1), (x, 38), (1, 1), (0, 1),
              (y, 38), (0, 2), (z, 38)]
    if height_m is not None:
        fields.append((round(height_m * 10000), 16))
    return frame(packed(*fields))


def antenna(descriptor=ANTENNA, receiver="SPDEMO-R1", station=STATION):
    """1033."""
    def text(words):
        return bytes([len(words)]) + words.encode()
    return frame(packed((1033, 12), (station, 12)) + text(descriptor) +
                 b"\0" + text("0001") + text(receiver) + text("1.0") +
                 text(""))


def msm7(message_type, epoch, satellites, signals, more=False,
         station=STATION):
    """MSM7 of satellites that all have every signal; `epoch` is DF004 or its
    kin, 30 bits."""
    satellite_mask = sum(1 << 64 - number for number in satellites)
    signal_mask = sum(1 << 32 - number for number in signals)
    count = len(satellites)
    cells = count * len(signals)
    fields = [(message_type, 12), (station, 12), (epoch, 30), (more, 1),
              (0, 3), (0, 7), (0, 2), (0, 2), (0, 1), (0, 3),
              (satellite_mask, 64), (signal_mask, 32), (-1, cells)]
    fields += [(70 + i, 8) for i in range(count)]      # whole milliseconds
    fields += [(0, 4)] * count
    fields += [(100 * i, 10) for i in range(count)]    # parts of one
    fields += [(-300 + i, 14) for i in range(count)]   # m/s
    fields += [(i, 20) for i in range(cells)]          # fine code
    fields += [(2 * i, 24) for i in range(cells)]      # fine phase
    fields += [(700, 10)] * cells                      # lock
    fields += [(0, 1)] * cells
    fields += [(45 * 16, 10)] * cells                  # C/N0
    fields += [(0, 15)] * cells
    return frame(packed(*fields))


def glonass_epoch(second):
    """DF416 and DF034 at a second of the GPS week."""
    moscow = second - LEAP_S + MOSCOW_S
    return moscow // 86400 % 7 << 27 | moscow % 86400 * 1000


def epoch(second, station=STATION):
    """What one epoch sends: 1077, 1087 and 1097, joined by their flags."""
    ms = second % 604800 * 1000
    return msm7(1077, ms, GPS_SATELLITES, GPS_SIGNALS.values(), True,
                station) + \
        msm7(1087, glonass_epoch(second % 604800), (4,), (2, 8), True,
             station) + \
        msm7(1097, ms, GALILEO_SATELLITES, GALILEO_SIGNALS.values(), False,
             station)


def ephemeris(satellite, second=TOW_S, week=WEEK):
    """1019 of a round orbit; what tells the week."""
    toe = second // 7200 * 7200 // 16
    return frame(packed(
        (1019, 12), (satellite, 6), (week, 10), (0, 4), (1, 2), (0, 14),
        (9, 8), (toe, 16), (0, 8), (0, 16), (1000, 22), (9, 10), (0, 16),
        (10000, 16), (satellite << 24, 32), (0, 16), (1 << 26, 32), (0, 16),
        (round(5153.7 * 2**19), 32), (toe, 16), (0, 16), (1 << 28, 32),
        (0, 16), (0x27000000, 32), (0, 16), (0, 32), (-20000, 24), (0, 8),
        (0, 6), (0, 1), (0, 1)))


def biases():
    """1230 with four zeros."""
    return frame(packed((1230, 12), (STATION, 12), (0, 1), (0, 3), (15, 4),
                        (0, 64)))


def station_stream(epochs, first_s=TOW_S, interval_s=1):
    """A base that lacks nothing but ephemerides; its fixed messages come with
    every fifth epoch."""
    stream = b""
    for i in range(epochs):
        stream += epoch(first_s + i * interval_s)
        if i % 5 == 0:
            stream += position() + antenna() + biases()
    return stream


def sentence(body):
    """NMEA 0183."""
    total = 0
    for byte in body.encode():
        total ^= byte
    return f"${body}*{total:02X}\r\n".encode()


def maker_packet(payload, number=1):
    """As receivers/spdemo-r1.toml draws it."""
    body = struct.pack("<BBH", number, 1, len(payload)) + payload
    return b"\x9e\xc4" + body + struct.pack("<I", binascii.crc32(body))


@dataclasses.dataclass
class Scan:
    """RTCM frames with a good CRC in a stream, walked through in one go."""
    counts: dict = dataclasses.field(default_factory=dict)
    sizes: dict = dataclasses.field(default_factory=dict)
    frames: int = 0
    rest: bytes = b""  # bytes in no frame


def scan(data):
    found = Scan()
    rest = bytearray()
    at = 0
    while at < len(data):
        size = frame_size(data, at)
        if size == 0:
            rest.append(data[at])
            at += 1
            continue
        kind = None if size == 6 else data[at + 3] << 4 | data[at + 4] >> 4
        found.counts[kind] = found.counts.get(kind, 0) + 1
        found.sizes[kind] = found.sizes.get(kind, 0) + size
        found.frames += 1
        at += size
    found.rest = bytes(rest)
    return found


def frame_size(data, at):
    """Size of the good frame that begins there, or 0."""
    if data[at] != 0xD3 or at + 6 > len(data) or data[at + 1] > 3:
        return 0
    size = data[at + 1] * 256 + data[at + 2] + 6
    whole = data[at:at + size]
    good = len(whole) == size and \
        crc24q_fast(whole[:-3]) == int.from_bytes(whole[-3:], "big")
    return size if good else 0
