"""Reads recorded segments. Written from docs/formats/segment.md alone, in
another language and with nothing of the program, so that the page is proved to
be enough for a stranger.

    python3 segment_reader.py [--bytes FILE] [--json] RAW_FOLDER

prints every segment, and the stream that they make: runs of bytes with their
offsets and receive times, and every gap with its reason.
"""
import argparse
import ctypes
import ctypes.util
import dataclasses
import hashlib
import json
import pathlib
import re
import struct
import sys
import zlib

BLOCK, PAGE, HEAD = 32768, 4096, 36
MOST_PREFIX = 65536
OPENING, BYTES, GAP, CLOSING = 1, 2, 3, 4
REASONS = {1: "dropped", 2: "damaged", 3: "missing", 4: "interrupted"}
ENDS = {0: "none", 1: "closed", 2: "given_up", 3: "broken_off", 4: "not_there"}
NAME = re.compile(r"\d{4}/\d{3}/\d{2}(-[1-9]\d*)?\.seg")


class Zstd:
    """As much of libzstd as unpacking with a raw prefix takes."""

    def __init__(self):
        name = ctypes.util.find_library("zstd") or "libzstd.so.1"
        self.library = ctypes.CDLL(name)
        size, pointer = ctypes.c_size_t, ctypes.c_void_p
        for function, result, arguments in (
                ("ZSTD_createDCtx", pointer, []),
                ("ZSTD_DCtx_refPrefix", size,
                 [pointer, ctypes.c_char_p, size]),
                ("ZSTD_decompressDCtx", size,
                 [pointer, ctypes.c_char_p, size, ctypes.c_char_p, size]),
                ("ZSTD_isError", ctypes.c_uint, [size])):
            known = getattr(self.library, function)
            known.restype, known.argtypes = result, arguments
        self.context = self.library.ZSTD_createDCtx()

    def unpack(self, frame, prefix, size):
        """None where the frame is not one of that size."""
        room = ctypes.create_string_buffer(max(size, 1))
        self.library.ZSTD_DCtx_refPrefix(self.context, prefix, len(prefix))
        got = self.library.ZSTD_decompressDCtx(
            self.context, room, size, frame, len(frame))
        if self.library.ZSTD_isError(got) or got != size:
            return None
        return room.raw[:size]


ZSTD = Zstd()


class Fields:
    """Takes numbers and texts from the front; ValueError at the end."""

    def __init__(self, content):
        self.content, self.at = content, 0

    def take(self, count):
        if self.at + count > len(self.content):
            raise ValueError("too short")
        self.at += count
        return self.content[self.at - count:self.at]

    def number(self, size, signed=False):
        return int.from_bytes(self.take(size), "little", signed=signed)

    def time(self):
        return self.number(8, signed=True)

    def text(self):
        return self.take(self.number(2)).decode()

    def variable(self):
        value = shift = 0
        while True:
            byte = self.number(1)
            value |= (byte & 0x7F) << shift
            shift += 7
            if byte < 0x80:
                return value

    def gap(self):
        first, end = self.number(8), self.number(8)
        before, after = self.time(), self.time()
        return Gap(first, end, before, after, REASONS[self.number(2)])


@dataclasses.dataclass
class Gap:
    first: int
    end: int
    before_ns: int
    after_ns: int
    reason: str


@dataclasses.dataclass
class Part:
    """Bytes that were received together."""
    offset: int
    time_ns: int
    content: bytes


class Segment:
    """One file: `parts` and `gaps` in the order of their offsets."""

    def __init__(self, path, name):
        self.name = name
        self.content = path.read_bytes()
        self.parts, self.gaps = [], []
        self.opening = self.closing = self.stream = self.first = None
        self.next = 0
        self.damaged_blocks = []
        self.digest = hashlib.sha256()
        self.digest_good = None
        for position in range(0, len(self.content), BLOCK):
            self.read_block(position)
        if self.first is None and self.closing:
            self.first = self.closing["first"]

    @property
    def end(self):
        """Of what the file should hold, as far as it is known."""
        return self.closing["end"] if self.closing else self.next

    def read_block(self, position):
        end = min(position + BLOCK, len(self.content))
        at, prefix = position, b""
        while at < end:
            size = None
            try:
                size, prefix = self.read_piece(at, end, prefix)
            except (ValueError, KeyError):
                pass
            if size:
                at += size
                continue
            page_end = min(at // PAGE * PAGE + PAGE, end)
            if at % PAGE == 0 or self.content[at:page_end].strip(b"\0"):
                self.damaged_blocks.append(position)
                return
            self.digest.update(self.content[at:page_end])
            at = page_end

    def read_piece(self, at, end, prefix):
        """Its size and the next prefix; ValueError where there is none."""
        if at + HEAD > end or self.closing:
            raise ValueError("no piece")
        checksum, size, kind, flags, unpacked, stream, offset, time_ns = \
            struct.unpack_from("<IHBBIQQq", self.content, at)
        whole = self.content[at:at + HEAD + size]
        if at + HEAD + size > end or flags > 1 or unpacked > BLOCK:
            raise ValueError("not a piece")
        if zlib.crc32(whole[4:], zlib.crc32(struct.pack("<Q", at))) != checksum:
            raise ValueError("bad checksum")
        if self.stream not in (None, stream) or offset < self.next:
            raise ValueError("of another stream or time")
        body = whole[HEAD:]
        if kind == BYTES:
            prefix = self.read_bytes(body, flags, unpacked, offset, time_ns,
                                     prefix)
        elif flags or unpacked != size:
            raise ValueError("not a note")
        elif kind == OPENING:
            self.read_opening(Fields(body), offset)
        elif kind == GAP:
            gap = Fields(body).gap()
            self.gaps.append(gap)
            self.next = gap.end
        elif kind == CLOSING:
            self.read_closing(Fields(body), offset)
        else:
            raise ValueError("an unknown kind")
        if kind != CLOSING:
            self.digest.update(whole)
        self.stream = stream
        if self.first is None:
            self.first = offset
        return HEAD + size, prefix

    def read_bytes(self, body, packed, unpacked, offset, time_ns, prefix):
        if packed:
            body = ZSTD.unpack(body, prefix, unpacked)
        if body is None or len(body) != unpacked:
            raise ValueError("does not unpack")
        fields = Fields(body)
        marks = []
        for _ in range(fields.number(4)):
            count, step = fields.variable(), fields.variable()
            time_ns += -(step + 1) // 2 if step % 2 else step // 2
            marks.append((time_ns, count))
        parts = [(t, fields.take(count)) for t, count in marks]
        if fields.at != len(body):
            raise ValueError("too long")
        for t, content in parts:
            self.parts.append(Part(offset, t, content))
            offset += len(content)
        self.next = offset
        return (prefix + body)[-MOST_PREFIX:]

    def read_opening(self, fields, offset):
        if fields.take(8) != b"SPSEGMNT" or fields.number(2) != 1:
            raise ValueError("another version")
        self.opening = {
            "offset": offset, "previous_end": ENDS[fields.number(2)],
            "previous_first": fields.number(8),
            "previous_last_ns": fields.time(),
            "previous_digest": fields.take(32).hex(),
            "previous": fields.text()}
        self.first = offset

    def read_closing(self, fields, offset):
        if fields.number(2) != 1:
            raise ValueError("another version")
        flags = fields.number(2)
        closing = {
            "end": offset, "times_go_back": bool(flags & 1),
            "sealed_later": bool(flags & 2), "first": fields.number(8),
            "first_ns": fields.time(), "last_ns": fields.time(),
            "digest": fields.take(32).hex(), "gap_count": fields.number(4)}
        closing["gaps"] = [fields.gap() for _ in range(fields.number(2))]
        closing["tags"] = dict((fields.text(), fields.text())
                               for _ in range(fields.number(2)))
        closing["counts"] = dict((fields.text(), fields.number(8))
                                 for _ in range(fields.number(2)))
        self.closing = closing
        self.digest_good = self.digest.hexdigest() == closing["digest"]


class Stream:
    """What all segments hold together, each byte once."""

    def __init__(self, segments):
        self.parts, self.gaps = [], []
        known = [s for s in segments if s.first is not None]
        known.sort(key=lambda s: s.first)
        self.first = known[0].first if known else 0
        self.end = max((s.end for s in known), default=self.first)
        self.open = bool(known) and not known[-1].closing
        noted = [gap for s in known for gap in s.gaps]
        at, last_ns = self.first, None
        for part in sorted((p for s in known for p in s.parts),
                           key=lambda p: p.offset):
            if part.offset + len(part.content) <= at:
                continue
            if part.offset > at:
                self.add_hole(at, part.offset, last_ns, part.time_ns, noted)
                at = part.offset
            content = part.content[at - part.offset:]
            self.parts.append(Part(at, part.time_ns, content))
            at, last_ns = at + len(content), part.time_ns
        if self.end > at:
            self.add_hole(at, self.end, last_ns, None, noted)
        for segment in known:
            opening = segment.opening
            if opening and opening["previous_end"] == "broken_off":
                self.gaps.append(Gap(segment.first, segment.first,
                                     opening["previous_last_ns"], None,
                                     "interrupted"))
        self.gaps.sort(key=lambda gap: (gap.first, gap.end))

    def add_hole(self, first, end, before_ns, after_ns, noted):
        """As far as the segments know why, with their reason."""
        for gap in sorted(noted, key=lambda gap: gap.first):
            if gap.end <= first or gap.first >= end:
                continue
            if gap.first > first:
                self.gaps.append(Gap(first, gap.first, before_ns,
                                     gap.before_ns, "missing"))
            self.gaps.append(Gap(max(first, gap.first), min(end, gap.end),
                                 gap.before_ns, gap.after_ns, gap.reason))
            first, before_ns = min(end, gap.end), gap.after_ns
        if first < end:
            self.gaps.append(Gap(first, end, before_ns, after_ns, "missing"))

    def runs(self):
        """Bytes without a hole: [first, end, first time, last time]."""
        runs = []
        for part in self.parts:
            end = part.offset + len(part.content)
            if runs and runs[-1][1] == part.offset:
                runs[-1][1], runs[-1][3] = end, part.time_ns
            else:
                runs.append([part.offset, end, part.time_ns, part.time_ns])
        return runs

    def content(self):
        return b"".join(part.content for part in self.parts)


def read_segments(raw):
    """All below the folder, in the order of their names."""
    raw = pathlib.Path(raw)
    names = [path.relative_to(raw).as_posix() for path in raw.rglob("*.seg")]
    return [Segment(raw / name, name)
            for name in sorted(names) if NAME.fullmatch(name)]


def read_latest(raw):
    """The writer's note; None where it is not whole."""
    path = pathlib.Path(raw, "latest")
    content = path.read_bytes() if path.exists() else b""
    fields = Fields(content)
    try:
        magic = fields.take(8)
        note = {"stream": fields.number(8), "first": fields.number(8),
                "path": fields.text()}
        covered = zlib.crc32(content[:fields.at])
        good = magic == bytes.fromhex("010053504c545354")
        return note if good and fields.number(4) == covered else None
    except ValueError:
        return None


def document(segments, stream):
    return {
        "segments": [{
            "name": s.name, "stream": s.stream, "first": s.first, "end": s.end,
            "closed": s.closing is not None, "digest_good": s.digest_good,
            "damaged_blocks": s.damaged_blocks, "opening": s.opening,
        } for s in segments],
        "bytes": sum(len(part.content) for part in stream.parts),
        "end": stream.end, "open": stream.open, "runs": stream.runs(),
        "gaps": [dataclasses.asdict(gap) for gap in stream.gaps],
    }


def print_for_people(found):
    for s in found["segments"]:
        state = "closed" if s["closed"] else "open"
        if s["damaged_blocks"]:
            state += f", damaged in the blocks at {s['damaged_blocks']}"
        print(f"segment  {s['name']}  bytes {s['first']} to {s['end']}  "
              f"{state}")
    for first, end, first_ns, last_ns in found["runs"]:
        print(f"bytes    {first} to {end}  received {first_ns / 1e9:.3f} to "
              f"{last_ns / 1e9:.3f} (GPS seconds)")
    for gap in found["gaps"]:
        print(f"gap      {gap['first']} to {gap['end']}  {gap['reason']}")


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("raw", help="the folder that holds YYYY/DDD/HH.seg")
    options.add_argument("--bytes", help="writes the stream into this file")
    options.add_argument("--json", action="store_true")
    chosen = options.parse_args()
    segments = read_segments(chosen.raw)
    stream = Stream(segments)
    found = document(segments, stream)
    if chosen.bytes:
        pathlib.Path(chosen.bytes).write_bytes(stream.content())
    if chosen.json:
        print(json.dumps(found))
    else:
        print_for_people(found)
    return 0


if __name__ == "__main__":
    sys.exit(main())
