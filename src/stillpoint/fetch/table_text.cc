#include "stillpoint/fetch/table_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>
#include <utility>

#include "stillpoint/core/text.h"

namespace stillpoint::fetch {
namespace {

constexpr std::size_t kMostTold = 20;
constexpr double kLongestS = 100 * 86400.0;

std::string list_of(std::span<const std::string_view> words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

bool printable(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) {
    return static_cast<unsigned char>(c) >= ' ' && c != '\x7f';
  });
}

}  // namespace

void Findings::add(const toml::source_region& place,
                   std::string what,
                   std::string remedy) {
  list_.push_back({place.begin.line,
                   place.begin.column,
                   std::move(what),
                   std::move(remedy)});
}

Error Findings::error() const {
  std::vector<Finding> sorted = list_;
  std::stable_sort(sorted.begin(), sorted.end(), [](auto& a, auto& b) {
    return std::tie(a.line, a.column) < std::tie(b.line, b.column);
  });
  Error error{ErrorCode::kConfig, {}, {}, {}};
  for (std::size_t i = 0; i < std::min(sorted.size(), kMostTold); ++i) {
    const Finding& one = sorted[i];
    const std::string where =
        fmt::format("{}:{}:{}", name_, one.line, one.column);
    if (i == 0) {
      error.where = where;
      error.what = one.what;
      error.remedy = one.remedy;
    } else {
      error.what += fmt::format("\n{}: {}; {}", where, one.what, one.remedy);
    }
  }
  if (sorted.size() > kMostTold) {
    error.what += fmt::format("\nand {} more", sorted.size() - kMostTold);
  }
  return error;
}

Table::Table(const toml::table& table,
             std::string_view what,
             std::span<const Key> keys,
             Findings& findings)
    : table_(&table), keys_(keys), findings_(&findings) {
  std::vector<std::string_view> known;
  for (const Key& key : keys_) {
    known.push_back(key.name);
    if (key.required && table_->get(key.name) == nullptr) {
      findings_->add(table_->source(),
                     fmt::format("{} without {}", what, key.name),
                     fmt::format("add a line such as {}", key.example));
    }
  }
  for (const auto& [key, node] : *table_) {
    if (std::find(known.begin(), known.end(), key.str()) != known.end()) {
      continue;
    }
    const auto close = suggest(key.str(), known);
    findings_->add(
        key.source(),
        fmt::format("unknown key; {} may have {}", what, list_of(known)),
        close ? fmt::format("did you mean '{}'?", *close) : "remove it");
  }
}

void Table::wrong(std::string_view key, std::string what, std::string remedy) {
  const toml::node* node = table_->get(key);
  if (remedy.empty()) {
    for (const Key& known : keys_) {
      if (known.name == key) {
        remedy = fmt::format("write it like {}", known.example);
      }
    }
  }
  findings_->add(node == nullptr ? table_->source() : node->source(),
                 fmt::format("{}: {}", key, what),
                 std::move(remedy));
}

std::optional<std::string> Table::text(std::string_view key,
                                       std::size_t longest) {
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  const auto* text = node->as_string();
  if (text == nullptr || text->get().empty() || text->get().size() > longest ||
      !printable(text->get())) {
    wrong(key, fmt::format("a text of 1 to {} bytes in quotes", longest));
    return std::nullopt;
  }
  return text->get();
}

std::optional<std::size_t> Table::word(
    std::string_view key, std::span<const std::string_view> allowed) {
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  const auto* text = node->as_string();
  for (std::size_t i = 0; text != nullptr && i < allowed.size(); ++i) {
    if (text->get() == allowed[i]) {
      return i;
    }
  }
  wrong(key, fmt::format("one of {}", list_of(allowed)));
  return std::nullopt;
}

std::optional<double> Table::length_s(std::string_view key) {
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return std::nullopt;
  }
  const auto* text = node->as_string();
  const auto value =
      text == nullptr ? std::nullopt : parse_duration_s(text->get());
  if (!value || !(*value <= kLongestS)) {
    wrong(key, "a length of time up to 100 days with its unit, in quotes");
    return std::nullopt;
  }
  return value;
}

std::vector<const toml::table*> Table::tables(std::string_view key,
                                              std::size_t most) {
  std::vector<const toml::table*> found;
  const toml::node* node = table_->get(key);
  if (node == nullptr) {
    return found;
  }
  const toml::array* list = node->as_array();
  if (list == nullptr || list->size() > most || list->empty()) {
    wrong(key, fmt::format("1 to {} tables [[{}]]", most, key));
    return found;
  }
  for (const toml::node& one : *list) {
    const toml::table* table = one.as_table();
    if (table == nullptr) {
      wrong(key, fmt::format("1 to {} tables [[{}]]", most, key));
      return {};
    }
    found.push_back(table);
  }
  return found;
}

}  // namespace stillpoint::fetch
