"""`demo`: the verbs of the program work together, from a receiver's bytes to a
position; nothing is left running; nobody else's folder is touched.
"""
import math
import pathlib
import signal
import socket

from running import InFolder, Running, check, wait_until
from station_running import logbook, recorded
from support import main, run

HOURS = 3
INTERVAL_S = 10


def parent_of(pid):
    """Nothing for a process that has ended, waited for or not."""
    try:
        text = pathlib.Path(f"/proc/{pid}/stat").read_text()
    except OSError:
        return None
    state, parent = text.rpartition(")")[2].split()[:2]
    return None if state == "Z" else int(parent)


def children_of(pid):
    everybody = [int(path.name) for path in pathlib.Path("/proc").glob("[0-9]*")]
    return [one for one in everybody if parent_of(one) == pid]


def works_in(folder):
    """Processes whose command line names the folder."""
    found = []
    for path in pathlib.Path("/proc").glob("[0-9]*/cmdline"):
        try:
            line = path.read_bytes()
        except OSError:
            continue
        if str(folder).encode() in line:
            found.append(line)
    return found


def code_ranges(path):
    """GPS C1C of a RINEX 3 file: {epoch: {satellite: metres}}."""
    epochs, column, epoch = {}, None, None
    for line in pathlib.Path(path).read_text().splitlines():
        if line[60:].startswith("SYS / # / OBS TYPES") and line[0] == "G":
            column = 3 + 16 * line[7:60].split().index("C1C")
        elif line.startswith(">"):
            epoch = epochs.setdefault(line[2:29], {})
        elif line.startswith("G") and epoch is not None:
            text = line[column:column + 14].strip()
            if text:
                epoch[line[:3]] = float(text)
    return epochs


class Demo(InFolder):
    def setUp(self):
        super().setUp()
        self.where = self.folder / "demo with 'blanks'?"

    def play(self, *options, hours=HOURS):
        answer = run("demo", "--json", "--hours", hours, "--dir", self.where,
                     *options, timeout=900)
        self.assertEqual(answer.code, 0, answer)
        document = answer.json()
        check(document, "demo")
        self.assertIn("imulated", answer.err)
        return document

    def test_bytes_go_the_whole_way_and_the_folder_is_used_again(self):
        document = self.play("--speed", 3000)
        self.assertEqual(works_in(self.where), [])
        self.assertEqual(document["problems"], [])
        epochs = HOURS * 3600 // INTERVAL_S
        self.assertEqual(document["epochs"], {
            "simulated": epochs, "decoded": epochs, "in_minutes": epochs})
        # By the reader that shares no code with the program.
        self.assertEqual(len(recorded(self.where / "state/raw")),
                         document["bytes"]["simulated"])
        names = [rover["name"] for rover in document["rovers"]]
        self.assertEqual(names, ["ditch-1", "tractor-2"])
        for rover in document["rovers"]:
            self.assertEqual(rover["epochs"], epochs)
            self.assertEqual(rover["gaps"], 0)
        self.assertTrue(document["position"]["within_four_sigma"])
        adopted = document["adopted"]
        self.assertTrue(adopted["method"].startswith("ppp"), adopted)
        self.assertIsNotNone(adopted["trusted_after_s"])
        for rover in document["rovers"]:
            # kind: exact; tolerance: the step of a 1006, 0.1 mm
            self.assertGreater(rover["positions"], 0)
            self.assertLess(math.dist(rover["told_arp_ecef_m"],
                                      adopted["ecef_m"]), 0.2)
        self.assertEqual(document["events"], [])  # before ten o'clock
        for file in document["files"]:
            self.assertIn("simulated", pathlib.Path(file["path"]).read_text()
                          .split("END OF HEADER")[0])
        for path in self.where.glob("rovers/*"):
            self.assertEqual(path.stat().st_mode & 0o077, 0, path)
        kinds = [kind for kind, _, _ in logbook(self.where / "state/station.db")]
        self.assertEqual(kinds.count("rover_came"), 2)
        self.assertEqual(kinds[-1], "stopped")
        own = self.where / "own.txt"
        own.write_text("mine")
        first = code_ranges(document["position"]["observations"])
        self.assertEqual(len(first), HOURS * 120)
        again = self.play("--speed", 9000)
        # Bytes may differ: the receiver sends all it has until it is told what
        # to send, and how soon that is depends on the computer.
        self.assertEqual(again["epochs"], document["epochs"])
        self.assertEqual(again["bytes"]["recorded"],
                         again["bytes"]["simulated"])
        self.assertEqual(code_ranges(again["position"]["observations"]), first)
        self.assertEqual(again["position"]["ecef_m"],
                         document["position"]["ecef_m"])
        self.assertEqual(own.read_text(), "mine")

    def test_the_exported_file_is_the_same_world_as_simulated_rinex(self):
        document = self.play("--speed", 9000)
        answer = run("simulate", "larch-hollow", "--receiver", "LHOL00XXX",
                     "--rinex", "--interval", 30, "--end",
                     f"2026-06-02T{HOURS:02}:00:00", "--out", self.folder,
                     "--json")
        self.assertEqual(answer.code, 0, answer)
        observations = document["position"]["observations"]
        wanted = next(f["path"] for f in answer.json()["receivers"][0]["files"]
                      if f["kind"] == "observations")
        mine, truth = code_ranges(observations), code_ranges(wanted)
        self.assertEqual(list(mine), list(truth))
        apart = [abs(mine[epoch][sat] - truth[epoch][sat])
                 for epoch in truth for sat in truth[epoch]
                 if sat in mine[epoch]]
        self.assertGreater(len(apart), 4 * len(truth))
        # kind: cross; tolerance: half a step of fine pseudoranges in MSM7
        # (2^-29 light-milliseconds, 0.56 mm), and of the printed millimetre
        self.assertLessEqual(max(apart), 0.00028 + 0.0005 + 0.0005)

    def test_what_happened_is_in_the_stations_own_records(self):
        document = self.play("--speed", 6000, hours=19)
        gap, jammer = document["events"]
        self.assertEqual((gap["kind"], jammer["kind"]), ("gap", "jammer"))
        # 10:05:30 to 10:07:10, an epoch every ten seconds
        self.assertEqual(gap["numbers"]["epochs_missed"], 10)
        for rover in document["rovers"]:
            self.assertEqual((rover["gaps"], rover["epochs_missed"]), (1, 10))
        # Of the file's epochs, every half a minute.
        near = [epoch[11:19] for epoch
                in code_ranges(document["position"]["observations"])
                if epoch.startswith("2026 06 02 10 0")]
        self.assertEqual(near[9:13],
                         ["10 04 30", "10 05  0", "10 07 30", "10 08  0"])
        self.assertTrue(jammer["seen"])
        numbers = jammer["numbers"]
        for quiet in ("cn0_before_dbhz", "cn0_after_dbhz"):
            self.assertGreater(numbers[quiet], 40)
            self.assertLess(numbers["cn0_worst_dbhz"], numbers[quiet] - 10)
        self.assertLess(numbers["satellites_least"],
                        numbers["satellites_before"])

    def test_a_foreign_folder_is_refused_and_left_alone(self):
        self.where.mkdir()
        (self.where / "state").mkdir()
        (self.where / "state/mine.txt").write_text("mine")
        answer = run("demo", "--json", "--dir", self.where)
        self.assertEqual(answer.code, 2, answer)
        check(answer.json(), "error")
        self.assertIn("--dir", answer.json()["error"]["remedy"])
        self.assertEqual([str(p.relative_to(self.where))
                          for p in sorted(self.where.rglob("*"))],
                         ["state", "state/mine.txt"])

    def begin(self, *options):
        """One that plays in real time, with its receiver at work."""
        demo = Running(self, "demo", "--speed", 1, "--dir", self.where,
                       *options)
        segments = self.where / "state/raw"
        wait_until(lambda: any(segments.rglob("*.seg")), "bytes are recorded")
        self.assertEqual(len(children_of(demo.pid)), 2)
        return demo

    def test_ctrl_c_ends_everything(self):
        demo = self.begin("--json")
        children = children_of(demo.pid)
        answer = demo.interrupt()
        self.assertEqual(answer.code, 0, answer)
        check(answer.json(), "demo")
        self.assertTrue(answer.json()["interrupted"])
        self.assertFalse(any(parent_of(pid) for pid in children))
        kinds = [kind for kind, _, _ in logbook(self.where / "state/station.db")]
        self.assertEqual(kinds[-1], "stopped")

    def test_a_killed_demo_leaves_nobody_behind(self):
        demo = self.begin()
        children = children_of(demo.pid)
        self.assertEqual(len(children), 2)
        demo.process.send_signal(signal.SIGKILL)
        wait_until(lambda: not any(parent_of(pid) for pid in children),
                   "they have ended")

    def test_a_second_demo_stays_out_of_the_folder(self):
        demo = self.begin()
        answer = run("demo", "--dir", self.where)
        self.assertEqual(answer.code, 4, answer)
        self.assertIn("another demo", answer.err)
        demo.interrupt()

    def test_a_port_that_is_taken_is_named(self):
        with socket.create_server(("127.0.0.1", 0)) as taken:
            port = taken.getsockname()[1]
            answer = run("demo", "--dir", self.where, "--port", port)
        self.assertEqual(answer.code, 4, answer)
        self.assertIn(str(port), answer.err)

    def test_options_out_of_range_are_refused(self):
        for words in (("--hours", "49"), ("--hours", "0"), ("--speed", "x"),
                      ("--port", "70000"), ("--dir", "")):
            answer = run("demo", *words, cwd=self.folder)
            self.assertEqual(answer.code, 2, answer)
        self.assertEqual(list(self.folder.iterdir()), [])


if __name__ == "__main__":
    main()
