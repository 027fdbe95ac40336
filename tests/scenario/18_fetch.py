"""`locate --fetch` against an archive on this computer: what is asked for, what
is kept, what is said when there is nothing. The products are simulated.
"""
import datetime
import functools
import gzip
import hashlib
import http.server
import pathlib
import tempfile
import threading
import unittest

from running import check
from support import main, run

HOURS = 3
SCENARIO = """name = "own"
start = {start}
hours = {hours}
[[receiver]]
name = "OWNS00XXX"
latitude_deg = 47
longitude_deg = 9
height_m = 500
interval_s = 60
"""
# Of HOURS each, beginning at midnight, as the simulator's are made.
LIST = """[[archive]]
name = "here"
url = "http://127.0.0.1:{port}/products/{{week}}/{{file}}?key=word"
attribution = "Office of invented orbits"
"""
NAMES = {"orbits": "AAA{yyyy}{ddd}{hh}.SP3.gz",
         "clocks": "AAA{yyyy}{ddd}{hh}.CLK.gz",
         "biases": "AAA{yyyy}{ddd}{hh}.BIA.gz",
         "earth": "AAA{yyyy}{ddd}{hh}.ERP.gz",
         "antennas": "invented.atx.gz"}


def lines(quality="final", span=f"{HOURS}h", kinds=tuple(NAMES)):
    return "".join(
        f'[[product]]\nkind = "{kind}"\nquality = "{quality}"\n'
        f'agency = "AAA"\nfile = "{NAMES[kind]}"\n'
        f'span = "{"0s" if kind == "antennas" else span}"\n'
        for kind in kinds)


class Archive:
    """An HTTP server on 127.0.0.1 that remembers what it was asked for."""

    def __init__(self, test, folder):
        asked = self.asked = []

        class Handler(http.server.SimpleHTTPRequestHandler):
            def do_GET(self):
                asked.append(self.path.split("?")[0].rsplit("/", 1)[1])
                super().do_GET()

            def log_message(self, *_):
                pass

        self.server = http.server.ThreadingHTTPServer(
            ("127.0.0.1", 0), functools.partial(Handler, directory=folder))
        thread = threading.Thread(target=self.server.serve_forever)
        thread.start()
        test.addCleanup(self.server.server_close)
        test.addCleanup(thread.join)
        test.addCleanup(self.server.shutdown)

    @property
    def port(self):
        return self.server.server_address[1]


def simulate(folder, start, hours):
    own = folder / "own.toml"
    own.write_text(SCENARIO.format(start=start, hours=hours))
    answer = run("simulate", own, "--out", folder, "--gzip", "--rinex",
                 "--products", "--json", timeout=300)
    assert answer.code == 0, answer
    document = answer.json()
    files = document["files"] + document["receivers"][0]["files"]
    return {f["kind"]: pathlib.Path(f["path"]) for f in files}


class Fetching(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        world = tempfile.TemporaryDirectory()
        cls.addClassCleanup(world.cleanup)
        # Day 128 of 2024, in GPS week 2313.
        cls.world = simulate(pathlib.Path(world.name),
                             "2024-05-07T00:00:00", HOURS)

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)
        self.shelf = self.folder / "site/products/2313"
        self.shelf.mkdir(parents=True)
        self.archive = Archive(self, self.folder / "site")
        self.asked = self.archive.asked
        self.cache = self.folder / "cache"
        self.list = self.folder / "archives.toml"
        self.offer(lines())
        for kind in ("orbits", "clocks", "biases", "antennas"):
            self.put(kind, self.world[kind].read_bytes())

    def offer(self, products):
        self.list.write_text(LIST.format(port=self.archive.port) + products)

    def name(self, kind):
        return NAMES[kind].format(yyyy=2024, ddd=128, hh="00")

    def put(self, kind, content):
        (self.shelf / self.name(kind)).write_bytes(content)

    def locate(self, *words, obs=None, env=None, cache=True):
        more = ("--cache", self.cache) if cache else ()
        return run("locate", obs or self.world["observations"], "--fetch",
                   "--archives", self.list, *more, *words, "--json", env=env,
                   timeout=300)

    def warnings(self, answer, code):
        return [w["what"] for w in answer.json()["warnings"]
                if w["code"] == code]

    def refused(self, answer, code=3):
        self.assertEqual(answer.code, code, answer)
        check(answer.json(), "error")
        return answer.json()["error"]

    def test_first_start_downloads_and_the_second_asks_nobody(self):
        answer = self.locate()
        self.assertIn(answer.code, (0, 1), answer)
        check(answer.json(), "locate")
        for kind in ("orbits", "clocks", "biases", "antennas"):
            self.assertEqual(self.asked.count(self.name(kind)), 1, kind)
        asked = len(self.asked)
        again = self.locate()
        self.assertEqual(len(self.asked), asked, self.asked)
        self.assertEqual(again.out, answer.out)
        self.assertIn("4 of them kept from before", again.err)

    def test_the_answer_is_that_of_the_same_files_given_by_hand(self):
        fetched = self.locate().json()
        by_hand = run(
            "locate", self.world["observations"], "--json",
            *(word for kind in ("orbits", "clocks", "biases", "antennas")
              for word in (f"--{kind}", self.world[kind])), timeout=300).json()
        for key in ("method", "status", "position", "used", "residuals"):
            self.assertEqual(fetched[key], by_hand[key], key)
        # Three hours with phase biases are enough for integers.
        self.assertEqual(fetched["method"], "ppp-fixed")
        self.assertIn("phase biases", fetched["ambiguities"]["integers_from"])
        self.assertIsNotNone(fetched["position"])

    def test_ambiguities_float_and_auto_do_what_they_say(self):
        def ambiguities(word):
            answer = self.locate("--ambiguities", word)
            self.assertIn(answer.code, (0, 1), answer)
            check(answer.json(), "locate")
            return answer.json()

        floating, auto = ambiguities("float"), ambiguities("auto")
        self.assertEqual(floating["method"], "ppp-float")
        self.assertEqual(floating["ambiguities"]["fixed"], 0)
        self.assertIn("--ambiguities float",
                      floating["ambiguities"]["integers_from"])
        self.assertEqual(auto["method"], "ppp-fixed")
        self.assertGreaterEqual(auto["ambiguities"]["fixed"], 6)
        self.assertNotEqual(auto["position"]["ecef_m"],
                            floating["position"]["ecef_m"])
        # Nothing said is auto.
        self.assertEqual(self.locate().json()["position"], auto["position"])
        self.assertEqual(self.locate("--ambiguities", "whole").code, 2)

    def test_document_names_the_files_of_the_cache_with_their_digests(self):
        inputs = {f["path"]: f["sha256"] for f in self.locate().json()["inputs"]}
        for kind in ("orbits", "clocks", "biases", "antennas"):
            path = self.cache / kind / self.name(kind)
            self.assertEqual(
                inputs.get(str(path)),
                hashlib.sha256(self.world[kind].read_bytes()).hexdigest())
        self.assertEqual(len(inputs), 5)

    def test_quality_attribution_and_what_is_missing_are_told(self):
        answer = self.locate()
        told = self.warnings(answer, "products_fetched")
        self.assertEqual(len(told), 1, answer)
        for words in ("final orbits of AAA", "final clocks of AAA",
                      "final biases of AAA", "antennas of AAA"):
            self.assertIn(words, told[0])
        self.assertIn("Office of invented orbits",
                      self.warnings(answer, "products_attribution")[0])
        missing = " | ".join(self.warnings(answer, "products_missing"))
        self.assertIn("no earth", missing)
        # Nobody has orbits of the hours before and after.
        self.assertIn("orbits: the files before or after", missing)
        # What follows the '?' of an address may be secret.
        self.assertNotIn("key=word", answer.out + answer.err)

    def test_a_kind_that_was_given_is_not_fetched(self):
        answer = self.locate("--antennas", self.world["antennas"],
                             "--biases", self.world["biases"])
        self.assertIn(answer.code, (0, 1), answer)
        self.assertNotIn(self.name("antennas"), self.asked)
        self.assertNotIn(self.name("biases"), self.asked)
        self.assertEqual(self.asked.count(self.name("orbits")), 1)
        mixed = " | ".join(self.warnings(answer, "products_mixed"))
        self.assertIn("fetched orbits of AAA (final)", mixed)

    def test_with_orbits_and_clocks_given_the_rest_may_be_missing(self):
        self.offer(lines(kinds=("orbits", "clocks", "antennas")))
        answer = self.locate("--orbits", self.world["orbits"], "--clocks",
                             self.world["clocks"])
        self.assertIn(answer.code, (0, 1), answer)
        self.assertEqual(self.asked, [self.name("antennas")])
        self.assertEqual(len(self.warnings(answer, "products_missing")), 2)

    def test_codes_do_with_orbits_alone(self):
        self.offer(lines(kinds=("orbits",)))
        answer = self.locate("--method", "code")
        self.assertIn(answer.code, (0, 1), answer)
        self.assertEqual(answer.json()["method"], "code")
        self.assertNotIn(self.name("antennas"), self.asked)
        # The phases are another matter.
        error = self.refused(self.locate())
        self.assertEqual(error["code"], "no_data")
        self.assertIn("clocks", error["what"])

    def test_only_the_span_is_asked_for(self):
        self.offer(lines(span="1h"))
        error = self.refused(self.locate("--start", "2024-05-07T01:20:00",
                                         "--end", "2024-05-07T01:40:00"))
        self.assertEqual(self.asked, ["AAA202412801.SP3.gz"])
        self.assertIn("2024-05-07T01:20:00", error["what"])
        # Half open: the last epoch is a minute before.
        self.assertIn("2024-05-07T01:39:00", error["what"])
        error = self.refused(self.locate("--start", "2024-06-01"))
        self.assertIn("--start", error["remedy"])

    def test_what_should_be_there_and_is_not_is_told_with_the_names(self):
        for path in self.shelf.iterdir():
            path.unlink()
        error = self.refused(self.locate())
        self.assertEqual(error["code"], "no_data")
        self.assertIn("archives.toml", error["remedy"])
        self.assertEqual(self.asked, [self.name("orbits")])

    def test_what_does_not_exist_yet_is_told_with_its_day(self):
        yesterday = (datetime.datetime.now(datetime.timezone.utc) -
                     datetime.timedelta(days=1)).strftime("%Y-%m-%d")
        young = simulate(self.folder, f"{yesterday}T00:00:00", 0.2)
        error = self.refused(self.locate(obs=young["observations"]))
        self.assertEqual(error["code"], "no_data")
        self.assertIn(f"final orbits of {yesterday} come about 13 days later",
                      error["remedy"])
        self.assertEqual(self.asked, [])  # nobody is asked too early

    def test_better_products_that_come_later_are_told(self):
        # Three days after: rapid ones are there, final ones take 13 days.
        days_ago = (datetime.datetime.now(datetime.timezone.utc) -
                    datetime.timedelta(days=3))
        young = simulate(self.folder, f"{days_ago:%Y-%m-%d}T00:00:00", HOURS)
        epoch = datetime.datetime(1980, 1, 6, tzinfo=datetime.timezone.utc)
        shelf = self.folder / f"site/products/{(days_ago - epoch).days // 7}"
        shelf.mkdir(exist_ok=True)
        for kind in ("orbits", "clocks"):
            name = NAMES[kind].format(yyyy=days_ago.year,
                                      ddd=f"{days_ago:%j}", hh="00")
            (shelf / name).write_bytes(young[kind].read_bytes())
        two = ("orbits", "clocks")
        self.offer(lines("final", kinds=two) + lines("rapid", kinds=two))
        answer = self.locate(obs=young["observations"])
        self.assertIn(answer.code, (0, 1), answer)
        self.assertIn("rapid orbits of AAA",
                      self.warnings(answer, "products_fetched")[0])
        later = " | ".join(self.warnings(answer, "better_products_later"))
        self.assertIn(f"final orbits of {days_ago:%Y-%m-%d} come", later)

    def test_an_archive_that_does_not_answer_is_told(self):
        self.archive.server.shutdown()
        self.archive.server.server_close()
        error = self.refused(self.locate())
        self.assertEqual(error["code"], "io")
        self.assertTrue(error["remedy"])

    def test_a_file_that_cannot_be_read_leaves_the_cache(self):
        self.put("orbits", gzip.compress(b"these are no orbits\n"))
        error = self.refused(self.locate())
        self.assertIn("taken out of the cache", error["remedy"])
        kept = self.cache / "orbits" / self.name("orbits")
        self.assertFalse(kept.exists())
        self.put("orbits", self.world["orbits"].read_bytes())
        answer = self.locate()
        self.assertIn(answer.code, (0, 1), answer)
        self.assertTrue(kept.exists())

    def test_without_cache_the_users_own_is_taken(self):
        for env, place in (
                ({"XDG_CACHE_HOME": str(self.folder / "xdg")},
                 "xdg/stillpoint"),
                ({"XDG_CACHE_HOME": "", "HOME": str(self.folder / "me")},
                 "me/.cache/stillpoint"),
                ({"XDG_CACHE_HOME": "relative",
                  "HOME": str(self.folder / "she")},
                 "she/.cache/stillpoint")):
            answer = self.locate(cache=False, env=env)
            self.assertIn(answer.code, (0, 1), answer)
            self.assertTrue(
                (self.folder / place / "orbits" / self.name("orbits")).exists())
            self.assertIn(str(self.folder / place), answer.err)
        none = {"XDG_CACHE_HOME": "", "HOME": ""}
        error = self.refused(self.locate(cache=False, env=none), 2)
        self.assertIn("--cache", error["remedy"])

    def test_usage(self):
        error = self.refused(run("locate", self.world["observations"],
                                 "--fetch", "--json"), 2)
        self.assertIn("examples/archives.toml", error["remedy"])
        for option in ("--archives", "--cache"):
            error = self.refused(
                run("locate", self.world["observations"], option, self.list,
                    "--json"), 2)
            self.assertIn(option, error["what"])
        self.list.write_text("colour = 1\n")
        error = self.refused(self.locate())
        self.assertIn("archives.toml:1", error["where"])


if __name__ == "__main__":
    main()
