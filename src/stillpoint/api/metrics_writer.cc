#include "stillpoint/api/metrics_writer.h"

#include <fmt/format.h>

#include <cmath>
#include <utility>

namespace stillpoint::api {
namespace {

// What may not stand in a label's value as it is.
std::string escaped(std::string_view value) {
  std::string text;
  for (const char c : value) {
    if (c == '\n') {
      text += "\\n";
    } else {
      if (c == '\\' || c == '"') {
        text += '\\';
      }
      text += c;
    }
  }
  return text;
}

}  // namespace

void MetricsWriter::begin(Kind kind,
                          std::string_view name,
                          std::string_view help) {
  name_ = fmt::format("stillpoint_{}", name);
  head_ = fmt::format("# HELP {} {}\n# TYPE {} {}\n",
                      name_,
                      help,
                      name_,
                      kind == Kind::kCounter ? "counter" : "gauge");
}

void MetricsWriter::sample(std::initializer_list<Label> labels,
                           std::uint64_t value) {
  line(labels, fmt::format("{}", value));
}

void MetricsWriter::sample(std::initializer_list<Label> labels, double value) {
  if (std::isfinite(value)) {
    line(labels, fmt::format("{}", value));
  }
}

void MetricsWriter::counter(std::string_view name,
                            std::string_view help,
                            std::uint64_t value) {
  begin(Kind::kCounter, name, help);
  sample({}, value);
}

void MetricsWriter::gauge(std::string_view name,
                          std::string_view help,
                          std::optional<std::uint64_t> value) {
  if (value) {
    begin(Kind::kGauge, name, help);
    sample({}, *value);
  }
}

void MetricsWriter::gauge(std::string_view name,
                          std::string_view help,
                          std::optional<double> value) {
  if (value) {
    begin(Kind::kGauge, name, help);
    sample({}, *value);
  }
}

void MetricsWriter::flag(std::string_view name,
                         std::string_view help,
                         bool value) {
  gauge(name, help, std::optional<std::uint64_t>(value ? 1 : 0));
}

void MetricsWriter::line(std::initializer_list<Label> labels,
                         std::string_view value) {
  text_ += std::exchange(head_, {});
  text_ += name_;
  char before = '{';
  for (const Label& label : labels) {
    text_ += before;
    text_ += fmt::format("{}=\"{}\"", label.name, escaped(label.value));
    before = ',';
  }
  if (labels.size() > 0) {
    text_ += '}';
  }
  text_ += fmt::format(" {}\n", value);
}

}  // namespace stillpoint::api
