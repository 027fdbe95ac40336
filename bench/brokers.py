"""Processor time of a delivered chunk: a bare send() loop, our fan-out, two
general brokers, in one run.

usage: bench/brokers.py [--tools DIR] [--rovers 5000] [--chunks 50] [--rounds 5]
                        [--program build/release/stillpoint] [--json RESULT]

Each server is a process of its own with as many subscribers, which live in one
more process each and publish too; only the server's process is counted (all its
threads, user and system, by its CPU clock). The servers stand side by side and
take turns, round by round, so that the machine's moods meet them alike. A chunk
is published when all have the one before. Medians of the rounds; the ratios are
medians of the ratios within a round. With --program the whole station is one
more row: it records besides.
"""
import argparse
import pathlib
import statistics
import subprocess
import sys
import tempfile

import load_tools
from load_tools import Talker, free_ports, stop, wait_for_port

NATS = """host: 127.0.0.1
port: {port}
max_connections: 100000
ping_interval: "24h"
"""
MQTT = """listener {port} 127.0.0.1
allow_anonymous true
max_connections -1
persistence false
set_tcp_nodelay true
log_type error
"""


def station_config(folder, rovers_port, source_port, health_port, count):
    config = folder / f"station-{rovers_port}.toml"
    state = folder / f"state-{rovers_port}"
    state.mkdir()
    config.write_text(f"""station.name = "LHOL00XXX"
station.state = "{state}"
receiver.source = "tcp://127.0.0.1:{source_port}"
receiver.silence_s = 3600
rovers.listen = "127.0.0.1:{rovers_port}"
rovers.most = {count}
rovers.most_per_address = {count}
console.listen = ""
health.listen = "127.0.0.1:{health_port}"
log.level = "warning"
[[mountpoint]]
name = "{load_tools.MOUNT}"
open = true
""", encoding="utf-8")
    return config


class Contestant:
    """A server and its subscribers."""

    def __init__(self, name, kind, args, folder):
        self.name, self.figures = name, []
        tools = args.tools
        port, source, health = free_ports(3)
        options = ["--kind", kind, "--port", port, "--count", args.rovers,
                   "--chunk-bytes", args.chunk_bytes]
        if kind == "frames":
            options += ["--source-port", source]
        if name == "send() loop":
            command = [tools / "bare_sender", port, source, args.rovers]
        elif name == "nats-server":
            config = folder / "nats.conf"
            config.write_text(NATS.format(port=port), encoding="utf-8")
            command = [name, "-c", config]
        elif name == "mosquitto":
            config = folder / "mqtt.conf"
            config.write_text(MQTT.format(port=port), encoding="utf-8")
            command = [name, "-c", config]
        else:
            config = station_config(folder, port, source, health, args.rovers)
            program = (args.program if name == "station"
                       else tools / "fan_server")
            command = [program, "run", "--config", config]
            if name == "fan-out, one worker":
                command += ["--workers", "1"]
        self.server = subprocess.Popen(list(map(str, command)),
                                       stdout=subprocess.DEVNULL,
                                       stderr=subprocess.DEVNULL)
        # The loop takes exactly its rovers, a look at its port would be one.
        if name != "send() loop":
            wait_for_port(port, self.server)
        self.subscribers = Talker(tools / "subscribers", *options,
                                  "--pid", self.server.pid)
        self.subscribers.ask()

    def round(self, chunks):
        return self.subscribers.ask(f"round {chunks}")

    def end(self):
        self.subscribers.process.stdin.close()
        self.subscribers.process.wait()
        stop(self.server)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--tools", type=pathlib.Path, default=load_tools.TOOLS)
    parser.add_argument("--program", type=pathlib.Path)
    parser.add_argument("--rovers", type=int, default=5000)
    parser.add_argument("--chunks", type=int, default=50)
    parser.add_argument("--chunk-bytes", type=int, default=700)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--only", help="names, with ; between")
    parser.add_argument("--json")
    args = parser.parse_args()
    load_tools.raise_descriptor_limit()
    kinds = {"send() loop": "frames", "fan-out": "frames",
             "fan-out, one worker": "frames", "nats-server": "nats",
             "mosquitto": "mqtt"}
    if args.program:
        kinds["station"] = "frames"
    if args.only:
        kinds = {name: kinds[name] for name in args.only.split(";")}
    contestants = []
    with tempfile.TemporaryDirectory() as folder:
        try:
            for name, kind in kinds.items():
                print(f"{name}: {args.rovers} subscribers", file=sys.stderr)
                contestants.append(
                    Contestant(name, kind, args, pathlib.Path(folder)))
            for contestant in contestants:
                contestant.round(3)  # buffers are there from here on
            for _ in range(args.rounds):
                for contestant in contestants:
                    contestant.figures.append(contestant.round(args.chunks))
        finally:
            for contestant in contestants:
                contestant.end()
    bare = [f["cpu_ns"] for f in contestants[0].figures]
    rows = {}
    for contestant in contestants:
        cpu = [f["cpu_ns"] for f in contestant.figures]
        rows[contestant.name] = {
            "cpu_us_per_chunk": round(statistics.median(cpu) / 1000, 3),
            "over_loop": round(statistics.median(
                a / b for a, b in zip(cpu, bare)), 3),
            "clock_us_per_chunk": round(statistics.median(
                f["clock_ns"] for f in contestant.figures) / 1000, 3),
            "rounds_cpu_us": [round(x / 1000, 3) for x in cpu]}
    load_tools.publish(
        {"what": "processor time of a server for a delivered chunk",
         **load_tools.machine(), "rovers": args.rovers, "chunks": args.chunks,
         "chunk_bytes": args.chunk_bytes, "servers": rows}, args.json)


if __name__ == "__main__":
    main()
