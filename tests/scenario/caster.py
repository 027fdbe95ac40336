"""A caster on 127.0.0.1 that answers by a script, byte by byte as told.

    source   NTRIP 1.0 and 2.0 answers, from memory; RFC 9112 (chunks)
"""
import base64
import contextlib
import queue
import socket
import threading

from running import WATCHDOG_S

TABLE_V1 = b"SOURCETABLE 200 OK\r\nServer: scripted\r\n" \
    b"Content-Type: text/plain\r\nContent-Length: %d\r\n\r\n%s"
TABLE_V2 = b"HTTP/1.1 200 OK\r\nNtrip-Version: Ntrip/2.0\r\n" \
    b"Content-Type: gnss/sourcetable\r\nContent-Length: %d\r\n" \
    b"Connection: close\r\n\r\n%s"


def icy(stream):
    """Version 1."""
    return b"ICY 200 OK\r\n\r\n" + stream


def plain(stream):
    """Version 2 until the caster closes."""
    return b"HTTP/1.1 200 OK\r\nNtrip-Version: Ntrip/2.0\r\n" \
        b"Content-Type: gnss/data\r\nConnection: close\r\n\r\n" + stream


def chunked(stream, size=100):
    """Version 2 in chunks of so many bytes, which cut frames anywhere."""
    parts = [stream[at:at + size] for at in range(0, len(stream), size)]
    return b"HTTP/1.1 200 OK\r\nNtrip-Version: Ntrip/2.0\r\n" \
        b"Content-Type: gnss/data\r\nTransfer-Encoding: chunked\r\n\r\n" + \
        b"".join(b"%x\r\n%s\r\n" % (len(p), p) for p in parts)


def refusal(status, reason, *headers):
    lines = [f"HTTP/1.1 {status} {reason}", "Ntrip-Version: Ntrip/2.0",
             *headers, "Content-Length: 0", "Connection: close", "", ""]
    return "\r\n".join(lines).encode()


def sourcetable(*mountpoints, head=TABLE_V2):
    records = "".join(
        f"STR;{name};{name};RTCM 3.3;1077(1);2;GPS;none;CHE;47.32;8.91;0;0;"
        "SPDEMO-R1;none;B;N;9600;\r\n" for name in mountpoints)
    body = records.encode() + b"ENDSOURCETABLE\r\n"
    return head % (len(body), body)


def basic(user, password):
    """The header of RFC 7617."""
    text = base64.b64encode(f"{user}:{password}".encode()).decode()
    return f"Authorization: Basic {text}"


class Caster:
    """Answers the n-th connection by the n-th answer, the last one for all
    that come later, and closes."""

    def __init__(self, test, *answers):
        self.answers = list(answers)
        # Heads of the requests, and sources that took all of an answer.
        self.requests, self.taken = queue.Queue(), queue.Queue()
        self.socket = socket.create_server(("127.0.0.1", 0))
        self.port = self.socket.getsockname()[1]
        self.thread = threading.Thread(target=self.serve)
        self.thread.start()
        test.addCleanup(self.close)

    def serve(self):
        while True:
            try:
                connection, _ = self.socket.accept()
            except OSError:  # closed
                return
            with connection, contextlib.suppress(OSError):
                connection.settimeout(WATCHDOG_S)
                self.serve_one(connection)

    def serve_one(self, connection):
        head = b""
        while b"\r\n\r\n" not in head:
            piece = connection.recv(4096)
            if not piece:
                return
            head += piece
        self.requests.put(head.decode())
        answer = self.answers.pop(0) if len(self.answers) > 1 else \
            self.answers[0]
        connection.sendall(answer)
        connection.shutdown(socket.SHUT_WR)
        # It closes when it has read up to our end.
        while connection.recv(4096):
            pass
        self.taken.put(True)

    def request(self):
        return self.requests.get(timeout=WATCHDOG_S)

    def wait_until_taken(self):
        self.taken.get(timeout=WATCHDOG_S)

    def close(self):
        self.socket.shutdown(socket.SHUT_RDWR)  # wakes accept()
        self.socket.close()
        self.thread.join(WATCHDOG_S)
