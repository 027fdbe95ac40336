"""`simulate`: a world without errors gives the true position, and each error
alone moves the answer by what its size says.
"""
import math
import pathlib

from running import Running, check, wait_until
from simulated import (END, WITHOUT, Simulated, columns_of, epochs_of,
                       to_enu, truth_rows)
from support import main, run


class Documents(Simulated):
    def test_same_seed_gives_the_same_bytes_and_another_does_not(self):
        words = ("--receiver", "MILL00XXX", "--start", "2026-06-02T12:00:00",
                 "--end", "2026-06-02T12:10:00", "--rinex", "--rtcm",
                 "--products")

        def digests(document):
            files = document["files"] + document["receivers"][0]["files"]
            return [f["sha256"] for f in files]

        first, again = self.simulate(*words), self.simulate(*words)
        self.assertEqual(digests(first), digests(again))
        other = self.simulate("--seed", "5", *words)
        for a, b in zip(digests(first), digests(other)):
            self.assertNotEqual(a, b)

    def test_everything_says_that_it_is_simulated(self):
        document = self.station("--end", "2026-06-02T06:10:00", "--rinex",
                                "--products")
        self.assertTrue(document["simulated"])
        for kind in ("observations", "navigation", "orbits", "clocks",
                     "antennas", "biases"):
            text = pathlib.Path(self.path(document, kind)).read_text()
            self.assertIn("SIMULATED", text.upper(), kind)

    def test_wrong_words_are_told_with_a_remedy(self):
        for words in (("nothing-here",), ("larch-hollow", "--only", "moon"),
                      ("larch-hollow", "--receiver", "NONE00XXX"),
                      ("larch-hollow", "--start", "2020-01-01"),
                      ("larch-hollow", "--msm", "5"),
                      ("larch-hollow", "--to", "udp:1"), ()):
            answer = run("simulate", *words, "--json")
            self.assertIn(answer.code, (2, 3), answer)
            error = answer.json()["error"]
            self.assertTrue(error["what"] and error["remedy"], answer)

    def test_a_scenario_file_of_ones_own_is_read_or_told_line_by_line(self):
        own = self.folder / "own.toml"
        good = ('name = "own"\nstart = 2026-01-01T00:00:00\nhours = 1\n'
                '[[receiver]]\nname = "OWNS00XXX"\nlatitude_deg = -33\n'
                'longitude_deg = 151\nheight_m = 40\ninterval_s = 60\n')
        own.write_text(good)
        document = self.simulate("--rinex", scenario=own)
        self.assertEqual(document["receivers"][0]["epochs"], 60)
        own.write_text(good.replace("-33", "-133"))
        error = self.simulate("--rinex", scenario=own, code=3)["error"]
        self.assertIn("own.toml:6", error["where"])


class WithoutErrors(Simulated):
    # The marker within 1 mm; ranges are printed to the millimetre, and so are
    # the orbits of the product.
    def test_position_is_the_truth(self):
        document = self.station("--only", "none")
        for orbits in (False, True):
            with self.subTest(orbits=orbits):
                self.assert_near(
                    self.error_enu_m(document, "--without", *WITHOUT,
                                     orbits=orbits),
                    (0, 0, 0), 0.001, "without errors")


class EachErrorAlone(Simulated):
    def alone(self, effect, *kept, end=END):
        """The error with the terms left out that the world does not have."""
        document = self.station("--only", effect, "--end", end)
        out = [term for term in WITHOUT if term not in kept]
        return document, self.error_enu_m(document, "--without", *out)

    def test_what_moves_the_antenna_moves_the_answer(self):
        for effect, keys in (("solid-tide", "tide"),
                             ("ocean-loading", "loading")):
            # Ten minutes, in which the ground moves by millimetres: with
            # constants for the satellites a drift is no mean.
            document, error = self.alone(effect, end="2026-06-02T06:10:00")
            rows = truth_rows(self.path(document, "truth"))
            mean = [sum(r[f"{keys}_{axis}_m"] for r in rows) / len(rows)
                    for axis in "xyz"]
            moved = to_enu(document["receivers"][0]["marker"], mean)
            self.assertGreater(math.dist(moved, (0, 0, 0)), 0.002, effect)
            self.assert_near(error, moved, 0.003, effect)

    def test_antenna_moved_by_the_table_moves_the_answer(self):
        # Four hours after the ladder.
        document = self.simulate(
            "--receiver", "LHOL00XXX", "--start", "2026-06-03T08:00:00",
            "--end", "2026-06-03T12:00:00", "--interval", "30", "--rinex",
            "--products", "--only", "motion")
        self.assert_near(
            self.error_enu_m(document, "--without", *WITHOUT),
            (0.0140, -0.0090, -0.0069), 0.0005, "ladder")

    def test_phase_centre_stands_by_the_combination_of_its_offsets(self):
        document, error = self.alone("receiver-antenna")
        self.assertLess(abs(error[0]), 0.005)
        self.assertLess(abs(error[1]), 0.005)
        # L1 about 85 and L2 about 65 mm up, 2.5 and -1.5 times, and pattern.
        self.assertTrue(0.03 < error[2] < 0.16, error)

    def test_what_two_frequencies_or_differences_remove_does_not_show(self):
        for effect in ("ionosphere", "wind-up", "receiver-clock", "half-cycles",
                       "slips", "skyline"):
            document = self.station("--only", effect)
            kept = [t for t in WITHOUT if t != "ionosphere"]
            self.assert_near(self.error_enu_m(document, "--without", *kept),
                             (0, 0, 0), 0.002, effect)

    def test_what_is_modelled_shows_when_the_model_is_left_out(self):
        # How much higher the antenna then seems, roughly the zenith delay
        # times what a 7 degree mask makes of it; and what the model leaves.
        for effect, least, most, left in (("troposphere", 3, 20, 0.05),
                                          ("shapiro", 0.001, 0.02, 0.001),
                                          ("relativity", 0.02, 2, 0.02)):
            document, bare = self.alone(effect)
            size = math.dist(bare, (0, 0, 0))
            self.assertTrue(least < size < most, f"{effect} {bare}")
            _, modelled = self.alone(effect, effect)
            self.assertLess(math.dist(modelled, (0, 0, 0)), left, effect)

    def test_ionosphere_on_one_frequency_is_metres(self):
        _, error = self.alone("ionosphere")
        self.assertTrue(0.5 < error[2] < 8, error)

    def test_random_errors_stay_within_four_of_their_own_sigmas(self):
        # By the sizes of the scenario, over some 35 satellites in four hours;
        # rough on purpose, a factor two more than the size asks for.
        for effect, most in (("broadcast-orbit", 0.4), ("broadcast-clock", 0.4),
                             ("clock-walk", 0.1), ("noise", 0.06),
                             ("multipath", 0.15), ("gradients", 0.05),
                             ("satellite-biases", 0.1),
                             ("receiver-biases", 0.05),
                             ("satellite-antenna", 0.02)):
            _, error = self.alone(effect)
            size = math.dist(error, (0, 0, 0))
            self.assertTrue(1e-4 < size < most, f"{effect} {error}")

    def test_errors_of_products_show_with_the_products_alone(self):
        # Ranges wrong by some 15 mm (orbit) and 37 mm (clock) one sigma, over
        # some 35 satellites that change slowly: a few millimetres of position,
        # three times that in height; rough on purpose, as above. The orbit
        # file is read with its own clocks.
        for effect, least, most in (("product-orbits", 0.001, 0.04),
                                    ("product-clocks", 0.001, 0.1)):
            document = self.station("--only", effect)
            self.assert_near(self.error_enu_m(document, "--without", *WITHOUT),
                             (0, 0, 0), 0.001, f"{effect}, broadcast")
            error = self.error_enu_m(document, "--without", *WITHOUT,
                                     orbits=True)
            size = math.dist(error, (0, 0, 0))
            self.assertTrue(least < size < most, f"{effect} {error}")


class TwoRoads(Simulated):
    def test_rtcm_and_rinex_are_the_same_observations(self):
        """The stream read back by `locate` and by the text of `listen`."""
        document = self.simulate(
            "--receiver", "MILL00XXX", "--start", "2026-06-02T12:00:00",
            "--end", "2026-06-02T12:20:00", "--interval", "5", "--rinex",
            "--rtcm")
        stream = self.path(document, "rtcm")
        said = run("listen", f"file:{stream}?speed=0&date=2026-06-02",
                   "--json").json()
        self.assertEqual(said["epochs"]["count"], 240)
        self.assertEqual(said["bad"]["crc"], 0)
        self.assertEqual(said["bad"]["malformed"], 0)
        self.assertEqual(said["bad"]["skipped_bytes"], 0)
        text = pathlib.Path(self.path(document, "observations")).read_text()
        seen = {s for _, rows in epochs_of(text) for s in rows}
        for system, codes in columns_of(text).items():
            if system == "J":
                continue
            wanted = {c[1:] for c in codes if c[0] == "C"}
            self.assertEqual(set(said["systems"][system]["signals"]), wanted)
            self.assertEqual(said["systems"][system]["satellites"],
                             len({s for s in seen if s[0] == system}))
        answers = []
        for words in ((self.path(document, "observations"), "--nav",
                       self.path(document, "navigation")), (stream,)):
            answer = run("locate", *words, "--method", "code", "--json")
            answers.append(answer.json()["position"]["ecef_m"])
        # Half a step of code (0.3 mm) and rounded sets against rounded sets.
        self.assertLess(math.dist(*answers), 0.01)


class AsAReceiver(Simulated):
    def test_port_as_a_file_holds_the_stream_and_more(self):
        document = self.simulate(
            "--receiver", "LHOL00XXX", "--start", "2026-06-02T12:00:00",
            "--end", "2026-06-02T12:01:00", "--rtcm", "--bytes")
        rtcm = pathlib.Path(self.path(document, "rtcm")).read_bytes()
        port = self.path(document, "bytes")
        self.assertGreater(len(pathlib.Path(port).read_bytes()), len(rtcm))
        said = run("listen", f"file:{port}?speed=0&date=2026-06-02",
                   "--profile", "spdemo-r1", "--json").json()
        self.assertEqual(said["epochs"]["count"], 60)
        self.assertEqual(said["maker_packets"], 60)
        self.assertEqual([n["type"] for n in said["nmea"]], ["GGA"])
        self.assertEqual(said["bad"], {"crc": 0, "malformed": 0,
                                       "skipped_bytes": 0})

    def test_is_heard_at_any_speed_and_says_what_it_did(self):
        running = Running(self, "simulate", "larch-hollow", "--receiver",
                          "LHOL00XXX", "--start", "2026-06-02T12:00:00",
                          "--end", "2026-06-02T12:05:00", "--to", "tcp:0",
                          "--speed", "0", "--json")
        line = running.line(running.process.stderr)
        source = line.split()[-1]
        heard = run("listen", source + "?date=2026-06-02", "--for", "20s",
                    "--json")
        self.assertEqual(heard.code, 0, heard)
        said = heard.json()
        self.assertEqual(said["epochs"]["count"], 300)
        self.assertEqual(said["station"]["antenna"], "SPDEMO-A1       NONE")
        self.assertEqual(said["bad"], {"crc": 0, "malformed": 0,
                                       "skipped_bytes":
                                       said["bad"]["skipped_bytes"]})
        wait_until(lambda: running.process.poll() is not None, "the end")
        document = running.answer().json()
        check(document, "simulate")
        self.assertEqual(document["epochs"], 300)
        self.assertEqual(document["commands"], 0)


if __name__ == "__main__":
    main()
