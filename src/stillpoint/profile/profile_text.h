// A TOML table read key by key; every mistake is kept with its place, so that
// all of them can be told at once.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/profile/toml.h"

namespace stillpoint::profile {

class Mistakes {
 public:
  explicit Mistakes(std::string_view name) : name_(name) {}

  // `what` says the value and what is allowed, `remedy` what to write.
  void add(const toml::source_region& place,
           std::string what,
           std::string remedy);
  [[nodiscard]] std::size_t count() const { return list_.size(); }
  // "name:line:column".
  [[nodiscard]] std::string place(const toml::source_region& region) const;
  // All of them in the order of the text; the first gives where and remedy.
  [[nodiscard]] Error error() const;

 private:
  [[nodiscard]] std::string place(std::uint32_t line,
                                  std::uint32_t column) const;
  struct Mistake {
    std::uint32_t line, column;
    std::string what, remedy;
  };
  std::string name_;
  std::vector<Mistake> list_;
};

// A key that a table may have, with a line that would be right.
struct KeyRule {
  std::string_view key;
  bool required;
  std::string_view example;
};

class TableReader {
 public:
  // Says which required keys are missing and which keys are unknown; `what` is
  // what a message calls the table. Table, rules and mistakes outlive this.
  TableReader(const toml::table& table,
              std::string_view what,
              std::span<const KeyRule> rules,
              Mistakes& mistakes);

  [[nodiscard]] bool has(std::string_view key) const;
  // The value of a key; nothing where it is absent, or wrong (then said).
  std::optional<std::uint64_t> number(std::string_view key, std::uint64_t most);
  std::optional<std::string> text(std::string_view key);
  // Whole or not, up to `most` and not negative.
  std::optional<double> seconds(std::string_view key, double most);
  std::optional<bool> flag(std::string_view key);
  // The number of the word among those allowed.
  std::optional<std::size_t> word(std::string_view key,
                                  std::span<const std::string_view> allowed);

  // A mistake of the value of a key, or of the table where the key is absent.
  void wrong(std::string_view key,
             std::string_view what,
             std::string_view remedy);
  // The same, with the value and the example of its rule.
  void wrong_value(std::string_view key, std::string_view allowed);
  // The same, in other words than those.
  void wrong_value(std::string_view key,
                   std::string_view what,
                   std::string_view remedy);
  // "name:line:column" of the table.
  [[nodiscard]] std::string place() const;

 private:
  void look_for_unknown_keys(std::string_view what);

  const toml::table* table_;
  std::span<const KeyRule> rules_;
  Mistakes* mistakes_;
};

}  // namespace stillpoint::profile
