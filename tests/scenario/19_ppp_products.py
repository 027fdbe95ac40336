"""Damaged and mismatched products: `locate --method ppp` never gives a wrong
coordinate in silence.

One simulated morning of three hours with its products, of which each test
spoils one. Two rules hold for every answer: `converged` means within three
sigma_enu of the truth in each component, and what does not belong together is
named by an error or a warning.
"""
import gzip
import pathlib
import random
import re

from ppp_world import (Products, World, antennas_of, clocks_changed,
                       earth_text, loading_text, moved_in_time, offsets_text)
from support import main

# In the sky from half past five to the end, and of every kind of clock.
LONG_SEEN = ("G15", "R13", "E24")
ERRORS_OF_A_FILE = {"truncated", "bad_format", "bad_header", "no_data"}


class Undamaged(Products):
    def test_all_products_give_the_truth_and_nothing_to_warn_of(self):
        document = self.converged(self.locate())
        self.assertEqual(document["antenna"]["calibration"], "full")
        self.assertEqual(self.codes(document), set())

    def test_offsets_of_a_sinex_file_stand_in(self):
        text = offsets_text(self.world.text("antennas"))
        document = self.converged(self.locate(**self.with_offsets(text)))
        self.warned(document, "satellite_pattern_missing", "G15")


class Damaged(Products):
    def every_kind(self):
        """(kind, content, how to give that kind)."""
        for kind, path in self.world.files.items():
            yield kind, path.read_bytes(), lambda p, k=kind: {k: p}
        text = offsets_text(self.world.text("antennas"))
        more = self.with_offsets(text)
        yield "offsets", text.encode(), lambda p: {**more, "offsets": p}

    def refused(self, path, give):
        error = self.failed(self.locate(**give(path)), path.name)
        self.assertIn(error["code"], ERRORS_OF_A_FILE, error)

    def test_empty_noise_and_torn_packing_name_the_file(self):
        for kind, content, give in self.every_kind():
            packed = gzip.compress(content)
            flipped = bytearray(packed)
            flipped[len(packed) // 2] ^= 16
            for label, bytes_in in (
                    ("empty", b""), ("cut.gz", packed[:len(packed) * 2 // 3]),
                    ("noise", random.Random(kind).randbytes(20000)),
                    ("flipped.gz", bytes(flipped))):
                with self.subTest(kind=kind, damage=label):
                    self.refused(self.write(bytes_in, f"{kind}-{label}"), give)

    def test_cut_inside_a_line(self):
        # Observations and messages are blocks of their own: the rest is good.
        for kind, content, give in self.every_kind():
            line = content.index(b"\n", len(content) // 2) + 1
            path = self.write(content[:line + 12], kind + "-cut")
            with self.subTest(kind=kind):
                if kind in ("observations", "navigation"):
                    document = self.converged(self.locate(**give(path)))
                    self.warned(document, "input_damaged", path.name,
                                size=False)
                else:
                    self.refused(path, give)

    def test_cut_between_two_lines(self):
        # Navigation, clocks and Earth orientation have no mark for their end.
        for kind, content, give in self.every_kind():
            half = content[:len(content) // 2]
            path = self.write(half[:half.rindex(b"\n") + 1], kind + "-cut")
            with self.subTest(kind=kind):
                if kind in ("navigation", "earth"):
                    self.converged(self.locate(**give(path)), unharmed=True)
                elif kind == "clocks":
                    document = self.converged(self.locate(**give(path)))
                    self.warned(document, "products_end_early", "90 min",
                                size=False)
                elif kind == "observations":
                    document = self.converged(self.locate(**give(path)))
                    self.warned(document, "input_damaged", path.name,
                                size=False)
                else:
                    self.refused(path, give)

    def test_a_clock_cut_in_its_last_digits_is_no_clock(self):
        # "0.2090E-0" would be a clock of 0.2 s.
        text = self.world.text("clocks")
        end = text.index("\n", text.index("AS G15       2026  6  2  6 30"))
        for digits in (1, 2, 3, 10):
            self.refused(self.write(text[:end - digits], f"cut{digits}.clk"),
                         lambda p: {"clocks": p})

    def test_another_kind_of_file_is_told(self):
        for option, kind in (("orbits", "clocks"), ("clocks", "biases"),
                             ("biases", "antennas"), ("antennas", "orbits"),
                             ("offsets", "biases"), ("loading", "earth"),
                             ("earth", "loading"), ("navigation", "orbits")):
            with self.subTest(option=option):
                path = self.world.files[kind]
                self.refused(path, lambda p, o=option: {o: p})



class OfAnotherTime(Products):
    def moved(self, kind, days, world=None):
        text = moved_in_time((world or self.world).text(kind), kind, days)
        return {kind: self.write(text, f"{kind}-{days}")}

    def test_a_week_off_is_told_with_both_spans(self):
        for kind in ("orbits", "clocks", "observations"):
            for days, day in ((7, "2026-06-09"), (-7, "2026-05-26")):
                with self.subTest(kind=kind, days=days):
                    self.failed(self.locate(**self.moved(kind, days)),
                                day + "T0", "2026-06-02T0", "orbits", "clocks")

    def test_biases_of_another_week_are_not_used(self):
        for days in (7, -7):
            document = self.converged(
                self.locate(**self.moved("biases", days)))
            self.warned(document, "code_bias_unknown")

    def test_antennas_that_are_not_valid_yet_are_not_used(self):
        document = self.solved(self.locate(**self.moved("antennas", 7)))
        self.warned(document, "satellite_antenna_offset_missing")

    def test_navigation_of_another_week_does_no_harm(self):
        # Beside precise orbits it serves one frequency and no position.
        for days in (7, -7):
            self.converged(self.locate(**self.moved("navigation", days)),
                           unharmed=True)

    def test_earth_orientation_of_another_time_is_told(self):
        for first in (61197, 61180, 60825):  # next week, before, a year ago
            path = self.write(earth_text(first))
            document = self.converged(self.locate(earth=path))
            self.warned(document, "earth_orientation_missing", "cover")

    def another_day(self):
        """The same hours of the next day, in which the sky has moved on."""
        return World(self.folder / "next", start="2026-06-03T05:00:00",
                     end="2026-06-03T08:00:00")

    def test_files_of_another_day(self):
        other = self.another_day().files
        for kinds in (("orbits",), ("clocks",), ("orbits", "clocks")):
            self.failed(self.locate(**{k: other[k] for k in kinds}),
                        "2026-06-03T", "2026-06-02T")
        document = self.converged(self.locate(biases=other["biases"]))
        self.warned(document, "code_bias_unknown")
        self.converged(self.locate(navigation=other["navigation"]))

    def test_clocks_of_another_day_under_the_dates_of_this_one(self):
        self.solved(
            self.locate(**self.moved("clocks", -1, self.another_day())))

    def test_orbits_of_another_day_under_the_dates_of_this_one(self):
        error = self.failed(
            self.locate(**self.moved("orbits", -1, self.another_day())))
        self.says_they_do_not_fit(error)


class Mixed(Products):
    def frame(self, name):
        return self.world.text("orbits").replace("IGS20", name, 1)

    def calibrated(self, model):
        """The antennas with the name of the model they belong to."""
        return self.write(re.sub(
            r"(?m)^(.*# OF FREQUENCIES\n)",
            lambda m: m[1] + f"{model:60}SINEX CODE\n",
            self.world.text("antennas")), "named.atx")

    def test_calibrations_of_another_frame_are_a_warning_with_its_size(self):
        for model, frame, aligned in (("IGS20_2335", "IGb14", "ITRF2020"),
                                      ("igs14_2108", "IGS20", "ITRF2014")):
            document = self.converged(self.locate(
                orbits=self.write(self.frame(frame)),
                antennas=self.calibrated(model)))
            self.warned(document, "frame_mixed", model, aligned, frame)
            self.assertEqual(document["position"]["frame"], frame)
        document = self.converged(
            self.locate(antennas=self.calibrated("IGS20_2335")))
        self.assertNotIn("frame_mixed", self.codes(document))

    def test_a_frame_that_nobody_knows_is_repeated_and_told(self):
        document = self.converged(
            self.locate(orbits=self.write(self.frame("XYZ12"))))
        self.warned(document, "frame_unknown", "XYZ12", size=False)

    def test_orbits_in_two_frames_are_an_error(self):
        error = self.failed(
            self.locate(orbits=[self.world.files["orbits"],
                                self.write(self.frame("IGb14"), "b14.sp3")]),
            "IGS20", "IGb14", "b14.sp3")
        self.assertEqual(error["code"], "mixed_input")
        self.assertNotIn("receiver", error["remedy"])

    def test_orbits_and_clocks_of_two_agencies_are_named(self):
        orbits = self.world.text("orbits").replace(" SIM\n", " XYZ\n", 1)
        document = self.converged(self.locate(orbits=self.write(orbits)))
        self.warned(document, "products_mixed", "XYZ", "SIM", size=False)

    def test_orbits_or_clocks_of_another_world(self):
        other = World(self.folder / "other", "--seed", "5").files
        for kinds in (("orbits",), ("clocks",), ("orbits", "clocks")):
            with self.subTest(kinds=kinds):
                self.says_they_do_not_fit(self.failed(
                    self.locate(**{k: other[k] for k in kinds})))
        # Antennas that another world's numbers describe cannot be told from
        # the right ones; a code's bias goes into the ambiguity.
        for kind in ("biases", "navigation"):
            self.converged(self.locate(**{kind: other[kind]}))


class Lacking(Products):
    def clocks(self, satellites, keep):
        return self.write(clocks_changed(
            self.world.text("clocks"), satellites,
            lambda hour, clock: clock if keep(hour) else None))

    def test_clocks_without_a_system_say_which(self):
        for system, name in (("G", "GPS"), ("E", "Galileo")):
            document = self.converged(
                self.locate(clocks=self.clocks(system, lambda h: False)))
            self.assertNotIn(system, document["used"]["satellites"])
            words = " ".join(w["what"] for w in document["warnings"])
            self.assertRegex(words, f"clock.*({name}|{system}[0-9][0-9])|"
                             f"({name}|{system}[0-9][0-9]).*clock")

    def test_nothing_left_without_the_only_system_names_it(self):
        error = self.failed(self.locate(
            "--systems", "G", clocks=self.clocks("G", lambda h: False)))
        self.assertRegex(error["what"], "(GPS|G[0-9][0-9])")

    def test_a_gap_in_the_clocks_is_told(self):
        gap = self.clocks("", lambda h: not 6 <= h < 6.5)
        document = self.converged(self.locate(clocks=gap))
        self.assertLess(document["used"]["epochs"], 305)
        words = " ".join(w["what"] for w in document["warnings"])
        self.assertRegex(words, "(no|without) .*clock")

    def test_products_that_end_early_or_begin_late(self):
        head, *epochs = re.split(r"(?m)^(?=[*]  )", self.world.text("orbits"))
        # From 04:00 every five minutes.
        for kind, content, where in (
                ("orbits", head + "".join(epochs[:46]) + "EOF\n", "end"),
                ("orbits", head + "".join(epochs[15:]), "begin"),
                ("clocks", None, "end")):
            path = (self.write(content) if content else
                    self.clocks("", lambda h: h < 7.75))
            document = self.converged(self.locate(**{kind: path}))
            self.warned(document, "products_end_early", where, size=False)
            self.assertLess(document["used"]["epochs"], 345)

    def test_the_stations_antenna_is_nowhere(self):
        text = self.world.text("antennas")
        head, antennas = antennas_of(text)
        others = "".join(a for a in antennas if "SPDEMO-A1" not in a)
        for content in (head + others,
                        text.replace("SPDEMO-A1       NONE",
                                     "SPDEMO-A1       SNOW")):
            document = self.converged(
                self.locate(antennas=self.write(content)))
            self.assertEqual(document["antenna"]["calibration"], "none")
            # 5 cm is the least that a phase centre is worth.
            found = self.warned(document, "antenna_uncalibrated", "SPDEMO-A1")
            self.assertGreater(found["size_m"], 0.05)

    def test_the_offset_of_another_radome_says_that_it_stands_in(self):
        text = offsets_text(self.world.text("antennas"),
                            "SPDEMO-A1       SNOW")
        document = self.converged(self.locate(
            antennas=None, offsets=self.write(text)))
        self.assertEqual(document["antenna"]["calibration"], "offset")
        self.warned(document, "antenna_offset_only", "NONE", "SNOW")

    def test_satellites_that_the_antenna_file_lacks_are_left_out(self):
        head, antennas = antennas_of(self.world.text("antennas"))
        kept = [a for a in antennas if a.splitlines()[1][20] != "G"]
        document = self.converged(
            self.locate(antennas=self.write(head + "".join(kept))))
        self.warned(document, "satellites_without_antenna", "G15", size=False)
        self.assertNotIn("G", document["used"]["satellites"])

    def test_no_antennas_at_all(self):
        document = self.converged(self.locate(antennas=None))
        self.warned(document, "antenna_uncalibrated")
        self.warned(document, "satellite_antenna_offset_missing")

    def test_loading_without_the_station(self):
        document = self.converged(
            self.locate(loading=self.write(loading_text("XXXX"))))
        self.warned(document, "loading_missing")
        document = self.converged(
            self.locate(loading=self.write(loading_text("lhol"))))
        self.assertNotIn("loading_missing", self.codes(document))


class OneSatellite(Products):
    def shifted(self, satellite, metres):
        out = []
        for line in self.world.text("orbits").splitlines(keepends=True):
            if line.startswith("P" + satellite):
                x_km = float(line[4:18]) + metres / 1000
                line = f"{line[:4]}{x_km:14.6f}{line[18:]}"
            out.append(line)
        return self.write("".join(out))

    def test_orbit_shifted(self):
        for satellite in LONG_SEEN:
            for metres in (10, 1000):
                with self.subTest(satellite=satellite, metres=metres):
                    self.converged(self.locate(
                        orbits=self.shifted(satellite, metres)), unharmed=True)

    def test_clock_jumps_in_the_middle(self):
        for satellite in LONG_SEEN:
            for seconds in (1e-10, 1e-9, 1e-8, 1e-6):
                with self.subTest(satellite=satellite, seconds=seconds):
                    clocks = clocks_changed(
                        self.world.text("clocks"), satellite,
                        lambda hour, s, by=seconds: s + (hour >= 6.5) * by)
                    self.converged(self.locate(clocks=self.write(clocks)),
                                   unharmed=True)


if __name__ == "__main__":
    main()
