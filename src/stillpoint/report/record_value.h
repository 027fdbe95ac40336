// Values of a document that somebody brought: every step says what is wrong and
// where.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <utility>

#include "stillpoint/core/result.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {

// A value with its place in the document, for messages. The document and the
// path of its file outlive it.
class RecordValue {
 public:
  RecordValue(const nlohmann::json& json,
              std::string path,
              const std::string& where)
      : json_(&json), path_(std::move(path)), where_(&where) {}

  [[nodiscard]] const nlohmann::json& json() const { return *json_; }

  [[nodiscard]] tl::unexpected<Error> bad(const std::string& why) const {
    return fail(ErrorCode::kBadFormat,
                "key '" + path_ + "' " + why,
                *where_,
                "give the document that locate --json or tie --json printed, "
                "unchanged (docs/schemas)");
  }

  [[nodiscard]] Result<RecordValue> at(const char* key) const {
    if (!json_->is_object()) {
      return bad("is no object");
    }
    std::string path = path_.empty() ? key : path_ + "." + key;
    const auto found = json_->find(key);
    if (found == json_->end()) {
      return RecordValue(*json_, std::move(path), *where_).bad("is missing");
    }
    return RecordValue(*found, std::move(path), *where_);
  }

  [[nodiscard]] Result<std::string> text(const char* key) const {
    const auto value = at(key);
    if (!value) {
      return fail(value.error());
    }
    if (!value->json().is_string()) {
      return value->bad("is no text");
    }
    return value->json().get<std::string>();
  }

  // `count` finite numbers.
  template <std::size_t kCount>
  [[nodiscard]] Result<std::array<double, kCount>> numbers() const {
    std::array<double, kCount> out{};
    if (!json_->is_array() || json_->size() != kCount) {
      return bad("is no list of " + std::to_string(kCount) + " numbers");
    }
    for (std::size_t i = 0; i < kCount; ++i) {
      const nlohmann::json& one = (*json_)[i];
      out.at(i) = one.is_number() ? one.get<double>() : NAN;
      if (!std::isfinite(out.at(i))) {
        return bad("is no list of " + std::to_string(kCount) + " numbers");
      }
    }
    return out;
  }

  [[nodiscard]] Result<std::array<double, 3>> triple(const char* key) const {
    const auto value = at(key);
    if (!value) {
      return fail(value.error());
    }
    return value->numbers<3>();
  }

  // A time in UTC; null is nothing where `may_lack`.
  [[nodiscard]] Result<std::optional<GnssTime>> time(const char* key,
                                                     bool may_lack) const {
    const auto value = at(key);
    if (!value) {
      return fail(value.error());
    }
    if (value->json().is_null() && may_lack) {
      return std::optional<GnssTime>();
    }
    if (value->json().is_string()) {
      const auto& text = value->json().get_ref<const std::string&>();
      if (const auto time = parse_time(text); time && text.ends_with('Z')) {
        return std::optional(*time);
      }
    }
    return value->bad("is no time in UTC, such as 2024-05-08T10:00:00Z");
  }

 private:
  const nlohmann::json* json_;
  std::string path_;
  const std::string* where_;
};

}  // namespace stillpoint::report
