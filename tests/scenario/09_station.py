"""`run`: what the receiver sends is on the disk and at the rovers, byte for
byte, whatever the way; what the owner sees of it; how it ends.

Rovers are curl; the disk is read by segment_reader.py, which shares no code
with the program.
"""
import gzip
import json
import os
import pathlib
import select
import signal
import socket
import ssl
import subprocess

import rtcm_bytes as rtcm
from running import WATCHDOG_S, InFolder, Replay, check, wait_until
from station_running import Rover, Station, digest, free_ports
from support import data, main, run

VERSION_1 = ("--http0.9", "--http1.0", "--user-agent", "NTRIP curl")
VERSION_2 = ("--header", "Ntrip-Version: Ntrip/2.0",
             "--user-agent", "NTRIP curl")
TLS_1_2 = ("--insecure", "--tlsv1.2", "--tls-max", "1.2")
TLS_1_3 = ("--insecure", "--tlsv1.3")


def unpacked(path):
    content = pathlib.Path(path).read_bytes()
    return gzip.decompress(content) if str(path).endswith(".gz") else content


POSITIONS = (1005, 1006, 1032)


def for_rovers(stream):
    """Every RTCM frame with a good checksum, one after the other, but for the
    receiver's coordinates: nobody has adopted one (design, section 5)."""
    frames, at = bytearray(), 0
    while at < len(stream):
        size = rtcm.frame_size(stream, at)
        kind = (stream[at + 3] << 4 | stream[at + 4] >> 4) if size > 7 else 0
        frames += b"" if kind in POSITIONS else stream[at:at + size]
        at += size or 1
    return bytes(frames)


class ByteForByte(InFolder):
    """Rovers are in before the first byte comes, and stay to the last."""

    def serve(self, path, to, speed):
        folder = self.folder / f"{to}-{speed}"
        folder.mkdir()
        port = free_ports(1)[0]
        terminal = folder / "receiver"
        source = (f"tcp://127.0.0.1:{port}" if to == "tcp"
                  else f"serial:{terminal}?baud=921600")
        station = Station(self, folder, source, tls=True)
        rovers = [Rover(self, station, *VERSION_1),
                  Rover(self, station, *VERSION_2),
                  Rover(self, station, *VERSION_1, *TLS_1_3, tls=True),
                  Rover(self, station, *VERSION_2, *TLS_1_2, tls=True)]
        wait_until(lambda: station.status()["rovers"]["rovers"] ==
                   len(rovers), "all rovers are in")
        content = unpacked(path)
        replay = Replay(self, path, "--speed", speed, "--to",
                        f"tcp:{port}" if to == "tcp" else "pty")
        if to == "pty":
            os.symlink(replay.path, terminal)
        wait_until(lambda: station.status()["receiver"]["bytes"] ==
                   len(content), "every byte has come")
        self.assertEqual(station.stop().code, 0)
        wanted = for_rovers(content)
        self.assertGreater(len(wanted), 1000)
        for rover in rovers:
            self.assertEqual(digest(rover.got()), digest(wanted))
        self.assertEqual(digest(station.recorded()), digest(content))

    def test_invented_stream_at_fifty_fold_speed(self):
        stream = (rtcm.station_stream(100) + b"torn\xd3\x00" +
                  rtcm.sentence("GNGGA,120000.00,,,,,0,00,99.9,,,,,,") +
                  rtcm.station_stream(100, rtcm.TOW_S + 100))
        path = self.write(stream)
        for to in ("tcp", "pty"):
            with self.subTest(to):
                self.serve(path, to, 50)

    def test_captures_at_fifty_fold_speed(self):
        for name in ("mixed-short.rtcm3", "mixed-station-stream.rtcm3",
                     "legacy-beside-msm7.rtcm3", "msm7-five-systems.rtcm3.gz"):
            for to in ("tcp", "pty"):
                with self.subTest(name, to=to):
                    self.serve(data(f"rtcm/{name}"), to, 50)
                    for made in self.folder.iterdir():
                        made.rename(self.folder / f"{name}-{made.name}")

    def test_a_capture_as_fast_as_it_was_sent(self):
        for to in ("tcp", "pty"):
            with self.subTest(to):
                self.serve(data("rtcm/mixed-station-stream.rtcm3"), to, 1)


class Receiver:
    """A TCP port on which a test sends what it wants."""

    def __init__(self, test):
        self.listener = socket.create_server(("127.0.0.1", 0))
        test.addCleanup(self.listener.close)
        self.source = "tcp://127.0.0.1:%d" % self.listener.getsockname()[1]
        self.connection = None

    def accept(self):
        if self.connection:
            self.connection.close()
        self.listener.settimeout(WATCHDOG_S)
        self.connection, _ = self.listener.accept()

    def send(self, content):
        self.connection.sendall(content)

    def close(self):
        self.connection.close()
        self.listener.close()


class Life(InFolder):
    def start(self, **options):
        receiver = Receiver(self)
        station = Station(self, self.folder, receiver.source, **options)
        receiver.accept()
        return receiver, station

    def test_pages_say_how_it_is_and_never_where(self):
        receiver, station = self.start()
        self.assertEqual(station.page("/readyz")[0], 503)
        receiver.send(rtcm.station_stream(30))
        wait_until(lambda: station.page("/readyz")[0] == 200, "ready")
        wait_until(lambda: station.status()["archive"]["durable_offset"] ==
                   len(rtcm.station_stream(30)), "everything is safe")
        status = station.status()
        check(status, "status")
        self.assertEqual(status["durable_offset"],
                         status["archive"]["durable_offset"])
        counts = {m["type"]: m["count"] for m in status["decode"]["messages"]}
        self.assertEqual(counts, rtcm.scan(rtcm.station_stream(30)).counts)
        text = station.page("/status.json")[1]
        for coordinate in rtcm.ECEF_M:
            self.assertNotIn(str(int(coordinate)), text)
        code, metrics = station.page("/metrics")
        self.assertEqual(code, 200)
        self.assertIn("\nstillpoint_build_info{", metrics)
        self.assertEqual(station.stop().code, 0)

    def test_every_end_and_start_is_in_the_logbook(self):
        receiver, station = self.start()
        receiver.send(rtcm.station_stream(5))
        wait_until(lambda: station.status()["archive"]["end_offset"], "bytes")
        self.assertEqual(station.stop().code, 0)
        kinds = [kind for kind, _, _ in station.logbook()]
        self.assertEqual((kinds[0], kinds[-1]), ("started", "stopped"))
        again = Station(self, self.folder, receiver.source)
        receiver.accept()
        receiver.send(rtcm.station_stream(5))
        wait_until(lambda: again.status()["archive"]["end_offset"] ==
                   2 * len(rtcm.station_stream(5)), "more bytes")
        self.assertEqual(again.stop().code, 0)
        self.assertEqual(again.recorded(), 2 * rtcm.station_stream(5))

    def test_a_lost_receiver_comes_back_and_the_gap_is_told(self):
        receiver, station = self.start()
        receiver.send(rtcm.station_stream(5))
        wait_until(lambda: station.status()["receiver"]["bytes"], "bytes")
        receiver.accept()  # closes the first connection
        receiver.send(rtcm.station_stream(5))
        wait_until(lambda: station.status()["receiver"]["bytes"] ==
                   2 * len(rtcm.station_stream(5)), "more bytes")
        self.assertEqual(station.stop().code, 0)
        (_, text, details), = station.logbook("gap")
        self.assertIn("closed", details["cause"], text)
        self.assertGreaterEqual(details["end_gpst_ns"], details["from_gpst_ns"])
        self.assertEqual(station.recorded(), 2 * rtcm.station_stream(5))

    def test_a_silent_receiver_is_told_and_opened_again(self):
        receiver, station = self.start(receiver="silence_s = 1")
        receiver.send(rtcm.station_stream(5))
        wait_until(lambda: station.status()["receiver"]["state"] == "silent",
                   "silent")
        self.assertEqual(station.page("/readyz")[0], 503)

        def back():
            # The station has given the first connection up, and opens another
            # now and then; which of them it reads is for it to know.
            if select.select([receiver.listener], [], [], 0)[0]:
                connection, _ = receiver.listener.accept()
                self.addCleanup(connection.close)
                connection.sendall(rtcm.station_stream(5))
            return station.logbook("source_back")
        wait_until(back, "back")
        self.assertEqual(station.stop().code, 0)
        # Each silence is told once. A slow machine may see more of them: the
        # receiver is silent again a second after its last byte.
        once = ["source_silent", "source_back"]
        told = [kind for kind, _, _ in station.logbook() if kind in once]
        self.assertEqual(told[:2], once)
        self.assertEqual(told, (once * len(told))[:len(told)])

    def test_a_second_station_stays_out_of_the_folder(self):
        receiver, station = self.start()
        other = self.folder / "other.toml"
        text = station.config.read_text()
        for port in (station.port, station.health_port):
            text = text.replace(str(port), str(free_ports(1)[0]))
        other.write_text(text)
        answer = run("run", "--config", other)
        self.assertEqual(answer.code, 4, answer)
        self.assertIn("another station", answer.err)
        self.assertEqual(station.page("/livez")[0], 200)

    def test_a_port_that_is_taken_is_named(self):
        with socket.create_server(("127.0.0.1", 0)) as taken:
            port = taken.getsockname()[1]
            config = self.folder / "station.toml"
            config.write_text(f"""
[station]
name = "LHOL00XXX"
state = "{self.folder}/state"
[rovers]
listen = "127.0.0.1:{port}"
[[mountpoint]]
name = "LHOL"
""")
            answer = run("run", "--config", config)
        self.assertEqual(answer.code, 4, answer)
        self.assertIn(str(port), answer.err)


class Reload(InFolder):
    def setUp(self):
        super().setUp()
        self.receiver = Receiver(self)
        self.station = Station(self, self.folder, self.receiver.source)
        self.receiver.accept()

    def reload(self, **options):
        loaded = self.station.status()["config"]
        self.station.settings(**options)
        self.station.process.send_signal(signal.SIGHUP)
        wait_until(lambda: self.station.status()["config"] != loaded, "taken")
        return self.station.status()["config"]

    def test_a_mountpoint_is_closed_while_a_rover_listens(self):
        rover = Rover(self, self.station, *VERSION_2)
        wait_until(lambda: self.station.status()["rovers"]["rovers"] == 1, "in")
        self.assertIsNone(self.reload(mount="open = false")["last_error"])
        stranger = Rover(self, self.station, *VERSION_2, "--fail")
        self.assertEqual(stranger.process.wait(60), 22)  # HTTP 4xx
        stream = rtcm.station_stream(5)
        self.receiver.send(stream)
        wait_until(lambda: self.station.status()["receiver"]["bytes"] ==
                   len(stream), "bytes")
        self.station.stop()
        self.assertEqual(rover.got(), for_rovers(stream))
        changes = [details["setting"] for _, _, details
                   in self.station.logbook("configuration_changed")]
        self.assertEqual(changes, ["mountpoint.LHOL.open"])

    def test_a_mistake_changes_nothing(self):
        config = self.reload(extra="[archive]\ncommit_s = 99")
        self.assertIn("station.toml:", config["last_error"])
        self.assertNotIn("99", config["last_error"])
        self.assertEqual(self.station.page("/livez")[0], 200)


class Certificates(InFolder):
    def make(self, name):
        """A certificate of the owner's, by the openssl program."""
        subprocess.run(
            ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt",
             "ec_paramgen_curve:P-256", "-nodes", "-days", "2", "-subj",
             f"/CN={name}", "-keyout", self.folder / "own.key", "-out",
             self.folder / "own.crt"], check=True, capture_output=True)
        return (self.folder / "own.crt").read_text()

    def shown(self, station):
        return ssl.get_server_certificate(("127.0.0.1", station.tls_port))

    def test_a_new_one_is_shown_and_no_rover_is_dropped(self):
        receiver = Receiver(self)
        first = self.make("first")
        station = Station(self, self.folder, receiver.source, tls=True,
                          rovers=f'certificate = "{self.folder}/own.crt"\n'
                                 f'key = "{self.folder}/own.key"')
        receiver.accept()
        self.assertEqual(self.shown(station), first)
        rover = Rover(self, station, *VERSION_2, *TLS_1_3, tls=True)
        wait_until(lambda: station.status()["rovers"]["rovers"] == 1, "in")
        second = self.make("second")
        station.process.send_signal(signal.SIGHUP)
        wait_until(lambda: self.shown(station) == second, "the new one")
        stream = rtcm.station_stream(5)
        receiver.send(stream)
        wait_until(lambda: station.status()["receiver"]["bytes"] ==
                   len(stream), "bytes")
        station.stop()
        self.assertEqual(rover.got(), for_rovers(stream))
        self.assertEqual(len(station.logbook("certificate_reloaded")), 1)

    def test_the_stations_own_is_made_once(self):
        receiver = Receiver(self)
        station = Station(self, self.folder, receiver.source, tls=True)
        own = self.shown(station)
        station.stop()
        again = Station(self, self.folder, receiver.source, tls=True)
        self.assertEqual(self.shown(again), own)


class CheckConfig(InFolder):
    def verdict(self, text, code):
        path = self.write(text.encode(), "station.toml")
        answer = run("check-config", path, "--json")
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "check-config")
        return answer.json()

    def test_the_shipped_file_has_no_mistake_but_a_placeholder(self):
        shipped = pathlib.Path(__file__).parents[2] / "packaging/station.toml"
        text = shipped.read_text().replace("/var/lib/stillpoint",
                                           str(self.folder / "state"))
        verdict = self.verdict(text, 0)
        self.assertEqual(verdict["mistakes"], [])
        self.assertIn("NAME00XXX", verdict["warnings"][0])

    def test_every_mistake_has_its_line_and_remedy(self):
        verdict = self.verdict('[station]\nname = "x"\n[archive]\n'
                               'commit_s = 99\n[[mountpoint]]\nname = "A"\n', 1)
        places = [m["where"].rsplit("/", 1)[-1] for m in verdict["mistakes"]]
        self.assertEqual(places, ["station.toml:2:8", "station.toml:4:12"])
        for mistake in verdict["mistakes"]:
            self.assertTrue(mistake["remedy"])

    def test_what_the_settings_point_to_is_looked_at(self):
        verdict = self.verdict(
            f'[station]\nname = "LHOL00XXX"\nstate = "{self.folder}"\n'
            '[receiver]\nprofile = "no-such"\n'
            f'nav_sources = ["{self.folder}/none.rnx"]\n'
            '[rovers]\ntls_listen = "127.0.0.1:2102"\n'
            f'certificate = "{self.folder}/c.pem"\n'
            f'key = "{self.folder}/k.pem"\n'
            '[[mountpoint]]\nname = "A"\n', 1)
        self.assertEqual(len(verdict["mistakes"]), 3, json.dumps(verdict))

    def test_a_file_that_is_not_there(self):
        answer = run("check-config", self.folder / "none.toml", "--json")
        self.assertEqual(answer.code, 3, answer)


if __name__ == "__main__":
    main()
