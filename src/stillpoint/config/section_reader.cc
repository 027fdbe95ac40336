#include "stillpoint/config/section_reader.h"

#include <algorithm>
#include <utility>

namespace stillpoint::config {
namespace {

constexpr std::size_t kLongestSource = 1024;

bool is_one_line(std::string_view text) {
  return !text.empty() && text.size() <= kLongestSource &&
         std::none_of(text.begin(), text.end(), [](char c) {
           return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
         });
}

// The check is another module's; its words become a part of ours.
bool is_right_source(const toml::node& node,
                     std::string_view key,
                     const std::string& text,
                     Reading& reading) {
  if (!is_one_line(text)) {
    reading.mistakes->add(
        node.source(),
        std::string(key) + "; a source is one line of 1 .. 1024 bytes",
        "write it like serial:/dev/ttyACM0?baud=115200");
    return false;
  }
  const Status right = (*reading.check_source)(text);
  if (!right) {
    const Error& error = right.error();
    reading.mistakes->add(
        node.source(),
        std::string(key) + ": " + error.what,
        error.remedy.empty() ? default_remedy(error.code) : error.remedy);
  }
  return right.has_value();
}

}  // namespace

void Cell::wrong() const {
  std::string value;
  if (const auto* number = node_->as_floating_point()) {
    value = toml_number(number->get());
  } else if (const auto* yes_no = node_->as_boolean()) {
    value = yes_no->get() ? "true" : "false";
  } else {
    reader_->wrong_value(key_, allowed_);
    return;
  }
  reader_->wrong(key_,
                 value + "; allowed is " + allowed_,
                 "write it like " + std::string(example_));
}

std::optional<std::string> Cell::text() const {
  if (const auto* text = node_->as_string()) {
    return text->get();
  }
  wrong();
  return std::nullopt;
}

std::optional<std::uint32_t> Cell::whole(std::uint32_t least,
                                         std::uint32_t most) const {
  const auto* number = node_->as_integer();
  if (number == nullptr || number->get() < least || number->get() > most) {
    wrong();
    return std::nullopt;
  }
  return static_cast<std::uint32_t>(number->get());
}

std::optional<bool> Cell::yes_no() const {
  if (const auto* yes_no = node_->as_boolean()) {
    return yes_no->get();
  }
  wrong();
  return std::nullopt;
}

std::optional<double> Cell::number(int least, int most) const {
  std::optional<double> value;
  if (const auto* number = node_->as_floating_point()) {
    value = number->get();
  } else if (const auto* whole = node_->as_integer()) {
    value = static_cast<double>(whole->get());
  }
  // Written so that a NaN is outside too.
  if (!value || !(*value >= least && *value <= most)) {
    wrong();
    return std::nullopt;
  }
  return *value + 0.0;  // no minus before a zero
}

std::optional<std::string> Cell::source(Reading& reading) const {
  auto value = text();
  if (!value || !is_right_source(*node_, key_, *value, reading)) {
    return std::nullopt;
  }
  return value;
}

std::optional<std::vector<std::string>> Cell::sources(Reading& reading) const {
  const toml::array* list = node_->as_array();
  if (list == nullptr || list->size() > kMostNavSources) {
    reader_->wrong(key_,
                   "(given); allowed is " + allowed_,
                   "write it like " + std::string(example_));
    return std::nullopt;
  }
  std::vector<std::string> values;
  for (const toml::node& item : *list) {
    const auto* text = item.as_string();
    const bool file = text != nullptr && !is_source(text->get());
    if (text == nullptr || (file && !is_path(text->get()))) {
      reading.mistakes->add(item.source(),
                            std::string(key_) + "; allowed is " + allowed_,
                            "write it like " + std::string(example_));
    } else if (file || is_right_source(item, key_, text->get(), reading)) {
      values.push_back(text->get());
    }
  }
  return values;
}

}  // namespace stillpoint::config
