#include "stillpoint/core/log.h"

#include <array>
#include <charconv>

namespace stillpoint {
namespace {

bool is_key_char(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
         (c >= '0' && c <= '9') || c == '_' || c == '.';
}

unsigned byte_at(std::string_view text, std::size_t i) {
  return static_cast<unsigned char>(text[i]);
}

// Length of the UTF-8 character at i that may be shown as it is; 0 for control
// characters (C0, DEL, C1) and for bytes that are no UTF-8.
std::size_t shown_length(std::string_view text, std::size_t i) {
  const unsigned lead = byte_at(text, i);
  if (lead < 0x80) {
    return lead >= 0x20 && lead != 0x7F ? 1 : 0;
  }
  const std::size_t length = lead >= 0xC2 && lead <= 0xDF   ? 2
                             : lead >= 0xE0 && lead <= 0xEF ? 3
                             : lead >= 0xF0 && lead <= 0xF4 ? 4
                                                            : 0;
  if (length == 0 || text.size() - i < length) {
    return 0;
  }
  for (std::size_t k = 1; k < length; ++k) {
    if ((byte_at(text, i + k) & 0xC0U) != 0x80U) {
      return 0;
    }
  }
  const bool c1 = lead == 0xC2 && byte_at(text, i + 1) < 0xA0;
  return c1 ? 0 : length;
}

void append_escaped(std::string& line, char c) {
  constexpr std::string_view kHex = "0123456789abcdef";
  const auto byte = static_cast<unsigned char>(c);
  switch (c) {
    case '\n':
      line += "\\n";
      return;
    case '\r':
      line += "\\r";
      return;
    case '\t':
      line += "\\t";
      return;
    default:
      line += "\\x";
      line += kHex[byte >> 4];
      line += kHex[byte & 0xFU];
  }
}

bool needs_quotes(std::string_view value) {
  if (value.empty()) {
    return true;
  }
  for (std::size_t i = 0; i < value.size();) {
    const std::size_t length = shown_length(value, i);
    const char c = value[i];
    if (length == 0 || c == ' ' || c == '"' || c == '=' || c == '\\') {
      return true;
    }
    i += length;
  }
  return false;
}

void append_value(std::string& line, std::string_view value) {
  if (!needs_quotes(value)) {
    line += value;
    return;
  }
  line += '"';
  for (std::size_t i = 0; i < value.size();) {
    const std::size_t length = shown_length(value, i);
    if (length == 0) {
      append_escaped(line, value[i]);
      ++i;
      continue;
    }
    if (value[i] == '"' || value[i] == '\\') {
      line += '\\';
    }
    line += value.substr(i, length);
    i += length;
  }
  line += '"';
}

void append_json(std::string& line, std::string_view text) {
  line += '"';
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = shown_length(text, i);
    if (length == 0 && byte_at(text, i) >= 0x80) {
      line += "\xEF\xBF\xBD";
      ++i;
      continue;
    }
    if (length == 0) {
      constexpr std::string_view kHex = "0123456789abcdef";
      line += "\\u00";
      line += kHex[byte_at(text, i) >> 4U];
      line += kHex[byte_at(text, i) & 0xFU];
      ++i;
      continue;
    }
    if (text[i] == '"' || text[i] == '\\') {
      line += '\\';
    }
    line += text.substr(i, length);
    i += length;
  }
  line += '"';
}

}  // namespace

const char* log_level_name(LogLevel level) {
  switch (level) {
    case LogLevel::kDebug:
      return "debug";
    case LogLevel::kInfo:
      return "info";
    case LogLevel::kWarning:
      return "warning";
    case LogLevel::kError:
      return "error";
  }
  return "error";
}

LogField::LogField(std::string_view k, double v) : key(k) {
  std::array<char, 32> text{};
  const auto [end, problem] =
      std::to_chars(text.data(), text.data() + text.size(), v);
  value.assign(text.data(), problem == std::errc{} ? end : text.data());
}

std::string format_log_line(std::string_view utc,
                            LogLevel level,
                            std::string_view what,
                            std::initializer_list<LogField> fields) {
  std::string line = "time=";
  append_value(line, utc);
  line += " level=";
  line += log_level_name(level);
  line += " what=";
  append_value(line, what);
  for (const LogField& field : fields) {
    line += ' ';
    for (const char c : field.key) {
      line += is_key_char(c) ? c : '_';
    }
    line += '=';
    append_value(line, field.value);
  }
  return line;
}

std::string format_log_json(std::string_view utc,
                            LogLevel level,
                            std::string_view what,
                            std::initializer_list<LogField> fields) {
  std::string line = "{\"time\":";
  append_json(line, utc);
  line += ",\"level\":\"";
  line += log_level_name(level);
  line += "\",\"what\":";
  append_json(line, what);
  for (const LogField& field : fields) {
    line += ',';
    append_json(line, field.key);
    line += ':';
    append_json(line, field.value);
  }
  return line + '}';
}

void Logger::log(LogLevel level,
                 std::string_view what,
                 std::initializer_list<LogField> fields) const {
  if (!wants(level)) {
    return;
  }
  const std::string utc = clock_ ? clock_() : std::string();
  sink_->write(level,
               sink_->format() == LogFormat::kJson
                   ? format_log_json(utc, level, what, fields)
                   : format_log_line(utc, level, what, fields));
}

}  // namespace stillpoint
