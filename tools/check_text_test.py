"""Proves on made-up trees that check_vectors.py and check_docs.py fire."""
import pathlib
import subprocess
import sys
import tempfile
import unittest

TOOLS = pathlib.Path(__file__).parent
BLOCK = ("source: a paper\nkind: cross\ninput: a=1\nexpect: b=2\n"
         "tolerance: 1e-3 printed digits\n")
ROOTED = "/" + "root"
NOTE = "TO" + "DO"


class Text(unittest.TestCase):
    def check(self, tool, files):
        with tempfile.TemporaryDirectory() as folder:
            for name, text in files.items():
                path = pathlib.Path(folder, name)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text, encoding="utf-8")
            done = subprocess.run(
                [sys.executable, str(TOOLS / tool), "--root", folder],
                capture_output=True, text=True, check=False)
            self.assertEqual(done.stderr, "")
            return done.returncode, done.stdout

    def expect(self, tool, words, files):
        code, text = self.check(tool, files)
        self.assertEqual(code, 1, text)
        self.assertIn(words, text)
        self.assertEqual(len(text.splitlines()), 1, text)


class Vectors(Text):
    def vec(self, words, text):
        self.expect("check_vectors.py", words, {"tests/vectors/a.vec": text})

    def gtest(self, words, text):
        self.expect("check_vectors.py", words, {"src/m/a_test.cc": text})

    def test_good_blocks_pass(self):
        error = "source: rule\ninput: a=1\nexpect-error: bad_format\n"
        code, text = self.check("check_vectors.py", {
            "tests/vectors/a.vec": f"# why\n{BLOCK}---\n\n{error}---\n"})
        self.assertEqual(code, 0, text)
        self.assertIn("2 blocks", text)

    def test_second_block_without_source(self):
        self.vec("a.vec:7: block without source",
                 BLOCK + "---\n" + BLOCK.replace("source: a paper\n", ""))

    def test_empty_source(self):
        self.vec("without source", BLOCK.replace("a paper", ""))

    def test_tolerance_without_reason(self):
        self.vec("its reason", BLOCK.replace(" printed digits", ""))

    def test_no_tolerance(self):
        self.vec("its reason", BLOCK.replace("tolerance", "# tolerance"))

    def test_unknown_kind_and_key(self):
        self.vec("kind is one of", BLOCK.replace("cross", "guess"))
        self.vec("not a key", BLOCK + "sourc: x\n")

    def test_no_expectation(self):
        self.vec("without expectation", BLOCK.replace("expect: b=2\n", ""))

    def test_comparison_without_kind(self):
        self.gtest("no comment says kind", "EXPECT_NEAR(a, b, 1);\n")

    def test_published_without_source(self):
        self.gtest("published, but where",
                  "// kind: published\nEXPECT_NEAR(a, b, 1);\n")

    def test_sources_and_admissions_pass(self):
        for words in ("source: a table", "common practice, no source",
                      "from memory"):
            text = f"// kind: published\n// {words}\nEXPECT_NEAR(a, b, 1);\n"
            code, out = self.check("check_vectors.py",
                                   {"src/m/a_test.cc": text})
            self.assertEqual(code, 0, out)


class Documents(Text):
    def doc(self, words, text, name="README.md"):
        self.expect("check_docs.py", words, {name: text})

    def test_names_that_exist_pass(self):
        code, text = self.check("check_docs.py", {
            "README.md": "`docs/a.md`, [a](docs/a.md#part), `src/<module>/`, "
                         "`docs/*.md`, [b](https://example.org/)\n",
            "docs/a.md": "[up](../README.md)\n"})
        self.assertEqual(code, 0, text)

    def test_named_file_that_is_missing(self):
        self.doc("docs/b.md does not exist", "see `docs/b.md`\n")

    def test_link_to_nothing(self):
        self.doc("link to b.md", "see [b](b.md)\n")

    def test_long_contributing(self):
        self.doc("61 lines", "line\n" * 61, "CONTRIBUTING.md")

    def test_path_of_one_machine(self):
        self.doc("path of one machine", f"# {ROOTED}/x\n", "src/a.cc")

    def test_unfinished_work(self):
        self.doc("unfinished", f"// {NOTE}: later\n", "src/a.cc")

    def test_big_file_is_only_a_warning(self):
        code, text = self.check("check_docs.py", {"src/a.cc": "\n" * 401})
        self.assertEqual(code, 0, text)
        self.assertIn("warning: src/a.cc has 401 lines", text)


# The base class has no tests of its own.
del Text

if __name__ == "__main__":
    unittest.main()
