"""Proves on made-up trees that each rule of check_deps.py fires."""
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

TOOL = pathlib.Path(__file__).with_name("check_deps.py")
TABLE = [{"level": 0, "module": "core", "may_use": []},
         {"level": 1, "module": "time", "may_use": ["core"]},
         {"level": 1, "module": "clock", "may_use": ["core", "time"]},
         {"level": 2, "module": "top", "may_use": ["*"]},
         {"level": 8, "module": "app", "may_use": ["*"]}]
MODULES = "core | | a.h\ntime | core | t.h\n"
FILES = {"core/a.h": "#pragma once\n#include <vector>\n",
         "core/a.cc": '#include "stillpoint/core/a.h"\n',
         "core/hidden.h": "#pragma once\n",
         "time/t.h": '#include "stillpoint/core/a.h"\n',
         "time/t_test.cc": '#include "tests/support/vectors.h"\n',
         "app/main.cc": '#include "stillpoint/time/t.h"\nstd::cout << 1;\n'}


class CheckDeps(unittest.TestCase):
    def check(self, files=(), modules=MODULES, table=None, compiled=None):
        """Exit code and text for the clean tree with these files changed."""
        with tempfile.TemporaryDirectory() as folder:
            top = pathlib.Path(folder)
            for name, text in {**FILES, **dict(files)}.items():
                path = top / "src/stillpoint" / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text, encoding="utf-8")
            (top / "modules.txt").write_text(modules)
            (top / "table.json").write_text(
                json.dumps({"modules": table or TABLE}))
            command = [sys.executable, str(TOOL), str(top / "modules.txt"),
                       str(top / "src"), "--table", str(top / "table.json")]
            if compiled is not None:
                entries = [{"directory": str(top / "src/stillpoint"),
                            "file": name} for name in compiled]
                (top / "commands.json").write_text(json.dumps(entries))
                command += ["--compiled", str(top / "commands.json")]
            done = subprocess.run(command, capture_output=True, text=True,
                                  check=False)
            self.assertEqual(done.stderr, "")
            return done.returncode, done.stdout

    def expect(self, rule, place, **change):
        code, text = self.check(**change)
        self.assertEqual(code, 1, text)
        lines = text.splitlines()
        self.assertTrue(
            any(li.startswith(place) and li.endswith(rule) for li in lines),
            text)
        self.assertEqual(len(lines), 1, text)

    def test_clean_tree_passes(self):
        code, text = self.check()
        self.assertEqual(code, 0, text)
        self.assertIn("clean", text)

    def test_include_against_the_direction(self):
        self.expect("include", "core/a.cc:1", files={
            "core/a.cc": '#include "stillpoint/time/t.h"\n'})

    def test_include_of_a_module_that_is_not_in_deps(self):
        self.expect("include", "time/t.cc:2", modules=MODULES + "top | |\n",
                    files={"time/t.cc":
                           '\n#include "stillpoint/top/x.h"\n'})

    def test_deps_beyond_the_table(self):
        self.expect("deps", "core/CMakeLists.txt",
                    modules="core | time | a.h\ntime | core | t.h\n")

    def test_module_without_a_row(self):
        self.expect("table", "extra/x.h", files={"extra/x.h": "\n"})
        self.expect("table", "extra", modules=MODULES + "extra | |\n")

    def test_table_that_goes_up(self):
        table = [dict(row) for row in TABLE]
        table[0]["may_use"] = ["time"]
        self.expect("table", "table.json", table=table)

    def test_table_that_uses_a_later_row_of_its_level(self):
        table = [dict(row) for row in TABLE]
        table[1]["may_use"] = ["core", "clock"]
        self.expect("table", "table.json", table=table)

    def test_table_that_names_nothing_known(self):
        table = [dict(row) for row in TABLE]
        table[1]["may_use"] = ["core", "tide"]
        self.expect("table", "table.json", table=table)

    def test_public_header_that_includes_a_private_one(self):
        self.expect("public", "core/a.h:1", files={
            "core/a.h": '#include "stillpoint/core/hidden.h"\n'})

    def test_public_header_that_is_not_there(self):
        self.expect("public", "core/b.h",
                    modules="core | | a.h b.h\ntime | core | t.h\n")

    def test_own_header_in_another_form(self):
        self.expect("form", "core/a.cc:1",
                    files={"core/a.cc": '#include "a.h"\n'})
        self.expect("form", "core/a.cc:1",
                    files={"core/a.cc": "#include <stillpoint/core/a.h>\n"})

    def test_file_of_901_lines(self):
        self.expect("length", "core/a.cc", files={"core/a.cc": "\n" * 901})
        self.assertEqual(self.check(files={"core/a.cc": "\n" * 900})[0], 0)

    def test_library_that_prints(self):
        for line in ("std::cerr << 1;", "  printf(\"%d\", 1);",
                     "std::fprintf(stderr, \"\");", "#include <iostream>",
                     "fmt::print(\"x\");", "std::puts(text);"):
            with self.subTest(line):
                self.expect("print", "time/t.cc:2",
                            files={"time/t.cc": f"\n{line}\n"})

    def test_library_that_reaches_outside(self):
        for line in ("auto t = std::chrono::system_clock::now();",
                     "auto t = time(nullptr);", "std::getenv(name);",
                     "std::jthread worker(f);", "std::exit(1);"):
            with self.subTest(line):
                self.expect("ambient", "time/t.cc:2",
                            files={"time/t.cc": f"\n{line}\n"})

    def test_what_only_looks_like_printing(self):
        for line in ("std::snprintf(b, 9, \"x\");", "// printf(\"x\")",
                     "f(\"std::cout\");", "writer.puts(1);",
                     "to_time(0);", "row.time(0);",
                     "/* std::cerr\n */", "R\"j({\"a\": \"std::cout\"})j\"",
                     "f('\"', \"puts(x)\");"):
            with self.subTest(line):
                code, text = self.check(files={"time/t.cc": f"{line}\n"})
                self.assertEqual(code, 0, text)

    def test_tests_and_the_last_words_may_print(self):
        code, text = self.check(files={
            "time/x_test.cc": "printf(\"x\");\n",
            "core/error_table.cc": "std::fputs(text, stderr);\n"})
        self.assertEqual(code, 0, text)

    def test_source_that_nothing_builds(self):
        built = [name for name in FILES if name.endswith(".cc")]
        self.assertEqual(self.check(compiled=built)[0], 0)
        self.expect("compiled", "time/t_test.cc",
                    compiled=[n for n in built if n != "time/t_test.cc"])


if __name__ == "__main__":
    unittest.main()
