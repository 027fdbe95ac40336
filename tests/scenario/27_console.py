"""The console of a running station: claim, sign in, roles, guessing, adoption
that rovers feel, what stays after a restart. As a script would use it.
"""
import concurrent.futures
import http.client
import json
import socket
import ssl
import subprocess

from running import WATCHDOG_S, InFolder, check, wait_until
from station_running import Station
from support import main


class Client:
    """One browser: a cookie, a token, JSON both ways."""

    def __init__(self, port, tls=False):
        self.port, self.tls, self.cookie, self.token = port, tls, None, None

    def ask(self, method, path, body=None, headers=None, raw=False):
        context = ssl._create_unverified_context() if self.tls else None
        connection = (http.client.HTTPSConnection("127.0.0.1", self.port,
                                                  timeout=WATCHDOG_S,
                                                  context=context)
                      if self.tls else
                      http.client.HTTPConnection("127.0.0.1", self.port,
                                                 timeout=WATCHDOG_S))
        head = dict(headers or {})
        data = None
        if body is not None:
            data = body if isinstance(body, bytes) else json.dumps(body).encode()
            head.setdefault("Content-Type", "application/json")
        if self.cookie:
            head.setdefault("Cookie", self.cookie)
        if self.token:
            head.setdefault("X-Stillpoint-Token", self.token)
        connection.request(method, path, data, head)
        answer = connection.getresponse()
        text = answer.read()
        connection.close()
        answer.text = text
        answer.document = None
        if not raw and "json" in (answer.getheader("Content-Type") or ""):
            answer.document = json.loads(text)
        return answer

    def api(self, method, path, body=None, headers=None):
        return self.ask(method, "/api/v1/" + path, body, headers)

    def take(self, answer):
        assert answer.status == 201, (answer.status, answer.text)
        self.cookie = answer.getheader("Set-Cookie").split(";")[0]
        self.token = answer.document["session"]["token"]
        return self

    def claim(self, code, name="mara", password="larch and lantern"):
        return self.api("POST", "claim", {"code": code, "name": name,
                                          "password": password})

    def sign_in(self, name, password):
        return self.api("POST", "sessions", {"name": name,
                                             "password": password})


class Console(InFolder):
    def start_station(self, console=""):
        """One whose receiver is not there."""
        station = Station(self, self.folder, "tcp://127.0.0.1:9",
                          console=console)
        self.state, self.console = station.state, station.console_port
        return station

    def code(self):
        path = self.state / "claim-code"
        self.assertEqual(path.stat().st_mode & 0o777, 0o600)
        return path.read_text().strip()

    def owner(self):
        client = Client(self.console)
        return client.take(client.claim(self.code()))

    def test_claimed_once_and_kept_over_a_restart(self):
        station = self.start_station()
        stranger = Client(self.console)
        door = stranger.api("GET", "door")
        check(door.document, "api-door")
        self.assertFalse(door.document["claimed"])
        self.assertTrue(door.document["claim_open"])
        self.assertEqual(stranger.api("GET", "now").status, 401)
        code = self.code()
        clients = [Client(self.console) for _ in range(4)]
        with concurrent.futures.ThreadPoolExecutor() as pool:
            answers = list(pool.map(
                lambda pair: pair[1].claim(code, f"claimant {pair[0]}"),
                enumerate(clients)))
        self.assertEqual(sorted(a.status for a in answers)[0], 201)
        self.assertEqual([a.status for a in answers].count(201), 1, answers)
        self.assertFalse((self.state / "claim-code").exists())
        winner = next(c.take(a) for c, a in zip(clients, answers)
                      if a.status == 201)
        now = winner.api("GET", "now")
        self.assertEqual(now.status, 200)
        check(now.document, "api-now")
        self.assertEqual(len(now.document["road"]), 8)
        self.assertNotIn(code, station.stop().err)
        again = self.start_station()
        winner.port = self.console
        self.assertEqual(winner.api("GET", "now").status, 200)
        self.assertFalse((self.state / "claim-code").exists())
        self.assertEqual(winner.api("DELETE", "sessions/current").status, 204)
        self.assertEqual(winner.api("GET", "now").status, 401)
        again.stop()

    def test_guessing_is_slowed_and_told(self):
        self.start_station()
        owner = self.owner()
        guesser = Client(self.console)
        statuses = [guesser.sign_in("mara", f"wrong {i}").status
                    for i in range(6)]
        self.assertEqual(statuses[:3], [401] * 3)
        self.assertIn(429, statuses)
        late = guesser.sign_in("mara", "larch and lantern")
        self.assertEqual(late.status, 429, late.text)
        check(late.document, "api-problem")
        self.assertGreaterEqual(int(late.getheader("Retry-After")), 1)
        # Who is in stays in.
        self.assertEqual(owner.api("GET", "now").status, 200)
        kinds = [entry["kind"] for entry in
                 owner.api("GET", "logbook").document["entries"]]
        self.assertIn("sign_in_refused", kinds)

    def test_every_room_answers_as_its_schema_says(self):
        self.start_station()
        owner = self.owner()
        for room in ("now", "sky", "coordinate", "stream", "record",
                     "logbook", "jobs", "people"):
            answer = owner.api("GET", room)
            self.assertEqual(answer.status, 200, answer.text)
            check(answer.document, f"api-{room}")

    def test_a_coordinate_is_adopted_and_rovers_are_told(self):
        station = self.start_station()
        owner = self.owner()
        typed = {"by_hand": {
            "ecef_m": [4282250.1234, 670575.4321, 4665010.9876],
            "sigma_enu_mm": [5, 5, 10], "frame": "ITRF2020",
            "epoch": "2026.4", "point": "marker",
            "source": "the co-operative's surveyor"}}
        record = owner.api("POST", "records", typed)
        self.assertEqual(record.status, 201, record.text)
        number = record.document["record"]
        less = owner.api("POST", "records", {"by_hand": dict(
            typed["by_hand"], sigma_enu_mm=[5, -5, 10])})
        self.assertEqual((less.status, less.document["field"]),
                         (422, "sigma_enu_mm"))
        nothing = owner.api("POST", "adoptions", {"record": number, "why": ""})
        self.assertEqual(nothing.status, 422, nothing.text)
        adopted = owner.api("POST", "adoptions",
                            {"record": number, "why": "measured in May"})
        self.assertEqual(adopted.status, 201, adopted.text)
        wait_until(lambda: owner.api("GET", "stream").document["broadcast"]
                   ["kind"] == "adopted", "rovers are told")
        broadcast = owner.api("GET", "stream").document["broadcast"]
        self.assertEqual(broadcast["record"], number)
        room = owner.api("GET", "coordinate").document
        self.assertEqual(room["adopted"]["why"], "measured in May")
        self.assertEqual(room["adoptions"][0]["by"], "console: mara")
        kinds = [entry["kind"] for entry in
                 owner.api("GET", "logbook").document["entries"]]
        self.assertIn("adopted", kinds)
        self.assertIn("record_added", kinds)
        station.stop()

    def test_people_and_rovers_come_and_go(self):
        self.start_station()
        owner = self.owner()
        for role in ("helper", "guest"):
            made = owner.api("POST", "people", {
                "name": role, "password": "a long password", "role": role})
            self.assertEqual(made.status, 201, made.text)
        weak = owner.api("POST", "people", {
            "name": "x", "password": "short", "role": "guest"})
        self.assertEqual((weak.status, weak.document["field"]),
                         (422, "password"))
        twice = owner.api("POST", "people", {
            "name": "helper", "password": "a long password", "role": "guest"})
        self.assertEqual(twice.status, 409)
        last = owner.api("PATCH", "people/mara", {"role": "guest"})
        self.assertEqual(last.status, 409, last.text)
        guest = Client(self.console)
        guest.take(guest.sign_in("guest", "a long password"))
        self.assertEqual(guest.api("GET", "people").status, 403)
        rover = owner.api("POST", "rovers", {
            "name": "tractor-2", "max_connections": 1,
            "max_bytes_per_hour": None})
        self.assertEqual(rover.status, 201, rover.text)
        self.assertGreaterEqual(len(rover.document["token"]), 26)
        rows = owner.api("GET", "stream").document["accounts"]
        self.assertEqual([row["name"] for row in rows], ["tractor-2"])
        self.assertIsNone(guest.api("GET", "stream").document["accounts"])
        self.assertEqual(owner.api("PATCH", "rovers/tractor-2",
                                   {"enabled": False}).status, 200)
        self.assertEqual(owner.api("DELETE", "rovers/tractor-2").status, 204)
        self.assertEqual(owner.api("DELETE", "people/guest").status, 204)
        self.assertEqual(guest.api("GET", "now").status, 401)

    def test_events_come_every_second_and_end_with_the_session(self):
        self.start_station()
        owner = self.owner()
        with socket.create_connection(("127.0.0.1", self.console)) as wire:
            wire.settimeout(WATCHDOG_S)
            wire.sendall((f"GET /api/v1/events HTTP/1.1\r\nHost: x\r\n"
                          f"Cookie: {owner.cookie}\r\n\r\n").encode())
            heard = b""
            while heard.count(b"event: now") < 3:
                heard += wire.recv(65536)
            self.assertIn(b"event: hello", heard)
            self.assertIn(b"event: sky", heard)
            owner.api("DELETE", "sessions/current")
            while b"event: bye" not in heard:
                piece = wire.recv(65536)
                self.assertTrue(piece, heard[-200:])
                heard += piece

    def test_bodies_that_are_too_long_or_malformed(self):
        self.start_station()
        owner = self.owner()
        long = owner.api("POST", "adoptions", b"x" * 100_000)
        self.assertEqual(long.status, 413)
        self.assertTrue(long.getheader("Content-Security-Policy"), long.headers)
        self.assertEqual(owner.api("POST", "adoptions", b"{").status, 400)
        self.assertEqual(owner.ask("POST", "/", b"{}").status, 413)
        self.assertEqual(owner.ask("BREW", "/api/v1/now").status, 501)

    def test_the_page_and_its_parts(self):
        self.start_station()
        page = Client(self.console).ask("GET", "/")
        self.assertEqual(page.status, 200)
        text = page.text.decode()
        self.assertIn("<!doctype html", text.lower())
        self.assertNotIn("http://", text.replace("http://www.w3.org", ""))
        self.assertNotIn("https://", text)
        self.assertEqual(page.getheader("Cache-Control"), "no-cache")
        script = next(part for part in text.split('"')
                      if part.startswith("/assets/") and part.endswith(".js"))
        packed = Client(self.console).ask(
            "GET", script, headers={"Accept-Encoding": "gzip"}, raw=True)
        self.assertEqual(packed.getheader("Content-Encoding"), "gzip")
        self.assertIn("immutable", packed.getheader("Cache-Control"))

    def test_tls_has_its_own_certificate_and_cookie(self):
        own = self.folder / "own.pem"
        key = self.folder / "own.key"
        subprocess.run(
            ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt",
             "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2",
             "-subj", "/CN=larch-hollow", "-keyout", str(key), "-out",
             str(own)], check=True, capture_output=True)
        self.start_station(
            console=f'certificate = "{own}"\nkey = "{key}"')
        client = Client(self.console, tls=True)
        door = client.api("GET", "door")
        self.assertRegex(door.document["fingerprint"], "^([0-9A-F]{2}:){31}")
        claimed = client.claim(self.code())
        self.assertEqual(claimed.status, 201, claimed.text)
        cookie = claimed.getheader("Set-Cookie")
        self.assertTrue(cookie.startswith("__Host-"), cookie)
        for word in ("Secure", "HttpOnly", "SameSite=Strict", "Path=/"):
            self.assertIn(word, cookie)


if __name__ == "__main__":
    main()
