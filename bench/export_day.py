"""Speed and memory of `export`, as ratios to `zstd -dc` of the same stream.

usage: bench/export_day.py [--hours 24] [--runs 5] [--build build/release]
                           [--json RESULT]
       bench/export_day.py --raw FOLDER --stream FILE [--name LHOL00XXX] …

Without --raw, a recording is made of the capture msm7-week-rollover (its epochs
again and again, 1 Hz, five systems) with bench/make_recording; with it, of what
is there, --stream being the plain bytes of it. Both sides in turn, processor
seconds, medians; the release preset. Never a test: figures belong to a machine.
"""
import argparse
import json
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile

import check

CAPTURE = check.DATA / "rtcm/msm7-week-rollover.rtcm3.gz"
WAYS = {
    "3.05": [],
    "3.05, 30 s": ["--interval", "30"],
    "3.05, Hatanaka and gzip": ["--hatanaka", "--gzip"],
    "3.05, 30 s, Hatanaka and gzip": ["--interval", "30", "--hatanaka",
                                      "--gzip"],
    "2.11": ["--format", "2.11"],
}


def make_recording(build, folder, hours):
    raw, stream = folder / "raw", folder / "stream.rtcm3"
    raw.mkdir()
    with open(stream, "wb") as file:
        subprocess.run([build / "bench/make_recording", CAPTURE, raw,
                        str(hours)], stdout=file, check=True)
    return raw, stream


def figures(build, raw, stream, name, runs):
    packed = stream.with_suffix(".zst")
    subprocess.run(["zstd", "-q", "-f", "-3", stream, "-o", packed],
                   check=True)
    out = packed.parent / "out"
    seconds, memory, unpack = {way: [] for way in WAYS}, {}, []
    size = {}
    for _ in range(runs):
        unpack.append(check.measured(["zstd", "-dcq", packed])[0])
        for way, words in WAYS.items():
            shutil.rmtree(out, ignore_errors=True)
            taken, megabytes = check.measured(
                [build / "stillpoint", "export", "--raw", raw, "--name", name,
                 "--out", out, *words])
            seconds[way].append(taken)
            memory[way] = max(memory.get(way, 0), megabytes)
            size[way] = sum(p.stat().st_size for p in out.iterdir())
    shutil.rmtree(out, ignore_errors=True)
    base = statistics.median(unpack)
    return {"stream_mb": stream.stat().st_size / 1e6, "zstd_s": base,
            "export": {way: {
                "seconds": statistics.median(taken),
                "over_zstd": statistics.median(taken) / base,
                "memory_mb": memory[way], "written_mb": size[way] / 1e6,
            } for way, taken in seconds.items()}}


def main():
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--hours", type=float, default=24)
    options.add_argument("--runs", type=int, default=5)
    options.add_argument("--build", type=pathlib.Path, default=check.BUILD)
    options.add_argument("--raw", type=pathlib.Path)
    options.add_argument("--stream", type=pathlib.Path)
    options.add_argument("--name", default="LHOL00XXX")
    options.add_argument("--json", type=pathlib.Path)
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        if chosen.raw:
            raw, stream = chosen.raw, folder / "stream.rtcm3"
            shutil.copyfile(chosen.stream, stream)
        else:
            raw, stream = make_recording(chosen.build, folder, chosen.hours)
        found = figures(chosen.build, raw, stream, chosen.name, chosen.runs)
    print(f"stream {found['stream_mb']:.1f} MB, zstd -dc "
          f"{found['zstd_s']:.3f} s")
    for way, f in found["export"].items():
        print(f"{way:32} {f['seconds']:7.2f} s  {f['over_zstd']:6.1f} x zstd  "
              f"{f['memory_mb']:6.1f} MB  writes {f['written_mb']:.1f} MB")
    if chosen.json:
        chosen.json.write_text(json.dumps(found, indent=1) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
