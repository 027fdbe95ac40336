"""The command line's contract: streams, exit codes, help, mistyped words."""
import pathlib
import re
import signal
import socket
import subprocess
import unittest

from support import main, program, run

ESCAPE = "\x1b"


class CommandLine(unittest.TestCase):
    def test_help_names_the_verbs_and_the_exit_codes(self):
        answer = run("--help")
        self.assertEqual(answer.code, 0, answer)
        self.assertIn("locate", answer.out)
        self.assertEqual(answer.err, "")

    def test_help_of_a_verb_names_its_options(self):
        answer = run("locate", "--help")
        self.assertEqual(answer.code, 0, answer)
        for option in ("--nav", "--orbits", "--systems", "--start",
                       "--end", "--elevation-mask", "--without", "--json"):
            self.assertIn(option, answer.out)

    def test_version_is_one_line_of_data(self):
        answer = run("--version")
        self.assertEqual(answer.code, 0, answer)
        self.assertEqual(len(answer.out.strip().splitlines()), 1, answer)

    def test_mistyped_verb_gets_a_suggestion_and_is_not_run(self):
        answer = run("loacte")
        self.assertEqual(answer.code, 2, answer)
        self.assertEqual(answer.out, "")
        self.assertIn("locate", answer.err)

    def test_mistyped_planned_verb_gets_a_suggestion_too(self):
        self.assertIn("listen", run("listne").err)

    def test_planned_verb_says_that_it_is_planned(self):
        answer = run("prove")
        self.assertEqual(answer.code, 2, answer)
        self.assertIn("planned", answer.err)

    def test_wrong_kind_of_file_is_named_with_a_fitting_remedy(self):
        answer = run("locate", __file__, "--nav", __file__)
        self.assertEqual(answer.code, 3, answer)
        self.assertIn("kind of file", answer.err)

    def test_no_verb_says_how_to_go_on(self):
        answer = run()
        self.assertEqual(answer.code, 2, answer)
        self.assertIn("--help", answer.err + answer.out)

    def test_unknown_option_is_named(self):
        answer = run("locate", "x.rnx", "--nva", "y.rnx")
        self.assertEqual(answer.code, 2, answer)
        self.assertIn("--nva", answer.err)
        self.assertEqual(answer.out, "")

    def test_locate_without_files_is_a_usage_error(self):
        self.assertEqual(run("locate").code, 2)

    def test_missing_file_is_an_input_error_with_name_and_remedy(self):
        answer = run("locate", "not-there.rnx", "--nav", "nor-this.rnx")
        self.assertEqual(answer.code, 3, answer)
        self.assertIn("not-there.rnx", answer.err)

    def test_json_error_has_four_keys_and_stands_alone(self):
        for order in (("--json", "locate", "not-there.rnx"),
                      ("locate", "not-there.rnx", "--json")):
            answer = run(*order, "--nav", "nor-this.rnx")
            self.assertEqual(answer.code, 3, answer)
            document = answer.json()
            self.assertIn("schema_version", document)
            self.assertLessEqual({"code", "what", "where", "remedy"},
                                 set(document["error"]))
            self.assertTrue(document["error"]["remedy"])

    def test_usage_error_under_json_is_a_document_too(self):
        answer = run("locate", "--json")
        self.assertEqual(answer.code, 2, answer)
        self.assertEqual(answer.json()["error"]["code"], "usage")

    def test_a_closed_output_is_an_error_and_takes_no_files_number(self):
        closed = subprocess.run(
            ["sh", "-c", 'exec "$0" --version >&-', program()], check=False)
        self.assertEqual(closed.returncode, 4)

    def test_what_a_careless_parent_leaves_is_mended(self):
        """Standard files closed, SIGCHLD ignored."""
        with socket.create_server(("127.0.0.1", 0)) as server:
            server.settimeout(180)
            source = f"tcp://127.0.0.1:{server.getsockname()[1]}"
            with subprocess.Popen(
                    ["sh", "-c", 'trap "" CHLD; exec "$@" <&- >&- 2>&-', "sh",
                     program(), "listen", source]) as process:
                connection, _ = server.accept()
                proc = pathlib.Path(f"/proc/{process.pid}")
                files = [(proc / "fd" / str(n)).readlink() for n in range(3)]
                status = (proc / "status").read_text()
                connection.close()
                process.kill()
        self.assertEqual(files, [pathlib.Path("/dev/null")] * 3)
        ignored = int(re.search(r"SigIgn:\s*(\w+)", status).group(1), 16)
        self.assertFalse(ignored >> (signal.SIGCHLD - 1) & 1)

    def test_no_escape_byte_without_a_terminal(self):
        for words in (("--help",), ("loacte",), ("locate", "not-there.rnx")):
            answer = run(*words)
            self.assertNotIn(ESCAPE, answer.out + answer.err)


if __name__ == "__main__":
    main()
