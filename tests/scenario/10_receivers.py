"""`check-receiver` against an invented receiver (fake_receiver.py) on TCP and
on a pseudo-terminal.
"""
import binascii
import socket
import struct
import unittest

import fake_receiver as fake
import rtcm_bytes as rtcm
from fake_receiver import FakeReceiver
from running import InFolder, Running, check, wait_until
from support import SOURCE, main, run

X_M, Y_M, Z_M = 4279402.4, 671220.0, 4666639.5
POSITION = f"{X_M},{Y_M},{Z_M}"
# receivers/spdemo-r1.toml, by its drawing
RATE = struct.pack("<H", 1000)
MESSAGES = struct.pack("<7H", 1006, 1033, 1077, 1087, 1097, 1127, 1230)
PLACE = struct.pack("<3q", *(round(v * 10000) for v in (X_M, Y_M, Z_M)))
COMMANDS = [("packet", fake.RATE, RATE), ("packet", fake.MESSAGES, MESSAGES),
            ("packet", fake.POSITION, PLACE)]


def spaced(data):
    return " ".join(f"{byte:02X}" for byte in data)


class Receivers(InFolder):
    def document(self, *words, code=0):
        answer = run("check-receiver", *words, "--json")
        self.assertEqual(answer.code, code, answer)
        self.assertEqual(answer.err, "")
        check(answer.json(), "check-receiver")
        return answer.json()

    def sent(self, receiver, *words, profile="spdemo-r1", code=0):
        """The document after sending, and an end of the receiver."""
        document = self.document(profile, "--port", receiver.source, "--send",
                                 *words, code=code)
        self.assertEqual(document["port"], receiver.source)
        receiver.stop()
        self.assertEqual(receiver.damaged, b"")
        return document

    def profile(self, text):
        return self.write(text.encode(), "mine.toml")

    def outcomes(self, document):
        return [step["outcome"] for step in document["steps"]]


class Shown(Receivers):
    def test_a_shipped_profile_is_shown_byte_for_byte(self):
        document = self.document("spdemo-r1", "--position", POSITION)
        self.assertEqual(
            [step["hex"] for step in document["steps"]],
            [spaced(fake.packet(number, payload))
             for _, number, payload in COMMANDS])
        self.assertTrue(document["shipped"])
        self.assertEqual(document["name"], "SPDEMO-R1")
        self.assertEqual(document["framings"], ["SPDEMO"])
        self.assertEqual(document["status"], "not_sent")
        self.assertIsNone(document["port"])
        self.assertEqual(document["warnings"], [])
        first = document["steps"][0]
        self.assertEqual(first["reply"],
                         {"text": None, "hex": "9E C4 A0 ?? 01 00 10"})
        self.assertEqual((first["tries"], first["reply_within_s"]), (3, 2))
        self.assertIsNone(first["outcome"])
        self.assertIsNone(first["times_sent"])

    def test_text_has_its_checksum_and_line_end(self):
        document = self.document("nmea-text", "--position", POSITION)
        words = ["PSPD,RATE,1000",
                 "PSPD,RTCM,1006,1033,1077,1087,1097,1127,1230",
                 "PSPD,NMEA,GGA",
                 f"PSPD,FIXED,{X_M:.4f},{Y_M:.4f},{Z_M:.4f}"]
        for step, body in zip(document["steps"], words, strict=True):
            wanted = rtcm.sentence(body)
            self.assertEqual(step["hex"], spaced(wanted))
            self.assertEqual(step["text"], wanted.decode().replace(
                "\r", r"\r").replace("\n", r"\n"))
        self.assertEqual([s["optional"] for s in document["steps"]],
                         [False, False, True, False])

    def test_without_a_position_a_step_waits_for_one(self):
        document = self.document("spdemo-r1")
        step = document["steps"][2]
        self.assertEqual(step["waits_for"], ["x_m", "y_m", "z_m"])
        self.assertIsNone(step["hex"])
        self.assertEqual([w["code"] for w in document["warnings"]],
                         ["waits_for_position"])

    def test_latitude_longitude_and_height_follow_from_the_position(self):
        # kind: cross   source: the definition of GRS80 on two axes, where
        # they need no iteration   tolerance: 0, the printed digits
        path = self.profile("[[step]]\nname = 'p'\nline_end = 'none'\n"
                            "text = '{lat_deg:.6} {lon_deg:.6} "
                            "{ellipsoidal_height_m:.3}'\n")
        for position, text in (
                ("6378237,0,0", "0.000000 0.000000 100.000"),
                ("0,6378137,0", "0.000000 90.000000 0.000"),
                ("0,0,-6356762.3141", "-90.000000 0.000000 10.000")):
            step = self.document(path, f"--position={position}")["steps"][0]
            self.assertEqual(step["text"], text)

    def test_people_get_the_same(self):
        answer = run("check-receiver", "spdemo-r1")
        self.assertEqual(answer.code, 0, answer)
        self.assertEqual(answer.err, "")
        packet = fake.packet(fake.RATE, RATE)
        for words in (spaced(packet), "9E C4 A0 ?? 01 00 10",
                      "waits for an adopted position: x_m, y_m, z_m",
                      "no such receiver exists"):
            self.assertIn(words, answer.out)
        self.assertIn(r"sends    $PSPD,RATE,1000*",
                      run("check-receiver", "nmea-text").out)
        self.assertIn("nothing is sent",
                      run("check-receiver", "nothing-to-send").out)

    def test_long_packets_are_dumped_in_lines(self):
        path = self.profile("[[step]]\nname = 'x'\nhex = '" +
                            "41" * 20 + "00'\n")
        out = run("check-receiver", path).out
        self.assertIn("  sends    " + spaced(b"A" * 16) + "  " + "A" * 16 +
                      "\n           " + spaced(b"AAAA\0"), out)
        self.assertIn("AAAA.\n", out)

    def test_help_is_the_page(self):
        answer = run("check-receiver", "--help")
        self.assertEqual(answer.code, 0, answer)
        self.assertEqual(answer.out, (
            SOURCE / "docs/man/stillpoint-check-receiver.md").read_text())


class Sent(Receivers):
    def test_every_step_is_answered_on_both_kinds_of_port(self):
        for on_pty in (False, True):
            with self.subTest(on_pty):
                receiver = FakeReceiver(self, on_pty)
                document = self.sent(receiver, "--position", POSITION)
                self.assertEqual(receiver.heard, COMMANDS)
                self.assertEqual(document["status"], "done")
                self.assertEqual(self.outcomes(document), ["answered"] * 3)
                self.assertEqual(
                    document["steps"][0]["answer_hex"],
                    spaced(fake.packet(fake.DONE, bytes([fake.RATE]), 1)))
                self.assertEqual([s["times_sent"] for s in document["steps"]],
                                 [1, 1, 1])

    def test_lines_of_text_on_both_kinds_of_port(self):
        for on_pty in (False, True):
            with self.subTest(on_pty):
                receiver = FakeReceiver(self, on_pty)
                document = self.sent(receiver, "--position", POSITION,
                                     profile="nmea-text")
                self.assertEqual([c[0] for c in receiver.heard], ["text"] * 4)
                self.assertEqual(document["steps"][0]["answer_text"],
                                 rtcm.sentence("PSPD,DONE,RATE").decode()
                                 .strip())
                self.assertEqual(self.outcomes(document), ["answered"] * 4)

    def test_without_a_position_its_step_is_left_out(self):
        receiver = FakeReceiver(self)
        document = self.sent(receiver)
        self.assertEqual(receiver.heard, COMMANDS[:2])
        self.assertEqual(document["status"], "done")
        self.assertEqual(self.outcomes(document),
                         ["answered", "answered", "skipped"])

    def patient(self, tries):
        """The demo's profile with so many short tries."""
        text = (SOURCE / "receivers/spdemo-r1.toml").read_text()
        lines = [line for line in text.splitlines()
                 if not line.startswith(("tries", "reply_within_s"))]
        return self.profile("\n".join(lines).replace(
            "refusal", f"tries = {tries}\nreply_within_s = 0.4\nrefusal"))

    def test_a_deaf_receiver_is_asked_again(self):
        receiver = FakeReceiver(self, deaf_for=2)
        document = self.sent(receiver, profile=self.patient(20))
        # A slow machine may need more than the third.
        times = document["steps"][0]["times_sent"]
        self.assertGreaterEqual(times, 3)
        self.assertEqual(receiver.heard[:times + 1],
                         [COMMANDS[0]] * times + [COMMANDS[1]])
        self.assertEqual(self.outcomes(document)[:2], ["answered"] * 2)

    def test_a_receiver_that_never_answers_fails(self):
        receiver = FakeReceiver(self, deaf_for=100)
        document = self.sent(receiver, profile=self.patient(3), code=1)
        self.assertEqual(document["status"], "failed")
        self.assertEqual(self.outcomes(document),
                         ["no_answer", "not_reached", "not_reached"])
        self.assertEqual(document["steps"][0]["times_sent"], 3)
        self.assertIsNone(document["steps"][0]["other_hex"])

    def test_a_refusal_is_shown_and_nothing_more_is_sent(self):
        receiver = FakeReceiver(self, refuses=(fake.MESSAGES,))
        document = self.sent(receiver, "--position", POSITION, code=1)
        self.assertEqual(receiver.heard, COMMANDS[:2])
        self.assertEqual(self.outcomes(document),
                         ["answered", "refused", "not_reached"])
        self.assertEqual(document["steps"][1]["answer_hex"], spaced(
            fake.packet(fake.REFUSED, bytes([fake.MESSAGES, fake.NOT_NOW]),
                        2)))

    def test_an_optional_step_may_be_refused(self):
        receiver = FakeReceiver(self, refuses=("NMEA",))
        document = self.sent(receiver, "--position", POSITION,
                             profile="nmea-text")
        self.assertEqual(self.outcomes(document),
                         ["answered", "answered", "refused", "answered"])
        self.assertEqual(document["warnings"], [
            {"code": "optional_step_failed", "step": "no sentences but GGA",
             "what": "the start-up goes on without it"}])

    def test_what_came_instead_is_shown(self):
        unknown = b"\x7e\x01what?\x00\xff"
        receiver = FakeReceiver(self, unknown=unknown)
        document = self.sent(receiver, profile=self.patient(4), code=1)
        self.assertEqual(self.outcomes(document)[0], "no_answer")
        self.assertTrue(document["steps"][0]["other_hex"].startswith(
            spaced(unknown)), document)
        receiver = FakeReceiver(self, unknown=unknown)
        answer = run("check-receiver", self.patient(4), "--port",
                     receiver.source, "--send")
        self.assertEqual(answer.code, 1, answer)
        self.assertIn("instead  " + spaced(unknown), answer.out)
        self.assertIn("~.what?..", answer.out)
        self.assertIn("no reply", answer.out)

    def test_a_step_that_asks_for_nothing_arrives(self):
        path = self.profile("[[step]]\nname = 'a'\ntext = '$PSPD,A'\n"
                            "checksum = 'nmea'\n"
                            "[[step]]\nname = 'b'\ntext = '$PSPD,B'\n"
                            "checksum = 'nmea'\n")
        for on_pty in (False, True):
            receiver = FakeReceiver(self, on_pty)
            document = self.document(path, "--port", receiver.source, "--send")
            self.assertEqual(self.outcomes(document), ["sent", "sent"])
            wait_until(lambda r=receiver: len(r.heard) == 2, "both commands")
            receiver.stop()

    def test_a_connection_that_is_lost_is_said(self):
        receiver = FakeReceiver(self, hangs_up=True)
        document = self.sent(receiver, code=1)
        self.assertEqual(document["status"], "lost")
        self.assertTrue(document["why"])
        self.assertEqual(self.outcomes(document)[0], "under_way")

    def test_an_interrupt_prints_what_came(self):
        receiver = FakeReceiver(self, deaf_for=100)
        running = Running(self, "check-receiver", "spdemo-r1", "--port",
                          receiver.source, "--send", "--json")
        wait_until(lambda: receiver.heard, "the first command")
        answer = running.interrupt()
        self.assertEqual(answer.code, 1, answer)
        check(answer.json(), "check-receiver")
        self.assertEqual(answer.json()["status"], "interrupted")

    def test_people_read_step_by_step(self):
        receiver = FakeReceiver(self)
        answer = run("check-receiver", "nmea-text", "--port", receiver.source,
                     "--send")
        self.assertEqual(answer.code, 0, answer)
        for words in ("the reply after", "sent 1 time\n",
                      "$PSPD,DONE,RATE*", "the receiver is set up",
                      "waits for an adopted position"):
            self.assertIn(words, answer.out)

    def test_nothing_to_send_is_good(self):
        receiver = FakeReceiver(self)
        document = self.sent(receiver, profile="nothing-to-send")
        self.assertEqual(document["status"], "done")
        self.assertEqual(document["steps"], [])


class Mistakes(Receivers):
    def refused(self, code, *words):
        """The error, by its schema; the text for people says the same."""
        answer = run("check-receiver", *words, "--json")
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        error = answer.json()["error"]
        plain = run("check-receiver", *words)
        self.assertEqual(plain.code, code, plain)
        self.assertEqual(plain.out, "")
        self.assertIn(error["what"], plain.err)
        return error

    def test_no_profile_and_two(self):
        self.assertIn("spdemo-r1", self.refused(2)["remedy"])
        self.assertIn("one profile", self.refused(2, "a", "b")["what"])

    def test_what_is_neither_shipped_nor_a_file(self):
        error = self.refused(3, "spdemo")
        self.assertIn("spdemo-r1", error["remedy"])

    def test_a_profile_is_blamed_by_line_and_column(self):
        path = self.profile("name = 'x'\n[[step]]\nname = 'y'\ntext = ''\n")
        error = self.refused(3, path)
        self.assertRegex(error["where"], r"mine\.toml:4:8$")

    def test_a_large_file_is_no_profile(self):
        path = self.write(b"#" * 70000, "mine.toml")
        self.assertIn("65536", self.refused(3, path)["what"])

    def test_send_needs_a_port(self):
        self.assertIn("--port", self.refused(2, "spdemo-r1", "--send")
                      ["remedy"])

    def test_a_file_or_a_caster_is_no_port(self):
        for port in ("file:x", "ntrip://h/M", "-", "/dev/ttyACM0"):
            with self.subTest(port):
                self.refused(2, "spdemo-r1", "--port", port)

    def test_bad_positions(self):
        for position in ("1,2,3", "4279402.4,671220.0", "x,y,z", "0,0,nan",
                         "4279402.4,671220.0,4666639.5,0", "0,0,1e300"):
            with self.subTest(position):
                error = self.refused(2, "spdemo-r1", f"--position={position}")
                self.assertIn(position, error["what"])

    def test_a_value_that_does_not_fit_is_said_before_anything_is_sent(self):
        path = self.profile("[[step]]\nname = 'a'\ntext = 'A'\n[[step]]\n"
                            "name = 'p'\nhex = '{x_m:scale=10000,i32le}'\n")
        receiver = FakeReceiver(self)
        error = self.refused(3, path, "--position", POSITION, "--send",
                             "--port", receiver.source)
        self.assertRegex(error["where"], r"mine\.toml:4:1$")
        self.assertEqual(error["code"], "out_of_range")
        receiver.stop()
        self.assertEqual(receiver.heard, [])

    def test_a_port_that_is_not_there(self):
        with socket.create_server(("127.0.0.1", 0)) as server:
            port = server.getsockname()[1]
        for source in (f"tcp://127.0.0.1:{port}",
                       f"serial:{self.folder}/none"):
            with self.subTest(source):
                self.refused(3, "spdemo-r1", "--port", source, "--send")

    def test_unknown_option(self):
        self.assertIn("--prot", self.refused(
            2, "spdemo-r1", "--prot", "x")["what"])


class Helper(unittest.TestCase):
    # kind: cross   source: the CRC that zlib computes, the drawing of the
    # profile   tolerance: 0, bytes
    def test_packets_are_those_of_rtcm_bytes(self):
        self.assertEqual(fake.packet(1, b"12345", 1),
                         rtcm.maker_packet(b"12345"))
        whole = fake.packet(fake.RATE, RATE)
        self.assertEqual(int.from_bytes(whole[-4:], "little"),
                         binascii.crc32(whole[2:-4]))


if __name__ == "__main__":
    main()
