// Reads the JSON body of a request: every key known, every value of its kind.
#pragma once

#include <array>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <string_view>

#include "stillpoint/api/console/problem.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::api {

// Ask for every key that may be there, then finish(). The first mistake is
// kept; values asked for after it are empty.
class JsonBody {
 public:
  explicit JsonBody(const nlohmann::json& object) : object_(object) {}

  std::string text(const char* key);  // required
  std::optional<std::string> maybe_text(const char* key);
  std::optional<bool> maybe_flag(const char* key);
  std::optional<double> maybe_number(const char* key);
  std::int64_t whole(const char* key);  // required
  // Absent, null or a whole number of at least 0.
  struct Limit {
    bool given = false;
    std::optional<std::int64_t> value;
  };
  Limit limit(const char* key);
  GnssTime time(const char* key);                // required
  std::array<double, 3> three(const char* key);  // required
  [[nodiscard]] bool has(const char* key) const;

  // Nothing where everything was right and there is no other key.
  std::optional<Problem> finish();

 private:
  const nlohmann::json* take(const char* key, bool required);
  void wrong(const char* key, std::string_view wanted);

  const nlohmann::json& object_;
  std::set<std::string> asked_;
  std::optional<Problem> problem_;
};

// Parses a body that must be a JSON object.
std::optional<Problem> read_json_body(const net::HttpRequest& request,
                                      nlohmann::json& body);

}  // namespace stillpoint::api
