#include "stillpoint/profile/placeholder.h"

#include <algorithm>
#include <array>
#include <utility>

#include "stillpoint/core/text.h"

namespace stillpoint::profile {
namespace {

using Kind = NumberForm::Kind;

struct FormRow {
  std::string_view word;
  NumberForm form;
};
constexpr std::array<FormRow, 18> kForms = {{
    {"i8", {Kind::kSigned, 1, true}},
    {"u8", {Kind::kUnsigned, 1, true}},
    {"i16le", {Kind::kSigned, 2, true}},
    {"i16be", {Kind::kSigned, 2, false}},
    {"u16le", {Kind::kUnsigned, 2, true}},
    {"u16be", {Kind::kUnsigned, 2, false}},
    {"i32le", {Kind::kSigned, 4, true}},
    {"i32be", {Kind::kSigned, 4, false}},
    {"u32le", {Kind::kUnsigned, 4, true}},
    {"u32be", {Kind::kUnsigned, 4, false}},
    {"i64le", {Kind::kSigned, 8, true}},
    {"i64be", {Kind::kSigned, 8, false}},
    {"u64le", {Kind::kUnsigned, 8, true}},
    {"u64be", {Kind::kUnsigned, 8, false}},
    {"f32le", {Kind::kFloat, 4, true}},
    {"f32be", {Kind::kFloat, 4, false}},
    {"f64le", {Kind::kFloat, 8, true}},
    {"f64be", {Kind::kFloat, 8, false}},
}};

constexpr std::array kValues = {ValueName::kX,
                                ValueName::kY,
                                ValueName::kZ,
                                ValueName::kLat,
                                ValueName::kLon,
                                ValueName::kHeight};
constexpr std::string_view kScale = "scale=";
constexpr double kLargestScale = 1e15;
constexpr int kMostDecimals = 15;
// A tenth of a millimetre, and as fine in an angle.
constexpr int kDecimalsOfLength = 4, kDecimalsOfAngle = 9;

tl::unexpected<TextMistake> mistake(std::string what, std::string remedy) {
  return tl::unexpected(TextMistake{std::move(what), std::move(remedy)});
}

std::string braced(std::string_view inside) {
  constexpr std::size_t kMostShown = 40;
  return "{" + std::string(inside.substr(0, kMostShown)) + "}";
}

std::optional<ValueName> value_named(std::string_view name) {
  const auto* const found =
      std::find_if(kValues.begin(), kValues.end(), [&](ValueName value) {
        return name == name_of(value);
      });
  return found == kValues.end() ? std::nullopt : std::optional(*found);
}

tl::unexpected<TextMistake> unknown_value(std::string_view name) {
  std::vector<std::string_view> names;
  std::string list;
  for (const ValueName value : kValues) {
    names.emplace_back(name_of(value));
    list += (list.empty() ? "" : ", ") + std::string(names.back());
  }
  const auto close = suggest(name, names);
  return mistake(braced(name) + " is no value; there are " + list,
                 close ? "did you mean {" + std::string(*close) + "}?"
                       : "write one of them, such as {x_m}");
}

// ".4"; false where it is anything else.
bool read_decimals(std::string_view word, int& decimals) {
  constexpr std::string_view kDigits = "0123456789";
  if (word.size() < 2 || word.size() > 3 || word.front() != '.') {
    return false;
  }
  decimals = 0;
  for (const char c : word.substr(1)) {
    const std::size_t digit = kDigits.find(c);
    if (digit == std::string_view::npos) {
      return false;
    }
    decimals = 10 * decimals + static_cast<int>(digit);
  }
  return decimals <= kMostDecimals;
}

// One of the words behind the colon; false where it is none.
bool read_option(std::string_view word,
                 bool is_text,
                 Placeholder& placeholder) {
  if (word.starts_with(kScale)) {
    placeholder.scale = parse_double(word.substr(kScale.size())).value_or(0);
    return placeholder.scale > 0 && placeholder.scale <= kLargestScale;
  }
  if (is_text) {
    return read_decimals(word, placeholder.decimals);
  }
  const auto* const row =
      std::find_if(kForms.begin(), kForms.end(), [&](const FormRow& form) {
        return form.word == word;
      });
  if (row == kForms.end()) {
    return false;
  }
  placeholder.form = row->form;
  return true;
}

const char* allowed(bool is_text) {
  return is_text ? "in a text allowed are a number of decimals 0 .. 15, such "
                   "as .4, and a scale above 0, such as scale=1000"
                 : "in hex allowed are a number's form, i8 u8 or i16 u16 i32 "
                   "u32 i64 u64 f32 f64 with le or be behind it, and a scale "
                   "above 0, such as scale=10000";
}

}  // namespace

Understood<Placeholder> parse_placeholder(std::string_view inside,
                                          bool is_text) {
  const std::size_t colon = std::min(inside.find(':'), inside.size());
  const std::string_view name = inside.substr(0, colon);
  const auto value = value_named(name);
  if (!value) {
    return unknown_value(name);
  }
  Placeholder placeholder{.value = *value, .scale = 1, .form = {}};
  placeholder.decimals = *value == ValueName::kLat || *value == ValueName::kLon
                             ? kDecimalsOfAngle
                             : kDecimalsOfLength;
  bool scaled = false;
  bool formed = false;
  for (std::size_t at = colon; at < inside.size();) {
    const std::size_t end = std::min(inside.find(',', at + 1), inside.size());
    const std::string_view word = inside.substr(at + 1, end - at - 1);
    bool& seen = word.starts_with(kScale) ? scaled : formed;
    if (seen || !read_option(word, is_text, placeholder)) {
      return mistake("'" + std::string(word.substr(0, 40)) + "' in " +
                         braced(inside) + "; " + allowed(is_text) +
                         ", each once",
                     is_text ? "write it like {x_m:.4}"
                             : "write it like {x_m:scale=10000,i64le}");
    }
    seen = true;
    at = end;
  }
  if (!is_text && !formed) {
    return mistake(
        braced(inside) + " in hex has no form; " + allowed(is_text),
        "write it like {" + std::string(name) + ":scale=10000,i64le}");
  }
  return placeholder;
}

}  // namespace stillpoint::profile
