// The tables of archives.toml, read key by key; every mistake is kept with its
// line and column.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/fetch/toml.h"

namespace stillpoint::fetch {

class Findings {
 public:
  explicit Findings(std::string_view name) : name_(name) {}
  void add(const toml::source_region& place,
           std::string what,
           std::string remedy);
  [[nodiscard]] bool any() const { return !list_.empty(); }
  // All of them (at most 20), from the top; the first gives where and remedy.
  [[nodiscard]] Error error() const;

 private:
  struct Finding {
    std::uint32_t line, column;
    std::string what, remedy;
  };
  std::string name_;
  std::vector<Finding> list_;
};

// A key of a table, with a line that would be right.
struct Key {
  std::string_view name;
  bool required;
  std::string_view example;
};

class Table {
 public:
  // Says which required keys are missing and which are unknown; `what` is what
  // a message calls the table. All that is given outlives this.
  Table(const toml::table& table,
        std::string_view what,
        std::span<const Key> keys,
        Findings& findings);

  // Each: nothing where the key is absent, or wrong (which is then said).
  std::optional<std::string> text(std::string_view key, std::size_t longest);
  std::optional<std::size_t> word(std::string_view key,
                                  std::span<const std::string_view> allowed);
  // "15m", "1d": a length of time up to 100 days [s].
  std::optional<double> length_s(std::string_view key);
  // The tables of [[key]], at most `most`.
  std::vector<const toml::table*> tables(std::string_view key,
                                         std::size_t most);

  // A mistake of a key's value; it never repeats the value.
  void wrong(std::string_view key, std::string what, std::string remedy = {});

 private:
  const toml::table* table_;
  std::span<const Key> keys_;
  Findings* findings_;
};

}  // namespace stillpoint::fetch
