"""An invented receiver on a TCP port or a pseudo-terminal: speaks the commands
of receivers/spdemo-r1.toml and of receivers/nmea-text.toml while it sends RTCM,
obeys, refuses or stays silent as a test wishes. Shares no code with the
program.
"""
import binascii
import os
import pty
import select
import socket
import struct
import threading
import tty

import rtcm_bytes as rtcm

DONE, REFUSED = 0xA0, 0xA1
RATE, MESSAGES, POSITION = 0x10, 0x11, 0x12
NOT_NOW = 7  # the reason of every refusal


def packet(number, payload, count=0):
    """As the drawing in receivers/spdemo-r1.toml."""
    body = struct.pack("<BBH", number, count, len(payload)) + payload
    return b"\x9e\xc4" + body + struct.pack("<I", binascii.crc32(body))


class FakeReceiver:
    """Answers in a thread of its own until stop(). What it was told is in
    `heard`, ("packet", number, payload) or ("text", words), every repetition.

    deaf_for    the first so many commands get no answer
    refuses     the command numbers or words that are refused
    stream      what it sends before each answer
    unknown     what it says to each command instead of all else
    hangs_up    closes the connection at the first command
    """

    def __init__(self, test, on_pty=False, deaf_for=0, refuses=(),
                 stream=rtcm.position(), unknown=None, hangs_up=False):
        self.deaf_for, self.refuses, self.stream = deaf_for, refuses, stream
        self.unknown, self.hangs_up = unknown, hangs_up
        self.heard = []
        self.damaged = b""  # what it could not read
        self.left = b""
        self.count = 0
        self.ours, self.theirs = os.pipe()
        if on_pty:
            self.port, slave = pty.openpty()
            tty.setraw(slave)
            self.source = "serial:" + os.ttyname(slave)
            self.slave, self.listener = slave, None
        else:
            self.listener = socket.create_server(("127.0.0.1", 0))
            self.source = "tcp://127.0.0.1:%d" % \
                self.listener.getsockname()[1]
            self.port = self.slave = None
        self.thread = threading.Thread(target=self.work)
        self.thread.start()
        test.addCleanup(self.stop)

    def stop(self):
        """Ends it; what it heard stays."""
        if self.thread.is_alive():
            os.write(self.theirs, b"x")
        self.thread.join()
        for number in (self.ours, self.theirs, self.slave, self.port):
            if number is not None:
                os.close(number)
        if self.listener:
            self.listener.close()
        self.ours = self.theirs = self.slave = self.port = None
        self.listener = None
        self.stop = lambda: None

    def ready(self, number):
        """Waits for bytes; false when it is to stop."""
        return self.ours not in select.select([number, self.ours], [], [])[0]

    def work(self):
        if self.listener is None:
            while self.ready(self.port):
                self.take(os.read(self.port, 4096), self.say_on_pty)
            return
        while self.ready(self.listener):
            connection, _ = self.listener.accept()
            with connection:
                self.left = b""
                while self.ready(connection):
                    data = connection.recv(4096)
                    if not data or not self.take(data, connection.sendall):
                        break
                else:
                    return

    def say_on_pty(self, data):
        while data:
            data = data[os.write(self.port, data):]

    def take(self, data, say):
        """False when the connection is to be closed."""
        self.left += data
        while True:
            command = self.next_command()
            if command is None:
                return True
            self.heard.append(command)
            if self.hangs_up:
                return False
            self.answer(command, say)

    def next_command(self):
        """The next whole command in `left`, taken out of it."""
        while self.left:
            if self.left[:1] == b"$":
                line, end, rest = self.left.partition(b"\r\n")
                if not end:
                    return None
                self.left = rest
                body = line[1:-3].decode()
                if rtcm.sentence(body) == line + end:
                    return "text", body
                self.damaged += line + end
            elif self.left[:2] == b"\x9e\xc4":
                if len(self.left) < 6:
                    return None
                number, count, size = struct.unpack_from("<BBH", self.left, 2)
                if len(self.left) < size + 10:
                    return None
                whole = self.left[:size + 10]
                self.left = self.left[size + 10:]
                if whole == packet(number, whole[6:-4], count):
                    return "packet", number, whole[6:-4]
                self.damaged += whole
            elif self.left in (b"\x9e",):
                return None
            else:
                self.damaged += self.left[:1]
                self.left = self.left[1:]
        return None

    def answer(self, command, say):
        if self.deaf_for > 0:
            self.deaf_for -= 1
            return
        if self.unknown is not None:
            say(self.stream + self.unknown)
            return
        self.count = self.count + 1 & 0xFF
        if command[0] == "packet":
            _, number, _ = command
            answer = packet(REFUSED, bytes([number, NOT_NOW]), self.count) \
                if number in self.refuses \
                else packet(DONE, bytes([number]), self.count)
        else:
            word = command[1].split(",")[1]
            verdict = "NO" if word in self.refuses else "DONE"
            answer = rtcm.sentence(f"PSPD,{verdict},{word}")
        # In three pieces, with frames around them.
        third = len(answer) // 3
        for piece in (self.stream + answer[:third], answer[third:2 * third],
                      answer[2 * third:] + self.stream):
            say(piece)
