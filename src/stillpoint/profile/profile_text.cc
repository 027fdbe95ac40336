#include "stillpoint/profile/profile_text.h"

#include <algorithm>
#include <sstream>
#include <tuple>
#include <utility>

#include "stillpoint/core/text.h"

namespace stillpoint::profile {
namespace {

// A table can hold any number of mistakes; a person reads some.
constexpr std::size_t kMostTold = 20;
constexpr std::size_t kMostOfAValue = 40;

std::string quoted(std::string_view text) {
  std::string result = "'";
  for (const char c : text.substr(0, kMostOfAValue)) {
    result += c >= ' ' && c <= '~' ? c : '?';
  }
  return result + (text.size() > kMostOfAValue ? "...'" : "'");
}

std::string value_of(const toml::node& node) {
  if (const auto* text = node.as_string()) {
    return quoted(text->get());
  }
  if (const auto* number = node.as_integer()) {
    return std::to_string(number->get());
  }
  std::ostringstream type;
  type << node.type();
  return "(" + type.str() + ")";
}

std::string list_of(std::span<const std::string_view> words) {
  std::string result;
  for (const std::string_view word : words) {
    result += (result.empty() ? "" : ", ") + std::string(word);
  }
  return result;
}

}  // namespace

void Mistakes::add(const toml::source_region& place,
                   std::string what,
                   std::string remedy) {
  list_.push_back({place.begin.line,
                   place.begin.column,
                   std::move(what),
                   std::move(remedy)});
}

std::string Mistakes::place(std::uint32_t line, std::uint32_t column) const {
  return name_ + ":" + std::to_string(line) + ":" + std::to_string(column);
}

std::string Mistakes::place(const toml::source_region& region) const {
  return place(region.begin.line, region.begin.column);
}

Error Mistakes::error() const {
  std::vector<Mistake> sorted = list_;
  std::stable_sort(sorted.begin(), sorted.end(), [](auto& a, auto& b) {
    return std::tie(a.line, a.column) < std::tie(b.line, b.column);
  });
  Error error{ErrorCode::kConfig, {}, {}, {}};
  for (std::size_t i = 0; i < std::min(sorted.size(), kMostTold); ++i) {
    const Mistake& mistake = sorted[i];
    const std::string where = place(mistake.line, mistake.column);
    if (i == 0) {
      error.where = where;
      error.what = mistake.what;
      error.remedy = mistake.remedy;
    } else {
      error.what += "\n" + where + ": " + mistake.what + "; " + mistake.remedy;
    }
  }
  if (sorted.size() > kMostTold) {
    error.what +=
        "\nand " + std::to_string(sorted.size() - kMostTold) + " more";
  }
  return error;
}

TableReader::TableReader(const toml::table& table,
                         std::string_view what,
                         std::span<const KeyRule> rules,
                         Mistakes& mistakes)
    : table_(&table), rules_(rules), mistakes_(&mistakes) {
  look_for_unknown_keys(what);
  for (const KeyRule& rule : rules_) {
    if (rule.required && !has(rule.key)) {
      mistakes_->add(table_->source(),
                     std::string(what) + " without " + std::string(rule.key),
                     "add a line such as " + std::string(rule.example));
    }
  }
}

void TableReader::look_for_unknown_keys(std::string_view what) {
  std::vector<std::string_view> known;
  for (const KeyRule& rule : rules_) {
    known.push_back(rule.key);
  }
  for (const auto& [key, node] : *table_) {
    if (std::find(known.begin(), known.end(), key.str()) != known.end()) {
      continue;
    }
    const auto close = suggest(key.str(), known);
    mistakes_->add(
        key.source(),
        "unknown key " + quoted(key.str()) + "; " + std::string(what) +
            " may have: " + list_of(known),
        close ? "did you mean '" + std::string(*close) + "'?" : "remove it");
  }
}

bool TableReader::has(std::string_view key) const {
  return table_->get(key) != nullptr;
}

std::optional<std::uint64_t> TableReader::number(std::string_view key,
                                                 std::uint64_t most) {
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  const auto* number = node->as_integer();
  if (number == nullptr || number->get() < 0 ||
      static_cast<std::uint64_t>(number->get()) > most) {
    wrong_value(key, "a whole number 0 .. " + std::to_string(most));
    return std::nullopt;
  }
  return static_cast<std::uint64_t>(number->get());
}

std::optional<std::string> TableReader::text(std::string_view key) {
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  if (const auto* text = node->as_string()) {
    return text->get();
  }
  wrong_value(key, "a text in quotes");
  return std::nullopt;
}

std::optional<double> TableReader::seconds(std::string_view key, double most) {
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  const std::optional<double> value =
      node->is_number() ? node->value<double>() : std::nullopt;
  if (!value || !(*value >= 0 && *value <= most)) {
    std::ostringstream allowed;
    allowed << "a number of seconds 0 .. " << most;
    wrong_value(key, allowed.str());
    return std::nullopt;
  }
  return value;
}

std::optional<bool> TableReader::flag(std::string_view key) {
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  if (const auto* value = node->as_boolean()) {
    return value->get();
  }
  wrong_value(key, "true or false");
  return std::nullopt;
}

std::optional<std::size_t> TableReader::word(
    std::string_view key, std::span<const std::string_view> allowed) {
  const auto value = text(key);
  if (!value) {
    return std::nullopt;
  }
  const auto* found =
      std::find(allowed.data(), allowed.data() + allowed.size(), *value);
  if (found != allowed.data() + allowed.size()) {
    return static_cast<std::size_t>(found - allowed.data());
  }
  if (const auto close = suggest(*value, allowed)) {
    wrong(key,
          quoted(*value) + "; allowed are " + list_of(allowed),
          "did you mean \"" + std::string(*close) + "\"?");
  } else {
    wrong_value(key, "one of " + list_of(allowed));
  }
  return std::nullopt;
}

void TableReader::wrong(std::string_view key,
                        std::string_view what,
                        std::string_view remedy) {
  const toml::node* node = table_->get(key);
  mistakes_->add(node == nullptr ? table_->source() : node->source(),
                 std::string(key) + " = " + std::string(what),
                 std::string(remedy));
}

void TableReader::wrong_value(std::string_view key, std::string_view allowed) {
  std::string_view example;
  for (const KeyRule& rule : rules_) {
    example = rule.key == key ? rule.example : example;
  }
  wrong_value(key,
              "allowed is " + std::string(allowed),
              "write it like " + std::string(example));
}

void TableReader::wrong_value(std::string_view key,
                              std::string_view what,
                              std::string_view remedy) {
  const toml::node* node = table_->get(key);
  wrong(key,
        (node == nullptr ? "(absent)" : value_of(*node)) + "; " +
            std::string(what),
        remedy);
}

std::string TableReader::place() const {
  return mistakes_->place(table_->source());
}

}  // namespace stillpoint::profile
