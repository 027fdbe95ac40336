// Writes the text format that monitoring systems collect.
//
//   source   Prometheus text exposition format 0.0.4, from memory; held by
//            promtool in the tests
#pragma once

#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::api {

struct Label {
  std::string_view name, value;
};

// One family after the other: begin() and then its samples. A family without a
// sample leaves nothing behind.
class MetricsWriter {
 public:
  enum class Kind : std::uint8_t { kCounter, kGauge };

  // name   without the prefix "stillpoint_"; a counter's ends with "_total"
  // help   one sentence in one line
  void begin(Kind kind, std::string_view name, std::string_view help);
  void sample(std::initializer_list<Label> labels, std::uint64_t value);
  // NaN and infinity are no measurement and left out.
  void sample(std::initializer_list<Label> labels, double value);

  // Families of one sample without labels; missing: no family.
  void counter(std::string_view name,
               std::string_view help,
               std::uint64_t value);
  void gauge(std::string_view name,
             std::string_view help,
             std::optional<std::uint64_t> value);
  void gauge(std::string_view name,
             std::string_view help,
             std::optional<double> value);
  void flag(std::string_view name, std::string_view help, bool value);

  [[nodiscard]] const std::string& text() const { return text_; }

 private:
  void line(std::initializer_list<Label> labels, std::string_view value);

  std::string text_, name_, head_;
};

}  // namespace stillpoint::api
