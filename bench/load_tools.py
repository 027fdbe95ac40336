"""What the load scripts share: programs, ports, one JSON object a line."""
import datetime
import json
import os
import pathlib
import platform
import resource
import socket
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
TOOLS = ROOT / "build/release/bench/load"
MOUNT = "LHOL00XXX"


def raise_descriptor_limit(wanted=100_000):
    hard = resource.getrlimit(resource.RLIMIT_NOFILE)[1]
    try:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, max(hard, wanted)))
    except (ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_NOFILE, (hard, hard))


def free_ports(count):
    """Ports that were free a moment ago, below those of outgoing connections,
    which would otherwise be taken by thousands of rovers."""
    ports, port = [], 20_000 + os.getpid() % 5_000
    while len(ports) < count:
        port += 1
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
        ports.append(port)
    return ports


def wait_for_port(port, process, seconds=60):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if process.poll() is not None:
            sys.exit(f"{process.args[0]} ended with {process.returncode}")
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    sys.exit(f"{process.args[0]} does not listen on {port}")


class Talker:
    """A load program: commands in, one JSON object a line out."""

    def __init__(self, *command):
        self.process = subprocess.Popen(
            list(map(str, command)), stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, text=True)

    def say(self, command):
        self.process.stdin.write(command + "\n")
        self.process.stdin.flush()

    def ask(self, command=None):
        if command:
            self.say(command)
        line = self.process.stdout.readline()
        if not line:
            sys.exit(f"{' '.join(self.process.args)}: no answer to {command}")
        return json.loads(line)

    def end(self):
        """Everything that is still to be read, after "stop"."""
        answer = self.ask("stop")
        self.process.wait()
        return answer


def stop(process):
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def machine():
    return {"date": datetime.date.today().isoformat(),
            "machine": platform.processor() or platform.machine(),
            "cores": os.cpu_count(),
            "load_average": [round(x, 2) for x in os.getloadavg()]}


def publish(figures, path):
    text = json.dumps(figures, indent=1)
    print(text)
    if path:
        pathlib.Path(path).write_text(text + "\n", encoding="utf-8")
