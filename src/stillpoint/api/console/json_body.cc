#include "stillpoint/api/console/json_body.h"

#include <cmath>

#include "stillpoint/time/scales.h"

namespace stillpoint::api {

const nlohmann::json* JsonBody::take(const char* key, bool required) {
  asked_.insert(key);
  if (problem_) {
    return nullptr;
  }
  const auto at = object_.find(key);
  if (at != object_.end()) {
    return &*at;
  }
  if (required) {
    wrong(key, "is missing");
  }
  return nullptr;
}

void JsonBody::wrong(const char* key, std::string_view wanted) {
  if (problem_) {
    return;
  }
  problem_ = Problem{400, "malformed", "", "", key, {}};
  problem_->detail = "'" + std::string(key) + "' " + std::string(wanted) + ".";
  problem_->remedy = "Write it as docs/api.md says.";
}

std::optional<std::string> JsonBody::maybe_text(const char* key) {
  const auto* value = take(key, false);
  if (value == nullptr) {
    return std::nullopt;
  }
  if (!value->is_string()) {
    wrong(key, "must be a text");
    return std::nullopt;
  }
  return value->get<std::string>();
}

std::string JsonBody::text(const char* key) {
  if (take(key, true) == nullptr) {
    return {};
  }
  return maybe_text(key).value_or("");
}

std::optional<bool> JsonBody::maybe_flag(const char* key) {
  const auto* value = take(key, false);
  if (value == nullptr) {
    return std::nullopt;
  }
  if (!value->is_boolean()) {
    wrong(key, "must be true or false");
    return std::nullopt;
  }
  return value->get<bool>();
}

std::optional<double> JsonBody::maybe_number(const char* key) {
  const auto* value = take(key, false);
  if (value == nullptr) {
    return std::nullopt;
  }
  if (!value->is_number() || !std::isfinite(value->get<double>())) {
    wrong(key, "must be a number");
    return std::nullopt;
  }
  return value->get<double>();
}

std::int64_t JsonBody::whole(const char* key) {
  const auto* value = take(key, true);
  if (value == nullptr) {
    return 0;
  }
  if (!value->is_number_integer()) {
    wrong(key, "must be a whole number");
    return 0;
  }
  return value->get<std::int64_t>();
}

JsonBody::Limit JsonBody::limit(const char* key) {
  const auto* value = take(key, false);
  if (value == nullptr) {
    return {};
  }
  if (value->is_null()) {
    return {true, std::nullopt};
  }
  if (!value->is_number_integer() || *value < 0) {
    wrong(key, "must be a whole number of at least 0, or null");
    return {};
  }
  return {true, value->get<std::int64_t>()};
}

GnssTime JsonBody::time(const char* key) {
  const std::string text = this->text(key);
  if (problem_) {
    return {};
  }
  const auto time = parse_time(text);
  if (!time) {
    wrong(key, "must be a time such as 2026-06-02T10:00:00Z");
    return {};
  }
  return *time;
}

std::array<double, 3> JsonBody::three(const char* key) {
  const auto* value = take(key, true);
  std::array<double, 3> numbers{};
  if (value == nullptr) {
    return numbers;
  }
  bool good = value->is_array() && value->size() == numbers.size();
  for (std::size_t i = 0; good && i < numbers.size(); ++i) {
    good = (*value)[i].is_number() && std::isfinite((*value)[i].get<double>());
    if (good) {
      numbers.at(i) = (*value)[i].get<double>();
    }
  }
  if (!good) {
    wrong(key, "must be a list of three numbers");
  }
  return numbers;
}

bool JsonBody::has(const char* key) const {
  return object_.contains(key);
}

std::optional<Problem> JsonBody::finish() {
  if (!problem_) {
    for (const auto& [key, value] : object_.items()) {
      if (!asked_.contains(key)) {
        problem_ = Problem{400, "malformed", "", "", key.substr(0, 40), {}};
        problem_->detail = "There is no such key.";
        problem_->remedy = "Leave it out; docs/api.md has the keys.";
        break;
      }
    }
  }
  return problem_;
}

std::optional<Problem> read_json_body(const net::HttpRequest& request,
                                      nlohmann::json& body) {
  const std::string type = request.field("Content-Type");
  if (!type.starts_with("application/json")) {
    return Problem{415,
                   "wrong_type",
                   "The body is not application/json.",
                   "Send JSON with its content type.",
                   "",
                   {}};
  }
  body = nlohmann::json::parse(request.body, nullptr, false);
  if (!body.is_object()) {
    return Problem{400,
                   "malformed",
                   "The body is not a JSON object.",
                   "Write it as docs/api.md says.",
                   "",
                   {}};
  }
  return std::nullopt;
}

}  // namespace stillpoint::api
