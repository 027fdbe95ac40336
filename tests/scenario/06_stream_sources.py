"""`listen` on what is alive: ports and terminals, and their troubles. Receivers
are played by `replay` or by the test itself.

Most listenings here are ended by Ctrl-C once what was waited for has happened;
nothing is timed.
"""
import datetime
import os
import pathlib
import pty
import re
import signal
import socket
import tty

import rtcm_bytes as rtcm
from running import WATCHDOG_S, Listening, Replay, by_type, wait_until
from support import main, run


def bytes_read(pid):
    """By this process so far, sockets left out."""
    text = pathlib.Path(f"/proc/{pid}/io").read_text()
    return int(re.search(r"rchar: (\d+)", text)[1])


def has_open(pid, path):
    """Whether the process has the device open."""
    wanted = os.path.realpath(path)
    for link in pathlib.Path(f"/proc/{pid}/fd").iterdir():
        try:
            if os.readlink(link) == wanted:
                return True
        except FileNotFoundError:
            pass
    return False


def is_connected_to(port):
    """Whether somebody is: columns of /proc/net/tcp, state 01."""
    rows = [line.split() for line in
            pathlib.Path("/proc/net/tcp").read_text().splitlines()[1:]]
    return any(row[2].endswith(f":{port:04X}") and row[3] == "01"
               for row in rows)


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


class Receivers(Listening):
    def check_rates(self, document):
        """They come from epoch times, however fast it was played."""
        rates = {m["type"]: m["rate_hz"] for m in document["messages"]}
        self.assertEqual(rates[1077], 1)
        self.assertEqual(document["epochs"]["interval_s"], 1)
        self.assertGreaterEqual(document["seconds"], 3)
        self.assertEqual(document["station"]["ecef_m"], list(rtcm.ECEF_M))
        # Alive, the week is that of now.
        first = datetime.datetime.fromisoformat(
            document["epochs"]["first"].removesuffix("Z"))
        now = datetime.datetime.now(datetime.timezone.utc).replace(
            tzinfo=None)
        self.assertLess(abs(first - now), datetime.timedelta(days=4))

    def test_a_port_for_three_seconds(self):
        path = self.write(rtcm.station_stream(1000))
        replay = Replay(self, path, "--to", "tcp:0", "--speed", "5")
        answer = run("listen", replay.source, "--for", "3s", "--json")
        document = self.heard(answer)
        self.check_rates(document)
        self.assertEqual(document["source"], replay.source)
        # Fewer on a slow machine, never all of them.
        self.assertTrue(2 <= document["epochs"]["count"] < 500, document)
        self.assertEqual(document["bad"]["crc"], 0)

    def test_a_terminal_for_three_seconds(self):
        path = self.write(rtcm.station_stream(1000))
        replay = Replay(self, path, "--to", "pty", "--speed", "5")
        source = f"{replay.source}?baud=115200"
        document = self.heard(run("listen", source, "--for", "3s", "--json"))
        self.check_rates(document)
        self.assertEqual(document["source"], source)

    def test_speed_1_is_the_time_of_the_epochs(self):
        path = self.write(rtcm.station_stream(1000))
        replay = Replay(self, path, "--to", "tcp:0")
        live = run("listen", replay.source, "--for", "2s", "--json")
        file = run("listen", f"file:{path}?speed=1", "--for", "2s", "--json")
        for answer in (live, file):
            document = self.heard(answer)
            self.assertTrue(1 <= document["epochs"]["count"] < 100, document)

    def test_interrupted_it_keeps_what_it_heard(self):
        for number in (signal.SIGINT, signal.SIGTERM):
            with self.subTest(number), \
                    socket.create_server(("127.0.0.1", 0)) as server:
                stream = rtcm.station_stream(10)
                port = server.getsockname()[1]
                listen = self.start(f"tcp://127.0.0.1:{port}")
                with server.accept()[0] as receiver:
                    receiver.sendall(stream)
                with server.accept()[0]:  # again: the first is read to its end
                    listen.process.send_signal(number)
                    document = self.heard(listen.answer())
                self.assertEqual(by_type(document), rtcm.scan(stream).counts)

    def test_a_port_whose_receiver_is_replaced(self):
        first = self.write(rtcm.opaque(4001), "first")
        second = self.write(rtcm.opaque(4002) * 50, "second")
        old = Replay(self, first, "--to", "tcp:0", "--loop", "--speed", "0")
        listen = self.start(old.source)
        wait_until(lambda: is_connected_to(old.port), "a connection")
        with socket.create_connection(("127.0.0.1", old.port),
                                      WATCHDOG_S) as behind:
            behind.recv(100)  # so `listen`, which came before, has some too
        old.kill()
        new = Replay(self, second, "--to", f"tcp:{old.port}", "--speed", "0")
        self.assertEqual(new.answer().code, 0)
        with socket.create_server(("127.0.0.1", old.port)) as server:
            server.settimeout(WATCHDOG_S)
            server.accept()[0].close()  # so it has read to the end of the new
        document = self.heard(listen.interrupt())
        self.assertGreaterEqual(by_type(document)[4001], 1)
        self.assertEqual(by_type(document)[4002], 50)

    def test_a_device_that_is_unplugged_and_comes_back(self):
        link = self.folder / "receiver"
        listen = None
        for number in (4001, 4002):
            path = self.write(rtcm.opaque(number, 500), str(number))
            replay = Replay(self, path, "--to", "pty", "--loop", "--speed",
                            "0")
            fresh = self.folder / "fresh"
            fresh.symlink_to(replay.path)
            fresh.replace(link)
            listen = listen or self.start(f"serial:{link}?baud=115200")
            wait_until(lambda: has_open(listen.pid, replay.path),
                       "the device to be opened")
            before = bytes_read(listen.pid)
            wait_until(lambda: bytes_read(listen.pid) > before + 10_000,
                       "bytes to be read")
            replay.kill()
        document = self.heard(listen.interrupt())
        self.assertGreater(by_type(document)[4001], 1)
        self.assertGreater(by_type(document)[4002], 1)

    def test_the_wrong_speed(self):
        ours, theirs = pty.openpty()
        self.addCleanup(os.close, ours)
        self.addCleanup(os.close, theirs)
        tty.setraw(theirs)
        os.set_blocking(ours, False)
        path = os.ttyname(theirs)
        listen = self.start(f"serial:{path}?baud=9600")
        wait_until(lambda: has_open(listen.pid, path), "the device")
        before = bytes_read(listen.pid)
        # What frames become is chance; these bytes begin none.
        garbage = bytes((b << 1 & 0xAA) | 1 for b in rtcm.epoch(0))

        def go_on():
            try:
                os.write(ours, garbage)
            except BlockingIOError:
                pass
            return bytes_read(listen.pid) > before + 5000
        wait_until(go_on, "bytes to be read")
        document = self.heard(listen.interrupt(), code=1)
        self.assertGreater(document["bytes"], 0)
        self.assertEqual(document["messages"], [])
        self.assertEqual(document["lacks"], [
            "bytes arrive but no frame in them: wrong speed?"])

    def test_a_device_that_is_not_there(self):
        path = self.folder / "none"
        answer = run("listen", f"serial:{path}?baud=115200", "--for", "1s",
                     "--json")
        error = self.refused(answer)
        self.assertEqual(error["where"], str(path))
        self.assertIn("plug it in", error["remedy"])
        self.assertIn("trying again", answer.err)

    def test_a_file_is_no_device(self):
        path = self.write(rtcm.epoch(0))
        error = self.refused(run("listen", f"serial:{path}", "--json"), 2)
        self.assertIn("file:", error["remedy"])

    def test_a_port_where_nobody_listens(self):
        port = free_port()
        answer = run("listen", f"tcp://127.0.0.1:{port}", "--for", "1s",
                     "--json")
        error = self.refused(answer)
        self.assertIn("nothing listens", error["what"])
        self.assertEqual(error["where"], f"127.0.0.1:{port}")

    def test_a_port_that_opens_late_and_says_nothing(self):
        port = free_port()
        listen = self.start(f"tcp://127.0.0.1:{port}")
        self.assertIn("trying again", listen.line(listen.process.stderr))
        with socket.create_server(("127.0.0.1", port)) as server:
            server.settimeout(WATCHDOG_S)
            with server.accept()[0] as receiver:
                # Nothing shows that it has noticed; it keeps the connection.
                receiver.settimeout(2)
                with self.assertRaises(TimeoutError):
                    receiver.recv(1)
                document = self.heard(listen.interrupt(), code=1)
        self.assertEqual(document["lacks"], ["no bytes arrive"])


if __name__ == "__main__":
    main()
