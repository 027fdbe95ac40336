"""Live: our raw RTCM layer against the RTCM library, integer by integer.

Every capture that we have, and messages that we encode, with the least, the
greatest and random values in every field. Types that the library decodes and
we do not are counted and named, not compared.
"""
import collections
import gzip
import io
import pathlib
import tempfile
import unittest

import rtcm_text
import support

CAPTURES = ("*.rtcm3", "*.rtcm3.gz", "*.hex", "*.http.dat")


def dechunked(content):
    """The body of a chunked HTTP response; a torn last chunk as far as it
    goes."""
    body, stream = b"", content.partition(b"\r\n\r\n")[2]
    while stream:
        size, _, stream = stream.partition(b"\r\n")
        length = int(size.partition(b";")[0], 16)
        if length == 0:
            break
        body += stream[:length]
        stream = stream[length + 2:]
    return body


def stream_of(path):
    content = path.read_bytes()
    if path.suffix == ".gz":
        return gzip.decompress(content)
    if path.suffix == ".hex":
        return b"".join(bytes.fromhex(line) for line in
                        content.decode("ascii").splitlines()
                        if not line.startswith("#"))
    return dechunked(content) if path.suffix == ".dat" else content


def frames_of_library(stream):
    """Frames as the library's own reader cuts them out of a stream."""
    import pyrtcm
    reader = pyrtcm.RTCMReader(
        io.BytesIO(stream), quitonerror=pyrtcm.ERR_IGNORE, parsed=False)
    return [bytes(raw) for raw, _ in reader if raw[:1] == pyrtcm.RTCM_HDR]


class Rtcm(unittest.TestCase):
    def check_capture(self, path, total):
        stream = stream_of(path)
        with tempfile.NamedTemporaryFile() as file:
            file.write(stream)
            file.flush()
            dumped = rtcm_text.read_dump(
                support.dump(file.name, program="dump_rtcm"))
        tally, apart, cut = rtcm_text.Tally(), collections.Counter(), []
        for (offset, length, kind, state), ours in dumped:
            frame = stream[int(offset):int(offset) + int(length)]
            cut.append(frame)
            if state != "fields":
                self.assertEqual(state, "opaque", f"{offset} {kind}")
                apart[kind if rtcm_text.is_known(frame) else
                      f"{kind} (nor by the library)"] += 1
                continue
            tally.compare(f"{offset} {kind}", ours,
                          rtcm_text.read_library(frame))
        print(f"{path.name}: {tally}; not decoded: "
              f"{dict(sorted(apart.items()))}", flush=True)
        self.assertEqual(tally.wrong[:20], [])
        self.assertEqual(cut, frames_of_library(stream))
        total["values"] += tally.values
        total["messages"] += tally.frames
        total["not decoded"] += sum(apart.values())

    def test_captures(self):
        folder = support.data("rtcm")
        total = collections.Counter()
        for pattern in CAPTURES:
            for path in sorted(folder.glob(pattern)):
                with self.subTest(path.name):
                    self.check_capture(path, total)
        print(f"captures: {dict(total)}", flush=True)
        self.assertGreater(total["values"], 1_900_000)

    def test_messages_that_we_encode(self):
        tally, types = rtcm_text.Tally(), set()
        made = rtcm_text.read_dump(
            support.dump("2", "30", program="make_rtcm"))
        for (frame,), ours in made:
            kind = ours["DF002"][0]
            types.add(kind)
            theirs = rtcm_text.read_library(bytes.fromhex(frame))
            tally.compare(kind, ours, theirs)
        print(f"encoded by us, {len(types)} types: {tally}", flush=True)
        self.assertEqual(tally.wrong[:20], [])
        self.assertGreater(tally.values, 200_000)


if __name__ == "__main__":
    support.main()
