// Data-driven checks: tests/vectors/<name>.vec.
//
//   # a comment
//   source: who printed the numbers, where       (mandatory in every block)
//   kind: published | cross | regression         (published when absent)
//   input: name=value name=value …               (may repeat)
//   expect: name=value …   or   expect-error: bad_checksum
//   tolerance: number and the reason for it
//   ---                                          (between blocks)
//
// Values are numbers or words without blanks; a list is 1,2,3. A surveyor can
// add a block without knowing C++.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace stillpoint::test {

struct Block {
  std::string name;    // "file.vec:line", for messages
  std::string source;  // never empty
  std::string kind;
  std::map<std::string, std::string> input, expect;
  std::string expect_error;
  double tolerance = 0;
  std::string tolerance_reason;

  // Values by key; a missing key or a word where a number should be stops the
  // test with the block's name.
  [[nodiscard]] double in(const std::string& key) const;
  [[nodiscard]] double out(const std::string& key) const;
  [[nodiscard]] std::string word(const std::string& key) const;
  [[nodiscard]] bool has(const std::string& key) const;
  [[nodiscard]] std::vector<double> in_list(const std::string& key) const;
  [[nodiscard]] std::vector<double> out_list(const std::string& key) const;
};

// All blocks of a file; a block without source or expectation throws, and so
// fails the test that reads it.
std::vector<Block> read_vectors(const std::string& file);

// The full path of a file in tests/vectors, for inputs that are files.
std::string vector_path(const std::string& file);

}  // namespace stillpoint::test
