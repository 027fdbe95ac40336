"""The station in the background: settings, pages, rovers."""
import contextlib
import hashlib
import json
import pathlib
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import urllib.error
import urllib.request

from running import WATCHDOG_S, Running, wait_until
from support import program

NAME = "LHOL00XXX"
SEGMENT_READER = pathlib.Path(__file__).with_name("segment_reader.py")


def free_ports(count):
    """Ports that nobody has at this moment."""
    with contextlib.ExitStack() as stack:
        sockets = [stack.enter_context(socket.socket()) for _ in range(count)]
        for one in sockets:
            one.bind(("127.0.0.1", 0))
        return [one.getsockname()[1] for one in sockets]


class Station(Running):
    """One start of `run` that has opened its ports."""

    def __init__(self, test, folder, source, extra="", mount="open = true",
                 tls=False, receiver="", rovers="", console=None):
        self.folder = pathlib.Path(folder)
        self.state = self.folder / "state"
        (self.port, self.tls_port, self.health_port,
         self.console_port) = free_ports(4)
        self.config = self.folder / "station.toml"
        self.source = source
        self.settings(extra=extra, mount=mount, tls=tls, receiver=receiver,
                      rovers=rovers, console=console)
        super().__init__(test, "run", "--config", self.config)
        wait_until(self.answers, "the station opens its ports")

    def settings(self, extra="", mount="open = true", tls=False, receiver="",
                 rovers="", console=None):
        """console: further lines of its section; None: there is no console."""
        at = "" if console is None else f"127.0.0.1:{self.console_port}"
        tls_listen = f"127.0.0.1:{self.tls_port}" if tls else ""
        self.config.write_text(f"""
[station]
name = "{NAME}"
state = "{self.state}"
[receiver]
source = "{self.source}"
{receiver}
[rovers]
listen = "127.0.0.1:{self.port}"
tls_listen = "{tls_listen}"
{rovers}
[[mountpoint]]
name = "LHOL"
{mount}
[health]
listen = "127.0.0.1:{self.health_port}"
[console]
listen = "{at}"
{console or ""}
{extra}
""")

    def answers(self):
        if self.process.poll() is not None:
            raise AssertionError(f"ended: {self.answer()}")
        return self.page("/livez") is not None

    def page(self, path):
        """Status and text; None where nobody answers."""
        url = f"http://127.0.0.1:{self.health_port}{path}"
        try:
            with urllib.request.urlopen(url, timeout=WATCHDOG_S) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, error.read().decode()
        except OSError:
            return None

    def status(self):
        return json.loads(self.page("/status.json")[1])

    def stop(self):
        """SIGTERM, and its end."""
        self.process.send_signal(signal.SIGTERM)
        return self.answer()

    def recorded(self):
        """The bytes on the disk, by the independent reader."""
        return recorded(self.state / "raw")

    def logbook(self, kind=None):
        """Entries by kind, oldest first: (kind, text, details)."""
        return logbook(self.state / "station.db", kind)


def logbook(database, kind=None):
    with contextlib.closing(sqlite3.connect(database)) as base:
        rows = base.execute(
            "SELECT name, text, details FROM logbook JOIN logbook_kind"
            " ON kind = number ORDER BY id").fetchall()
    return [(name, text, json.loads(details)) for name, text, details in rows
            if kind in (None, name)]


def recorded(raw):
    with tempfile.NamedTemporaryFile() as found:
        done = subprocess.run(
            [sys.executable, "-B", SEGMENT_READER, "--bytes", found.name, raw],
            capture_output=True, check=False)
        if done.returncode != 0:
            raise AssertionError(done.stderr.decode())
        return found.read()


class Rover:
    """curl, which knows nothing of this project."""

    def __init__(self, test, station, *options, tls=False, mount="LHOL"):
        self.path = pathlib.Path(station.folder, f"rover-{id(self)}")
        scheme, port = (("https", station.tls_port) if tls
                        else ("http", station.port))
        self.process = subprocess.Popen(
            ["curl", "--silent", "--show-error", "--no-buffer", *options,
             "--output", self.path, f"{scheme}://127.0.0.1:{port}/{mount}"],
            stderr=subprocess.PIPE)
        test.addCleanup(self.end)

    def end(self):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        self.process.stderr.close()

    def got(self):
        """Everything, once the station has let it go. curl takes the head of
        protocol 1, which is not HTTP, for the first bytes of the answer."""
        self.process.wait(WATCHDOG_S)
        content = self.path.read_bytes() if self.path.exists() else b""
        return content.removeprefix(b"ICY 200 OK\r\n\r\n")


def digest(content):
    return hashlib.sha256(content).hexdigest()


def rovers(*arguments):
    """`stillpoint rovers`; its stdout."""
    return subprocess.run([program(), "rovers", *map(str, arguments)],
                          capture_output=True, check=True).stdout.decode()
