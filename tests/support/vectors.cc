#include "tests/support/vectors.h"

#include <cstdlib>
#include <fstream>
#include <initializer_list>
#include <sstream>
#include <stdexcept>
#include <string_view>
#include <utility>

namespace stillpoint::test {
namespace {

std::string joined(std::initializer_list<std::string_view> parts) {
  std::string out;
  for (const std::string_view part : parts) {
    out += part;
  }
  return out;
}

void add_pairs(const std::string& text,
               const std::string& where,
               std::map<std::string, std::string>& into) {
  std::istringstream words(text);
  for (std::string word; words >> word;) {
    const auto equals = word.find('=');
    if (equals == std::string::npos) {
      throw std::runtime_error(
          joined({where, ": '", word, "' is not name=value"}));
    }
    into[word.substr(0, equals)] = word.substr(equals + 1);
  }
}

void set_tolerance(const std::string& text,
                   const std::string& where,
                   Block& block) {
  char* rest = nullptr;
  block.tolerance = std::strtod(text.c_str(), &rest);
  block.tolerance_reason = rest;
  if (rest == text.c_str()) {
    throw std::runtime_error(where + ": tolerance without a number");
  }
}

void finish(Block& block, std::vector<Block>& blocks) {
  if (block.name.empty()) {
    return;
  }
  if (block.source.empty()) {
    throw std::runtime_error(block.name + ": block without source");
  }
  if (block.expect.empty() && block.expect_error.empty()) {
    throw std::runtime_error(block.name + ": block without expectation");
  }
  blocks.push_back(std::move(block));
  block = {};
}

double number(const std::string& text, const std::string& where) {
  char* end = nullptr;
  const double value = std::strtod(text.c_str(), &end);
  if (end == text.c_str() || *end != '\0') {
    throw std::runtime_error(joined({where, ": '", text, "' is not a number"}));
  }
  return value;
}

const std::string& value_of(const std::map<std::string, std::string>& map,
                            const std::string& key,
                            const std::string& where) {
  const auto found = map.find(key);
  if (found == map.end()) {
    throw std::runtime_error(joined({where, ": no value for '", key, "'"}));
  }
  return found->second;
}

std::vector<double> list(const std::string& text, const std::string& where) {
  std::vector<double> values;
  std::istringstream parts(text);
  for (std::string part; std::getline(parts, part, ',');) {
    values.push_back(number(part, where));
  }
  return values;
}

}  // namespace

double Block::in(const std::string& key) const {
  return number(value_of(input, key, name), name);
}
double Block::out(const std::string& key) const {
  return number(value_of(expect, key, name), name);
}
std::string Block::word(const std::string& key) const {
  return value_of(input, key, name);
}
bool Block::has(const std::string& key) const {
  return input.contains(key) || expect.contains(key);
}
std::vector<double> Block::in_list(const std::string& key) const {
  return list(value_of(input, key, name), name);
}
std::vector<double> Block::out_list(const std::string& key) const {
  return list(value_of(expect, key, name), name);
}

std::string vector_path(const std::string& file) {
  return std::string(STILLPOINT_VECTOR_DIR) + "/" + file;
}

std::vector<Block> read_vectors(const std::string& file) {
  std::ifstream in(vector_path(file));
  if (!in) {
    throw std::runtime_error("cannot open tests/vectors/" + file);
  }
  std::vector<Block> blocks;
  Block block;
  int number_of_line = 0;
  for (std::string line; std::getline(in, line);) {
    ++number_of_line;
    const std::string where = file + ":" + std::to_string(number_of_line);
    if (line.starts_with("---")) {
      finish(block, blocks);
      continue;
    }
    if (line.empty() || line[0] == '#') {
      continue;
    }
    const auto colon = line.find(": ");
    if (colon == std::string::npos) {
      throw std::runtime_error(where + ": expected 'key: value'");
    }
    if (block.name.empty()) {
      block.name = where;
      block.kind = "published";
    }
    const std::string key = line.substr(0, colon);
    const std::string value = line.substr(colon + 2);
    if (key == "source") {
      block.source = value;
    } else if (key == "kind") {
      block.kind = value;
    } else if (key == "input") {
      add_pairs(value, where, block.input);
    } else if (key == "expect") {
      add_pairs(value, where, block.expect);
    } else if (key == "expect-error") {
      block.expect_error = value;
    } else if (key == "tolerance") {
      set_tolerance(value, where, block);
    } else {
      throw std::runtime_error(joined({where, ": unknown key '", key, "'"}));
    }
  }
  finish(block, blocks);
  if (blocks.empty()) {
    throw std::runtime_error(file + ": no blocks");
  }
  return blocks;
}

}  // namespace stillpoint::test
