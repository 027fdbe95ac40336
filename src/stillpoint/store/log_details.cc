#include "stillpoint/store/log_details.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <type_traits>

#include "stillpoint/store/plain_text.h"

namespace stillpoint {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostDetails = 32;
constexpr std::size_t kMostKeyBytes = 40;
constexpr std::size_t kMostValueBytes = 200;

bool is_key(std::string_view key) {
  return !key.empty() && key.size() <= kMostKeyBytes &&
         std::all_of(key.begin(), key.end(), [](char c) {
           return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
         });
}

tl::unexpected<Error> mistake(const LogEntry& entry, const std::string& what) {
  return fail(ErrorCode::kInternal,
              std::string("logbook entry of kind '") +
                  log_kind_name(entry.kind) + "': " + what);
}

Json json_of(const LogValue& value) {
  return std::visit(
      [](const auto& v) -> Json {
        if constexpr (std::is_same_v<std::decay_t<decltype(v)>, std::string>) {
          return plain_line(v, kMostValueBytes);
        } else {
          return v;
        }
      },
      value);
}

std::optional<LogValue> value_of(const Json& json) {
  if (json.is_boolean()) {
    return json.get<bool>();
  }
  if (json.is_number_integer()) {
    return json.get<std::int64_t>();
  }
  if (json.is_number_float()) {
    return json.get<double>();
  }
  if (json.is_string()) {
    return json.get<std::string>();
  }
  return std::nullopt;
}

}  // namespace

Result<std::string> format_log_details(const LogEntry& entry) {
  if (entry.details.size() > kMostDetails) {
    return mistake(entry, "more than 32 details");
  }
  Json object = Json::object();
  for (const LogDetail& detail : entry.details) {
    if (!is_key(detail.key) || object.contains(detail.key)) {
      return mistake(entry,
                     "key '" + plain_line(detail.key, kMostKeyBytes) +
                         "' is no word of a-z, 0-9 and _, or there twice");
    }
    const double* real = std::get_if<double>(&detail.value);
    if (real != nullptr && !std::isfinite(*real)) {
      return fail(ErrorCode::kOutOfRange,
                  "logbook detail '" + detail.key + "' is not finite",
                  {},
                  "leave out what is not known");
    }
    object[detail.key] = json_of(detail.value);
  }
  for (const LogKindRow& row : log_kinds()) {
    for (const char* key : row.required) {
      if (row.kind == entry.kind && !object.contains(key)) {
        return mistake(entry, std::string("key '") + key + "' is missing");
      }
    }
  }
  return object.dump();
}

std::optional<std::vector<LogDetail>> parse_log_details(std::string_view json) {
  const Json object = Json::parse(json, nullptr, false);
  if (!object.is_object()) {
    return std::nullopt;
  }
  std::vector<LogDetail> details;
  for (const auto& [key, value] : object.items()) {
    std::optional<LogValue> known = value_of(value);
    if (!known) {
      return std::nullopt;
    }
    details.push_back({key, std::move(*known)});
  }
  return details;
}

}  // namespace stillpoint
