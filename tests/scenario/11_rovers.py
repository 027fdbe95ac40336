"""`rovers`: accounts of the station's rovers, made and changed from outside.

What the verb has kept is checked without it: the database with Python's own
SQLite, a token's hash with Python's own BLAKE2b.
"""
import hashlib
import json
import os
import pathlib
import re
import sqlite3
import stat
import struct
import subprocess
import unittest

from running import WATCHDOG_S, InFolder, check
from support import limit_memory, main, program, run

SETTINGS = """[station]
name = "LHOL00XXX"
state = "{state}"

[[mountpoint]]
name = "LHOL"
"""
WORDS = "four plain words here"
ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"


def bytes_of(token):
    """The 16 bytes of a token: base32, most significant bit first."""
    number = 0
    for letter in token.replace("-", ""):
        number = number * 32 + ALPHABET.index(letter)
    assert number % 4 == 0  # 130 bits for 128
    return (number // 4).to_bytes(16, "big")


def kept_hash(token, key):
    """What docs of the module say is kept: BLAKE2b under the key, over parts
    behind their lengths."""
    parts = (b"stillpoint stream token", bytes_of(token))
    message = b"".join(struct.pack("<Q", len(p)) + p for p in parts)
    return "blake2b:" + hashlib.blake2b(message, digest_size=32,
                                        key=key).hexdigest()


class Rovers(InFolder):
    def setUp(self):
        super().setUp()
        self.state = self.folder / "state"
        self.state.mkdir()
        self.config = self.write(
            SETTINGS.format(state=self.state).encode(), "station.toml")

    def rovers(self, *words, code=0, stdin=None):
        """The document, by its schema, and nothing beside it."""
        words = [program(), "rovers", "--config", self.config, *words,
                 "--json"]
        done = subprocess.run(
            list(map(str, words)), input=stdin, capture_output=True,
            text=True, timeout=WATCHDOG_S, check=False, preexec_fn=limit_memory,
            **({"stdin": subprocess.DEVNULL} if stdin is None else {}))
        self.assertEqual(done.returncode, code, done)
        self.assertEqual(done.stderr, "")
        document = json.loads(done.stdout)
        check(document, "error" if code else "rovers")
        return document["error"] if code else document

    def text(self, *words, code=0):
        answer = run("rovers", "--config", self.config, *words)
        self.assertEqual(answer.code, code, answer)
        return answer

    def rows(self, question):
        with sqlite3.connect(self.state / "station.db") as database:
            return database.execute(question).fetchall()

    def kept(self, name):
        return dict(self.rows("SELECT name, secret_hash FROM users"))[name]

    def logbook(self):
        return [text for text, in self.rows("SELECT text FROM logbook")]


class Accounts(Rovers):
    def test_a_new_station_has_none(self):
        document = self.rovers()
        self.assertEqual(document, {
            "schema_version": 1, "database": f"{self.state}/station.db",
            "changed": None, "accounts": []})
        self.assertIn("--add", self.text().out)

    def test_a_stream_gets_a_token_that_is_kept_as_a_hash(self):
        changed = self.rovers("--add", "ditch-1", "--most", "2",
                              "--mb-per-hour", "100")
        token = changed["changed"]["token"]
        self.assertEqual(changed["changed"]["change"], "added")
        self.assertEqual(changed["changed"]["name"], "ditch-1")
        self.assertEqual(changed["accounts"], [{
            "name": "ditch-1", "kind": "stream", "enabled": True,
            "max_connections": 2, "max_bytes_per_hour": 100 * 1024 * 1024}])
        key = (self.state / "keys/stream.key").read_bytes()
        self.assertEqual(len(key), 32)
        self.assertEqual(self.kept("ditch-1"), kept_hash(token, key))
        self.assertEqual(
            self.rows("SELECT kind, max_connections, max_bytes_per_hour, "
                      "enabled FROM users"), [(2, 2, 104857600, 1)])
        self.assertEqual(self.logbook(), ["user ditch-1 added"])
        self.assertIsNone(self.rovers()["changed"])

    def test_a_person_has_a_password_of_one_line(self):
        path = self.write(f"{WORDS}\r\n".encode(), "password")
        changed = self.rovers("--add", "club-guest", "--password-file", path)
        self.assertIsNone(changed["changed"]["token"])
        self.assertEqual(changed["accounts"][0]["kind"], "person")
        self.assertIsNone(changed["accounts"][0]["max_connections"])
        self.assertRegex(self.kept("club-guest"),
                         r"^\$argon2id\$v=19\$m=12288,t=3,p=1\$")
        self.assertFalse((self.state / "keys").exists())

    def test_a_password_may_come_from_standard_input(self):
        self.rovers("--add", "club-guest", "--password-file", "-",
                    stdin=WORDS)
        self.assertTrue(self.kept("club-guest").startswith("$argon2id$"))

    def test_no_secret_is_shown_twice_or_kept_readable(self):
        token = self.rovers("--add", "ditch-1")["changed"]["token"]
        self.rovers("--add", "club-guest", "--password-file", "-",
                    stdin=WORDS)
        shown = self.text().out + self.text("--disable", "ditch-1").out
        secrets = [token, token.replace("-", ""), WORDS,
                   self.kept("ditch-1"), self.kept("club-guest")]
        for secret in secrets:
            self.assertNotIn(secret, shown)
        for path in self.state.rglob("*"):
            if path.is_file():
                for secret in (*secrets[:3], bytes_of(token)):
                    secret = secret if isinstance(secret, bytes) \
                        else secret.encode()
                    self.assertNotIn(secret, path.read_bytes(), path)

    def test_text_says_what_changed_and_what_comes_next(self):
        answer = self.text("--add", "tractor-2")
        self.assertRegex(answer.out,
                         r"(?s)^added: tractor-2\ntoken: [0-9a-z-]{30}\n"
                         r"next: .*not shown again.*after a restart\n$")
        self.assertEqual(answer.err, "")
        again = self.text("--add", "ditch-1").out
        self.assertNotIn("after a restart", again)
        listed = self.text().out.splitlines()
        self.assertEqual(len(listed), 3)
        self.assertRegex(listed[1], r"^ditch-1 +stream +yes +no limit +no lim")
        self.assertRegex(self.text("--remove", "ditch-1").out,
                         r"^removed: ditch-1\nnext: a station that runs ends its connections")

    def test_a_token_that_could_not_be_printed_is_said(self):
        with open("/dev/full", "wb") as full:
            done = subprocess.run(
                [program(), "rovers", "--config", str(self.config), "--add",
                 "ditch-1"], stdin=subprocess.DEVNULL, stdout=full,
                stderr=subprocess.PIPE, text=True, timeout=WATCHDOG_S,
                check=False, preexec_fn=limit_memory)
        self.assertEqual(done.returncode, 4, done)
        self.assertIn("--new-token", done.stderr)
        self.assertTrue(self.kept("ditch-1"))

    def test_changes_of_one_that_exists(self):
        self.rovers("--add", "ditch-1", "--most", "3")
        first = self.kept("ditch-1")
        steps = [
            (("--disable", "ditch-1"), "disabled", (0, 3, None)),
            (("--disable", "ditch-1"), "unchanged", (0, 3, None)),
            (("--enable", "ditch-1", "--most", "0", "--mb-per-hour", "1"),
             "enabled", (1, None, 1048576)),
            (("--enable", "ditch-1", "--most", "5"), "changed",
             (1, 5, 1048576)),
            (("--enable", "ditch-1"), "unchanged", (1, 5, 1048576))]
        for words, change, row in steps:
            with self.subTest(words):
                changed = self.rovers(*words)["changed"]
                self.assertEqual(changed["change"], change)
                self.assertIsNone(changed["token"])
                self.assertEqual(self.rows(
                    "SELECT enabled, max_connections, max_bytes_per_hour "
                    "FROM users"), [row])
        self.assertEqual(self.kept("ditch-1"), first)
        changed = self.rovers("--new-token", "ditch-1")["changed"]
        key = (self.state / "keys/stream.key").read_bytes()
        self.assertEqual(self.kept("ditch-1"),
                         kept_hash(changed["token"], key))
        self.assertNotEqual(self.kept("ditch-1"), first)
        self.assertEqual(self.rovers("--remove", "ditch-1")["accounts"], [])
        self.assertEqual(self.logbook(), [
            "user ditch-1 added", "user ditch-1 changed: enabled",
            "user ditch-1 changed: max_connections, max_bytes_per_hour, "
            "enabled", "user ditch-1 changed: max_connections",
            "user ditch-1 changed: secret", "user ditch-1 removed"])

    def test_names_of_any_language_are_kept(self):
        self.rovers("--add", "Gräber-1")
        self.assertEqual(self.rovers()["accounts"][0]["name"], "Gräber-1")
        self.assertIn("Gräber-1", self.text().out)


class Files(Rovers):
    def mode(self, name):
        return stat.S_IMODE((self.state / name).stat().st_mode)

    def test_only_the_owner_may_read_them(self):
        previous = os.umask(0)
        self.addCleanup(os.umask, previous)
        self.rovers("--add", "ditch-1")
        self.assertEqual(self.mode("keys"), 0o700)
        self.assertEqual(self.mode("keys/stream.key"), 0o600)
        self.assertEqual(self.mode("station.db"), 0o600)

    @unittest.skipUnless(os.geteuid() == 0, "only root can be another user")
    def test_root_makes_what_the_station_s_user_can_read(self):
        user = 65534  # nobody, from memory
        os.chown(self.state, user, user)
        self.folder.chmod(0o755)
        self.write(WORDS.encode(), "password").chmod(0o600)
        self.rovers("--add", "ditch-1")
        self.rovers("--add", "club-guest", "--password-file",
                    self.folder / "password")
        for path in self.state.rglob("*"):
            self.assertEqual(path.stat().st_uid, user, path)
            self.assertEqual(path.stat().st_gid, user, path)

    def test_a_lost_key_is_said_and_not_replaced(self):
        self.rovers("--add", "ditch-1")
        key = self.state / "keys/stream.key"
        key.unlink()
        for words in (("--add", "tractor-2"), ("--new-token", "ditch-1")):
            error = self.rovers(*words, code=3)
            self.assertIn("stream.key", error["where"])
            self.assertIn("backup", error["remedy"])
        self.assertFalse(key.exists())
        self.assertEqual(len(self.rovers()["accounts"]), 1)
        self.rovers("--remove", "ditch-1")
        self.rovers("--add", "ditch-1")
        self.assertEqual(len(key.read_bytes()), 32)

    def test_a_short_key_is_said(self):
        self.rovers("--add", "ditch-1")
        key = self.state / "keys/stream.key"
        key.write_bytes(b"x" * 31)
        error = self.rovers("--add", "tractor-2", code=3)
        self.assertIn("32 bytes", error["what"])
        self.assertEqual(key.read_bytes(), b"x" * 31)


class Mistakes(Rovers):
    def test_without_a_state_folder(self):
        self.state.rmdir()
        for words in ((), ("--add", "ditch-1")):
            error = self.rovers(*words, code=3)
            self.assertEqual(error["where"], str(self.state))
            self.assertIn("stillpoint run", error["remedy"])
        self.state.write_text("a file")
        self.assertIn("no folder", self.rovers(code=3)["what"])

    def test_settings_that_cannot_be_used(self):
        self.config.write_text("[station]\nnam = 1\n")
        self.assertEqual(self.rovers(code=3)["code"], "config")
        plain = self.text(code=3)
        self.assertEqual(plain.out, "")
        self.assertIn(f"{self.config}:", plain.err)
        self.config.unlink()
        self.assertEqual(self.rovers(code=3)["where"], str(self.config))

    def test_names_that_do_not_exist_or_do_already(self):
        self.rovers("--add", "ditch-1")
        self.rovers("--add", "club-guest", "--password-file", "-",
                    stdin=WORDS)
        before = self.rows("SELECT * FROM users")
        for action in ("--remove", "--enable", "--disable", "--new-token"):
            error = self.rovers(action, "tractor-2", code=3)
            self.assertIn("tractor-2", error["what"])
            self.assertIn("rovers --config", error["remedy"])
        self.assertIn("already",
                      self.rovers("--add", "ditch-1", code=2)["what"])
        self.assertIn("person",
                      self.rovers("--new-token", "club-guest", code=2)["what"])
        self.assertEqual(self.rows("SELECT * FROM users"), before)

    def test_passwords_that_are_none(self):
        for content in (b"", b"\n", b"short", b"two\nlines of it",
                        b"x" * 1025, b"x" * 100_000):
            path = self.write(content, "password")
            error = self.rovers("--add", "club-guest", "--password-file",
                                path, code=3)
            self.assertEqual(error["where"], str(path))
            if len(content) > 5:
                self.assertNotIn(content.decode(), str(error))
        self.rovers("--add", "club-guest", "--password-file",
                    self.folder / "none", code=3)
        self.assertFalse((self.state / "station.db").exists())

    def test_options_are_checked_and_named(self):
        for words, named in (
                (("--add", "a", "--remove", "b"), "one change"),
                (("--most", "3"), "--most"),
                (("--remove", "a", "--most", "3"), "--most"),
                (("--enable", "a", "--password-file", "f"), "--password-file"),
                (("--add", "a", "--most", "-1"), "--most"),
                (("--add", "a", "--most", "1.5"), "--most"),
                (("--add", "a", "--most", "100001"), "--most"),
                (("--add", "a", "--mb-per-hour", "x"), "--mb-per-hour"),
                (("--add", "a:b"), "colon"),
                (("--add", ""), "name"),
                (("--add",), "--add"),
                (("--sed", "a"), "--sed")):
            with self.subTest(words):
                self.assertIn(named, self.rovers(*words, code=2)["what"])
        answer = run("rovers")
        self.assertEqual(answer.code, 2, answer)
        self.assertIn("--config", answer.err)
        self.assertFalse((self.state / "station.db").exists())

    def test_help_names_the_options(self):
        answer = run("rovers", "--help")
        self.assertEqual(answer.code, 0, answer)
        for option in re.findall(r"--[a-z-]+", pathlib.Path(
                __file__).read_text(encoding="utf-8")):
            if option not in ("--sed", "--help"):
                self.assertIn(option, answer.out)


if __name__ == "__main__":
    main()
