#include "stillpoint/ntrip/sourcetable_fields.h"

#include <fmt/format.h>

#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/ascii.h"

namespace stillpoint::ntrip {
namespace {

// False where a quote stays open.
bool split(std::string_view line,
           std::size_t most,
           bool quotes,
           std::vector<std::string>& fields) {
  fields.assign(1, {});
  bool inside = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (quotes && c == '"') {
      if (inside && i + 1 < line.size() && line[i + 1] == '"') {
        fields.back() += c;
        ++i;
      } else {
        inside = !inside;
      }
    } else if (c == ';' && !inside && fields.size() < most) {
      fields.emplace_back();
    } else {
      fields.back() += c;
    }
  }
  return !inside;
}

}  // namespace

std::vector<std::string> split_fields(std::string_view line,
                                      std::size_t most,
                                      bool& bad_quote) {
  std::vector<std::string> fields;
  bad_quote = !split(line, most, true, fields);
  if (bad_quote) {
    split(line, most, false, fields);
  }
  return fields;
}

FieldReader::FieldReader(std::string_view line, std::size_t count) {
  bool bad_quote = false;
  fields_ = split_fields(line, count, bad_quote);
  if (bad_quote) {
    problem_ = "a quote is not closed";
  } else if (fields_.size() < count) {
    problem_ = fmt::format("{} of {} fields", fields_.size(), count);
  }
}

std::string FieldReader::text() {
  return next_ < fields_.size() ? std::move(fields_[next_++]) : std::string();
}

std::string FieldReader::name() {
  return std::string(trim(text()));
}

std::optional<int> FieldReader::whole(const char* what, int highest) {
  const std::string field = name();
  const auto value = parse_int(field);
  if (!value || *value < 0 || *value > highest) {
    complain(what, field);
    return std::nullopt;
  }
  return static_cast<int>(*value);
}

std::optional<bool> FieldReader::flag(const char* what) {
  const auto value = whole(what, 1);
  return value ? std::optional<bool>(*value == 1) : std::nullopt;
}

std::optional<double> FieldReader::degrees(const char* what,
                                           double low,
                                           double high) {
  const std::string field = name();
  const auto value = parse_double(field);
  if (!value || *value < low || *value > high) {
    complain(what, field);
    return std::nullopt;
  }
  return value;
}

// A field that is left out is no damage.
void FieldReader::complain(const char* what, std::string_view field) {
  if (problem_.empty() && !field.empty()) {
    problem_ = fmt::format("{} '{}'", what, for_people(field, 20));
  }
}

FieldWriter& FieldWriter::text(std::string_view value) {
  line_ += ';';
  if (value.find_first_of(";\"") == std::string_view::npos) {
    line_ += value;
    return *this;
  }
  line_ += '"';
  for (const char c : value) {
    line_.append(c == '"' ? 2 : 1, c);
  }
  line_ += '"';
  return *this;
}

FieldWriter& FieldWriter::whole(std::optional<int> value) {
  line_ += ';';
  if (value) {
    line_ += std::to_string(*value);
  }
  return *this;
}

// Two decimals, as is the custom, where they say all of it.
FieldWriter& FieldWriter::degrees(std::optional<double> value) {
  line_ += ';';
  if (value) {
    const std::string usual = fmt::format("{:.2f}", *value);
    line_ += parse_double(usual) == value ? usual : fmt::format("{}", *value);
  }
  return *this;
}

}  // namespace stillpoint::ntrip
