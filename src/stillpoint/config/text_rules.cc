#include "stillpoint/config/text_rules.h"

#include <algorithm>
#include <charconv>
#include <cstddef>
#include <cstdint>
#include <system_error>

namespace stillpoint::config {
namespace {

constexpr std::size_t kLongestPath = 1024;
constexpr std::size_t kLongestWord = 64;
constexpr std::string_view kTcp = "tcp:";

// Of ASCII, whatever the locale.
bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_capital(char c) {
  return c >= 'A' && c <= 'Z';
}
bool is_letter(char c) {
  return is_capital(c) || (c >= 'a' && c <= 'z');
}
bool is_control(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
}

bool all_of(std::string_view text, bool (*fits)(char)) {
  return std::all_of(text.begin(), text.end(), fits);
}

bool is_station_name(std::string_view text) {
  return text.size() == 9 &&
         all_of(text.substr(0, 4),
                [](char c) { return is_capital(c) || is_digit(c); }) &&
         all_of(text.substr(4, 2), is_digit) &&
         all_of(text.substr(6), is_capital);
}

bool is_path_or_empty(std::string_view text) {
  return text.empty() || is_path(text);
}

// Begins with a letter or digit: "." and ".." have a meaning of their own in
// a path of HTTP.
bool is_word(std::string_view text) {
  return !text.empty() && text.size() <= kLongestWord &&
         (is_letter(text[0]) || is_digit(text[0])) && all_of(text, [](char c) {
           return is_letter(c) || is_digit(c) || c == '_' || c == '-' ||
                  c == '.';
         });
}

bool is_message_types(std::string_view text) {
  return text.empty() || !message_types(text).empty();
}

bool is_station_id(std::string_view text) {
  constexpr int kMostId = 4095;
  int id = -1;
  const char* end = text.data() + text.size();
  return text.empty() || (std::from_chars(text.data(), end, id).ptr == end &&
                          id >= 0 && id <= kMostId && all_of(text, is_digit));
}

bool is_profile(std::string_view text) {
  return text.empty() || is_word(text) || is_path(text);
}

bool is_pass_through(std::string_view text) {
  return text.empty() || text == "pty" || pass_through_port(text) != 0;
}

// A source table has ';' between its fields, and '"' around some of them.
bool is_table_field(std::string_view text) {
  return text.size() <= kLongestWord && all_of(text, [](char c) {
           return c >= ' ' && c <= '~' && c != ';' && c != '"';
         });
}

bool is_country(std::string_view text) {
  return text.empty() || (text.size() == 3 && all_of(text, is_capital));
}

template <std::size_t kMost>
bool is_header_text(std::string_view text) {
  return text.size() <= kMost && (text.empty() || text.front() != ' ') &&
         (text.empty() || text.back() != ' ') &&
         all_of(text, [](char c) { return c >= ' ' && c <= '~'; });
}

}  // namespace

const TextRule kStationName = {
    is_station_name, "four capitals or digits, two digits, three capitals"};
const TextRule kFolder = {is_path, "a path that begins with /"};
const TextRule kFileOrEmpty = {is_path_or_empty,
                               "a path that begins with /, or \"\""};
const TextRule kProfile = {
    is_profile,
    "the name of a shipped profile, a path that begins with /, or \"\""};
const TextRule kPassThrough = {
    is_pass_through, "\"\", \"pty\", or \"tcp:PORT\" with a port 1 .. 65535"};
const TextRule kMountName = {
    is_word,
    "1 .. 64 of A-Z a-z 0-9 _ - . with a letter or digit first: it stands in "
    "the line by which rovers ask for it"};
const TextRule kTableField = {
    is_table_field,
    "0 .. 64 letters, digits, blanks and signs of ASCII, but "
    "no ; and no quote: it stands in the source table"};
const TextRule kCountry = {is_country, "three capitals, or \"\""};
const TextRule kMessageTypes{
    is_message_types,
    "up to 32 numbers from 1 to 4095 with blanks between them, or \"\""};
const TextRule kStationId{is_station_id, "a number from 0 to 4095, or \"\""};
const TextRule kHeaderText20 = {
    is_header_text<20>,
    "0 .. 20 letters, digits, blanks between them and signs of ASCII: it "
    "stands in the headers of files"};
const TextRule kHeaderText40 = {
    is_header_text<40>,
    "0 .. 40 letters, digits, blanks between them and signs of ASCII: it "
    "stands in the headers of files"};

bool is_path(std::string_view text) {
  return text.starts_with('/') && text.size() <= kLongestPath &&
         std::none_of(text.begin(), text.end(), is_control);
}

std::vector<int> message_types(std::string_view text) {
  constexpr std::size_t kMostTypes = 32;
  constexpr int kMostType = 4095;
  std::vector<int> types;
  const char* at = text.data();
  const char* end = at + text.size();
  while (at != end) {
    if (*at == ' ') {
      ++at;
      continue;
    }
    int type = 0;
    const auto read = std::from_chars(at, end, type);
    if (read.ec != std::errc() || type < 1 || type > kMostType ||
        (read.ptr != end && *read.ptr != ' ') || types.size() == kMostTypes) {
      return {};
    }
    types.push_back(type);
    at = read.ptr;
  }
  return types;
}

unsigned pass_through_port(std::string_view text) {
  if (!text.starts_with(kTcp)) {
    return 0;
  }
  text.remove_prefix(kTcp.size());
  std::uint16_t port = 0;
  const char* end = text.data() + text.size();
  const auto [stopped, problem] = std::from_chars(text.data(), end, port);
  return problem == std::errc{} && stopped == end ? port : 0;
}

}  // namespace stillpoint::config
