#include <algorithm>
#include <array>
#include <set>
#include <utility>

#include "stillpoint/profile/framing.h"
#include "stillpoint/profile/profile_tables.h"

namespace stillpoint::profile {
namespace {

constexpr std::size_t kMostFramings = 16;
constexpr std::size_t kMostName = 40;
constexpr std::size_t kMostSync = 8;
constexpr std::uint64_t kMostBytes = 65535;

constexpr std::array<KeyRule, 11> kFramingRules = {{
    {"name", true, "name = \"packet\""},
    {"sync", true, "sync = \"9E C4\""},
    {"length_offset", true, "length_offset = 4"},
    {"length_bytes", true, "length_bytes = 2"},
    {"length_order", false, "length_order = \"little\""},
    {"length_adds", true, "length_adds = 10"},
    {"checksum", true, "checksum = \"crc16\""},
    {"checksum_start", false, "checksum_start = 0xFFFF"},
    {"checksum_from", false, "checksum_from = 2"},
    {"checksum_order", false, "checksum_order = \"little\""},
    {"longest", false, "longest = 2048"},
}};

constexpr std::array<std::string_view, 2> kOrders = {"little", "big"};

// "9E C4"; nothing where it is anything else.
std::optional<std::vector<std::uint8_t>> bytes_of_hex(std::string_view text) {
  constexpr std::string_view kDigits = "0123456789ABCDEF0123456789abcdef";
  std::vector<std::uint8_t> bytes;
  std::size_t digits = 0;
  for (const char c : text) {
    const std::size_t digit = kDigits.find(c);
    if (c == ' ') {
      if (digits % 2 != 0) {
        return std::nullopt;
      }
      continue;
    }
    if (digit == std::string_view::npos || bytes.size() > kMostSync) {
      return std::nullopt;
    }
    if (digits++ % 2 == 0) {
      bytes.push_back(static_cast<std::uint8_t>(digit % 16 * 16));
    } else {
      bytes.back() = static_cast<std::uint8_t>(bytes.back() + digit % 16);
    }
  }
  if (digits % 2 != 0 || bytes.empty() || bytes.size() > kMostSync) {
    return std::nullopt;
  }
  return bytes;
}

bool is_name(std::string_view text) {
  return !text.empty() && text.size() <= kMostName &&
         std::all_of(text.begin(), text.end(), [](char c) {
           return c > ' ' && c <= '~';
         });
}

void read_name_and_sync(TableReader& reader, MakerFraming& framing) {
  if (auto name = reader.text("name")) {
    framing.name = *name;
    if (!is_name(*name)) {
      reader.wrong_value("name", "1 .. 40 letters, digits and signs, no blank");
    }
  }
  if (const auto text = reader.text("sync")) {
    if (auto sync = bytes_of_hex(*text)) {
      framing.sync = std::move(*sync);
    } else {
      reader.wrong_value("sync", "1 .. 8 bytes of two hex digits each");
    }
  }
}

void read_length(TableReader& reader, MakerFraming& framing) {
  framing.length_offset = reader.number("length_offset", kMostBytes)
                              .value_or(framing.length_offset);
  framing.length_bytes =
      reader.number("length_bytes", kMostBytes).value_or(framing.length_bytes);
  framing.length_adds =
      reader.number("length_adds", kMostBytes).value_or(framing.length_adds);
  framing.longest =
      reader.number("longest", kMostBytes).value_or(framing.longest);
  framing.length_little_endian =
      reader.word("length_order", kOrders).value_or(0) == 0;
  if (framing.length_bytes == 1 && reader.has("length_order")) {
    reader.wrong("length_order",
                 "(given); one byte of length has no order",
                 "leave it out");
  }
}

void read_framing_checksum(TableReader& reader, MakerFraming& framing) {
  const Checksum checksum = read_checksum(reader);
  framing.checksum = checksum.rule;
  framing.checksum_start = checksum.start;
  framing.checksum_from = checksum.from;
  framing.checksum_little_endian = checksum.little_endian;
}

// What is wrong in itself is said first; whether the values fit each other is
// worth a word only when each is right.
MakerFraming read_framing(const toml::table& table, Mistakes& mistakes) {
  const std::size_t before = mistakes.count();
  TableReader reader(table, "[[framing]]", kFramingRules, mistakes);
  MakerFraming framing;
  read_name_and_sync(reader, framing);
  read_length(reader, framing);
  read_framing_checksum(reader, framing);
  if (mistakes.count() == before) {
    if (const auto mistake = find_mistake(framing)) {
      reader.wrong(mistake->key, mistake->what, mistake->remedy);
    }
  }
  return framing;
}

}  // namespace

std::vector<MakerFraming> read_framings(const toml::node& node,
                                        Mistakes& mistakes) {
  std::vector<MakerFraming> framings;
  const toml::array* list = node.as_array();
  if (list == nullptr || list->size() > kMostFramings) {
    mistakes.add(node.source(),
                 "framing; allowed are up to 16 tables [[framing]]",
                 "write [[framing]], in double brackets, above each");
    return framings;
  }
  std::set<std::string> names;
  for (const toml::node& item : *list) {
    const toml::table* table = item.as_table();
    if (table == nullptr) {
      mistakes.add(item.source(),
                   "framing; allowed are only tables in this list",
                   "write [[framing]], in double brackets, above each");
      continue;
    }
    framings.push_back(read_framing(*table, mistakes));
    const std::string& name = framings.back().name;
    if (!name.empty() && !names.insert(name).second) {
      mistakes.add(item.source(),
                   "name = '" + name + "'; an earlier [[framing]] has it",
                   "give each its own name, it stands beside the counts");
    }
  }
  return framings;
}

}  // namespace stillpoint::profile
