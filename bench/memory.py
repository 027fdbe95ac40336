"""Memory of the station: idle, with rovers, with rovers that do not read.

usage: bench/memory.py [--program build/release/stillpoint] [--tools DIR]
                       [--settle 5] [--json RESULT]

Starts the station in a memory control group of its own (needs to be root;
otherwise the system's memory of all TCP sockets is shown instead) and reads, in
each state, its resident and proportional memory and what the kernel holds for
it. Rovers live outside the group. The kernel's share is that of sockets, their
buffers, files and epoll entries; it differs from kernel to kernel.
"""
import argparse
import contextlib
import os
import pathlib
import sys
import tempfile
import time

import hostile
import load_tools
from load_tools import Talker, stop

V1 = pathlib.Path("/sys/fs/cgroup/memory")
V2 = pathlib.Path("/sys/fs/cgroup")


def numbers(path):
    """"name value" lines; a line with a value alone has the name ""."""
    found = {}
    for line in path.read_text(encoding="ascii").splitlines():
        words = line.replace(":", "").split()
        if words and words[-1] == "kB":
            words, scale = words[:-1], 1024
        else:
            scale = 1
        if words and words[-1].isdigit():
            found[words[0] if len(words) > 1 else ""] = int(words[-1]) * scale
    return found


class Group:
    """A memory control group, version 1 or 2, or none."""

    def __init__(self):
        self.path = None
        two = (V2 / "cgroup.controllers").exists()
        base = V2 if two else V1
        self.kind = "cgroup v2" if two else "cgroup v1"
        try:
            self.path = base / f"stillpoint-bench-{os.getpid()}"
            self.path.mkdir()
            if not (self.path / ("memory.stat" if two else
                                 "memory.kmem.usage_in_bytes")).exists():
                raise OSError("no memory controller")
            if not two:
                # Version 1 counts sockets and buffers only under a limit.
                (self.path / "memory.kmem.tcp.limit_in_bytes").write_text(
                    str(1 << 40), encoding="ascii")
        except OSError:
            with contextlib.suppress(OSError):
                self.path.rmdir()
            self.path, self.kind = None, "all TCP sockets of the system"

    def enter(self):
        """In the child, before it becomes the station."""
        if self.path:
            (self.path / "cgroup.procs").write_text("0", encoding="ascii")

    def kernel_bytes(self):
        if self.kind == "cgroup v2":
            stat = numbers(self.path / "memory.stat")
            return stat.get("kernel", 0) + stat.get("sock", 0)
        if self.path:
            # Socket buffers are counted apart from the rest.
            return (numbers(self.path / "memory.kmem.usage_in_bytes")[""] +
                    numbers(self.path / "memory.kmem.tcp.usage_in_bytes")[""])
        for line in pathlib.Path("/proc/net/sockstat").read_text(
                encoding="ascii").splitlines():
            if line.startswith("TCP:"):
                return int(line.split()[-1]) * os.sysconf("SC_PAGE_SIZE")
        return 0

    def remove(self):
        if self.path:
            with contextlib.suppress(OSError):
                self.path.rmdir()


def state_of(station, group, name, rovers):
    process = pathlib.Path(f"/proc/{station.process.pid}")
    status = numbers(process / "status")
    return {"state": name, "rovers": rovers,
            "rss_bytes": status["VmRSS"],
            "rss_peak_bytes": status["VmHWM"],
            "pss_bytes": numbers(process / "smaps_rollup")["Pss"],
            "kernel_bytes": group.kernel_bytes()}


def measure(args, station, group):
    target = ["--port", station.port, "--frame-bytes", 700]
    load = args.tools / "rover_load"
    # Without a receiver nothing is ready; one rover stands for "idle".
    feeder = Talker(load, "good", "--count", 1, *target, "--feed-port",
                    station.source, "--feed-hz", 1)
    feeder.ask("wait")
    time.sleep(args.settle)
    rows = [state_of(station, group, "idle", 0)]
    for kind, count, extra in (
            ("good", 100, []), ("good", args.many, []),
            ("good", 100, ["--port", 0, "--tls-port", station.tls])):
        where = ["--from", "127.0.9.1", "--addresses", 200]
        rovers = Talker(load, kind, "--count", count, *(extra or target), *where)
        rovers.ask("wait")
        time.sleep(args.settle)
        name = f"{count} rovers" + (" over TLS" if extra else "")
        rows.append(state_of(station, group, name, count))
        rovers.end()
        hostile.wait_until(lambda: station.rovers()["connections"] <= 1)
    feeder.end()
    # As much as a rover can make the station and the kernel hold.
    feeder = Talker(load, "good", "--count", 1, *target, "--feed-port",
                    station.source, "--feed-hz", 20)
    feeder.ask("wait")
    frozen = Talker(load, "frozen", "--count", args.many, *target, "--from",
                    "127.0.8.1", "--addresses", 200)
    frozen.ask("wait")
    worst = state_of(station, group, f"{args.many} frozen", args.many)
    end = time.monotonic() + 120
    while station.rovers()["rovers"] > 1 and time.monotonic() < end:
        time.sleep(0.25)
        now = state_of(station, group, worst["state"], args.many)
        worst = {k: max(v, now[k]) if k.endswith("bytes") else v
                 for k, v in worst.items()}
    rows.append(worst)
    frozen.end()
    time.sleep(args.settle)
    rows.append(state_of(station, group, "after all of them", 0))
    feeder.end()
    return rows


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--program", type=pathlib.Path,
                        help="the station; without it the engine alone")
    parser.add_argument("--tools", type=pathlib.Path, default=load_tools.TOOLS)
    parser.add_argument("--many", type=int, default=5000)
    parser.add_argument("--settle", type=float, default=5)
    parser.add_argument("--json")
    args = parser.parse_args()
    load_tools.raise_descriptor_limit()
    group = Group()
    try:
        with tempfile.TemporaryDirectory() as folder:
            station = hostile.Station(args, pathlib.Path(folder), group.enter)
            try:
                rows = measure(args, station, group)
            finally:
                stop(station.process)
    finally:
        group.remove()
    idle = rows[0]
    for row in rows[1:]:
        if row["rovers"]:
            row["rss_bytes_a_rover"] = round(
                (row["rss_bytes"] - idle["rss_bytes"]) / row["rovers"])
            row["kernel_bytes_a_rover"] = round(
                (row["kernel_bytes"] - idle["kernel_bytes"]) / row["rovers"])
    load_tools.publish(
        {"what": "memory of the station",
         "program": str(args.program or "engine alone"),
         **load_tools.machine(), "kernel_counted_by": group.kind,
         "states": rows}, args.json)
    hundred = next(r for r in rows if r["state"] == "100 rovers")
    return 0 if hundred["rss_bytes"] <= 64 << 20 else 1


if __name__ == "__main__":
    sys.exit(main())
