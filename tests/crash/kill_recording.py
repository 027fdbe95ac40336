"""Kills a recording with SIGKILL at random moments and starts it again.

    python3 kill_recording.py [--times N] [--seed S] [--of program|recorder]

The oracle is the sender's own copy. Its bytes are RTCM frames that carry their
own number (life, frame), so any piece of the record says where it comes from.
After N lives and a short one that ends in order, read by segment_reader.py, which
shares nothing with the program:

  nothing acknowledged is missing   of every life as much is on the disk as the
                                    program had acknowledged when it was killed
  nothing is invented               what is on the disk of a life is the sender's
                                    copy of it from its first byte on, and lives
                                    follow one another
  loss is said exactly              the gaps of the record, and those that the
                                    program told, are just the ends of the lives
                                    of which something is on the disk
"""
import argparse
import os
import pathlib
import random
import struct
import sys
import tempfile
import time

import subjects

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] /
                       "scenario"))
import rtcm_bytes  # noqa: E402
import segment_reader  # noqa: E402

TYPE = 4095  # an RTCM message number kept for makers
NUMBERS = struct.Struct(">HII")  # type and four spare bits, life, frame
FRAME_HEAD = 3


def frame(life, number, filler):
    return rtcm_bytes.frame(NUMBERS.pack(TYPE << 4, life, number) + filler)


class Sender:
    """The copy of what the socket took, by life."""

    def __init__(self, random_source):
        self.random = random_source
        self.taken = []
        self.waiting = b""
        self.number = 0

    def begin(self):
        self.taken.append(bytearray())
        self.number = 0
        self.waiting = b""

    def feed(self, subject):
        """Some more bytes, in pieces that are not whole frames."""
        while len(self.waiting) < 3000:
            filler = self.random.randbytes(self.random.randrange(80))
            self.waiting += frame(len(self.taken) - 1, self.number, filler)
            self.number += 1
        part = self.waiting[:self.random.randrange(1, 3000)]
        count = subject.feed(part)
        self.taken[-1] += part[:count]
        self.waiting = self.waiting[count:]


def live(subject, sender, longest_s):
    """One life, killed at a random moment; what it had acknowledged."""
    sender.begin()
    subject.start()
    end = time.monotonic() + sender.random.random() * longest_s
    while time.monotonic() < end:
        sender.feed(subject)
        subject.look()
        time.sleep(0.002)
    subject.kill()
    return subject.acknowledged


def life_of(content, before):
    """The life whose bytes these are. A segment that begins with the hour goes
    on within a frame of the life before."""
    if content[0] != 0xD3 or len(content) < FRAME_HEAD + NUMBERS.size:
        return before
    kind, life, _ = NUMBERS.unpack_from(content, FRAME_HEAD)
    return life if kind >> 4 == TYPE and life >= before else before


def runs_of(segments):
    """[start, bytes] of every stretch between two interruptions."""
    stream = segment_reader.Stream(segments)
    borders = {gap.first for gap in stream.gaps if gap.reason == "interrupted"}
    # Where a life ends in order, the next has a closed segment before it.
    borders |= {s.first for s in segments if s.opening}
    runs = []
    for part in stream.parts:
        at, content = part.offset, part.content
        if not runs or at in borders or at != runs[-1][0] + len(runs[-1][1]):
            runs.append([at, bytearray()])
        runs[-1][1] += content
    return stream, runs


def check(subject, sender, acknowledged):
    """What is wrong with the record; an empty list if nothing is."""
    wrong = []
    segments = segment_reader.read_segments(subject.raw)
    for segment in segments:
        if segment.damaged_blocks or segment.digest_good is False:
            wrong.append(f"{segment.name} is damaged")
    stream, runs = runs_of(segments)
    ends, at = {}, 0
    for start, content in runs:
        if start != at:
            wrong.append(f"bytes {at} to {start} are neither there nor a gap")
        life = life_of(content, max(ends, default=0))
        begun = ends.get(life, (start, 0))[1]
        if bytes(sender.taken[life][begun:begun + len(content)]) != content:
            wrong.append(f"life {life}: not what was sent, at {start}")
        at = start + len(content)
        ends[life] = (at, begun + len(content))
    if list(ends) != sorted(ends):
        wrong.append("lives in the wrong order")
    # An acknowledgement of a life holds for all before it.
    known = 0
    for life, offset in enumerate(acknowledged):
        known = max(known, ends.get(life, (known, 0))[0])
        if offset > known:
            wrong.append(f"life {life}: acknowledged to {offset}, "
                         f"there is {known}")
    last = len(acknowledged)
    expected = {(end, end) for life, (end, _) in ends.items() if life < last}
    found = {(gap.first, gap.end) for gap in stream.gaps}
    if found != expected:
        wrong.append(f"gaps of the record: {sorted(found ^ expected)[:5]} "
                     "are too many or too few")
    said = subject.lost()
    if said != expected:
        wrong.append(f"gaps that were told: {sorted(said ^ expected)[:5]} "
                     "are too many or too few")
    return wrong, len(ends), stream.end


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--times", type=int, default=25)
    options.add_argument("--seed", type=int, default=None)
    options.add_argument("--of", choices=("program", "recorder"),
                         default="program")
    chosen = options.parse_args()
    seed = random.randrange(2**32) if chosen.seed is None else chosen.seed
    variable = ("STILLPOINT_PROGRAM" if chosen.of == "program"
                else "RECORD_STDIN")
    with tempfile.TemporaryDirectory() as folder:
        subject = subjects.made(chosen.of, folder, os.environ.get(variable))
        sender = Sender(random.Random(seed))
        longest_s = 4.0 if chosen.of == "program" else 0.5
        acknowledged = [live(subject, sender, longest_s)
                        for _ in range(chosen.times)]
        sender.begin()
        subject.start()
        # The end of the life before shows in the record once another follows.
        while not sender.taken[-1]:
            sender.feed(subject)
            time.sleep(0.002)
        code = subject.end_in_order()
        wrong, on_disk, end = check(subject, sender, acknowledged)
        if code != 0:
            wrong.append(f"the last life ended with {code}")
    sent = sum(map(len, sender.taken))
    print(f"killed {chosen.times} times (seed {seed}): sent {sent} bytes, "
          f"acknowledged {acknowledged[-1]}, on the disk {end}, of "
          f"{on_disk} lives")
    if on_disk < chosen.times // 3:
        wrong.append("too few lives left anything: nothing was tried")
    for line in wrong:
        print(f"wrong: {line}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
