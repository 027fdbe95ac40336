#include "stillpoint/app/locate_job.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>
#include <vector>

#include "stillpoint/core/text.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::app {
namespace {

constexpr std::size_t kMostText = std::size_t{256} * 1024;
constexpr std::size_t kMostValues = 1000;
constexpr std::size_t kLongestValue = 4096;

enum class Type : std::uint8_t { kText, kNumber, kFlag, kList };

// A key with the member that takes it and a line that would be right.
struct Key {
  std::string_view name;
  Type type = Type::kText;
  bool path = false;
  std::string LocateWords::*text = nullptr;  // kText, kNumber
  std::vector<std::string> LocateWords::*list = nullptr;
  std::string_view example;
};

using Words = LocateWords;

constexpr Key text_key(std::string_view name,
                       std::string Words::*to,
                       std::string_view example) {
  return {name, Type::kText, false, to, nullptr, example};
}

constexpr Key path_key(std::string_view name,
                       std::string Words::*to,
                       std::string_view example) {
  return {name, Type::kText, true, to, nullptr, example};
}

constexpr Key paths_key(std::string_view name,
                        std::vector<std::string> Words::*to,
                        std::string_view example) {
  return {name, Type::kList, true, nullptr, to, example};
}

constexpr std::array kKeys{
    paths_key("observations", &Words::observations, R"(["day.crx.gz"])"),
    paths_key("nav", &Words::navigation, R"(["day.rnx.gz"])"),
    paths_key("orbits", &Words::orbits, R"(["day.sp3.gz"])"),
    paths_key("clocks", &Words::clocks, R"(["day.clk.gz"])"),
    paths_key("biases", &Words::biases, R"(["day.bia.gz"])"),
    paths_key("antennas", &Words::antennas, R"(["antennas.atx"])"),
    paths_key("offsets", &Words::offsets, R"(["solution.snx"])"),
    path_key("earth", &Words::earth, R"("day.erp")"),
    path_key("loading", &Words::loading, R"("station.blq")"),
    text_key("method", &Words::method, R"("ppp")"),
    text_key("ambiguities", &Words::ambiguities, R"("auto")"),
    text_key("systems", &Words::systems, R"("GE")"),
    text_key("start", &Words::start, R"("2024-05-08T10:00:00")"),
    text_key("end", &Words::end, R"("2024-05-08T11:00:00")"),
    Key{"elevation-mask", Type::kNumber, false, &Words::mask, nullptr, "7"},
    Key{"without",
        Type::kList,
        false,
        nullptr,
        &Words::without,
        R"(["troposphere"])"},
    path_key("out", &Words::out, R"("record.json")"),
    path_key("report", &Words::report, R"("report.html")"),
    Key{"fetch", Type::kFlag, false, nullptr, nullptr, "true"},
    path_key("archives", &Words::archives, R"("archives.toml")"),
    path_key("cache", &Words::cache, R"("products")"),
    path_key("working-folder", &Words::working_folder, R"("work")"),
};

std::string_view type_name(Type type) {
  constexpr std::array<std::string_view, 4> kNames{
      "a text", "a number", "true or false", "a list of texts"};
  return kNames[static_cast<std::size_t>(type)];
}

// For messages: short, and without what a terminal would obey.
std::string shown(std::string_view text) {
  constexpr std::size_t kMost = 40;
  std::string part(text.substr(0, kMost));
  std::replace_if(
      part.begin(),
      part.end(),
      [](unsigned char c) { return c < 0x20 || c >= 0x7f; },
      '?');
  return part;
}

// "file:PATH?date=…" is a path with something around it.
std::string placed(const std::string& folder, std::string text) {
  constexpr std::string_view kFile = "file:";
  const std::size_t at = text.starts_with(kFile) ? kFile.size() : 0;
  if (folder.empty() || text.compare(at, 1, "/") == 0) {
    return text;
  }
  return text.insert(at, folder + "/");
}

// Takes what the parser reads, value by value, so that nothing that no job has
// is ever kept.
class JobReader final : public nlohmann::json_sax<nlohmann::json> {
 public:
  JobReader(std::string_view text, std::string name, std::string folder)
      : text_(text), name_(std::move(name)), folder_(std::move(folder)) {}

  bool null() override { return wrong_type("null"); }
  bool boolean(bool value) override {
    if (!expects(Type::kFlag, "true or false")) {
      return false;
    }
    words_.fetch = value;
    return true;
  }
  bool number_integer(number_integer_t value) override {
    return number(fmt::format("{}", value));
  }
  bool number_unsigned(number_unsigned_t value) override {
    return number(fmt::format("{}", value));
  }
  bool number_float(number_float_t value, const string_t& /*text*/) override {
    return number(fmt::format("{}", value));
  }
  bool string(string_t& value) override;
  bool binary(binary_t& /*value*/) override { return wrong_type("bytes"); }
  bool start_object(std::size_t /*elements*/) override {
    if (open_) {
      return wrong_type("an object");
    }
    open_ = true;
    return true;
  }
  bool key(string_t& name) override;
  bool end_object() override { return true; }
  bool start_array(std::size_t /*elements*/) override {
    if (in_list_) {
      return wrong_type("a list in a list");
    }
    in_list_ = expects(Type::kList, "a list");
    return in_list_;
  }
  bool end_array() override {
    in_list_ = false;
    return true;
  }
  bool parse_error(std::size_t position,
                   const std::string& /*token*/,
                   const nlohmann::detail::exception& /*e*/) override;

  Result<LocateWords> take(bool read);

 private:
  bool refuse(std::string what, std::string remedy) {
    error_ =
        Error{ErrorCode::kUsage, std::move(what), name_, std::move(remedy)};
    return false;
  }
  bool wrong_type(std::string_view got) {
    if (key_ == nullptr) {
      return refuse(fmt::format("a job is one JSON object, not {}", got),
                    R"(write {"observations": [...], "out": "record.json"})");
    }
    return refuse(fmt::format("\"{}\" takes {}, not {}{}",
                              key_->name,
                              type_name(key_->type),
                              got,
                              in_list_ ? " in its list" : ""),
                  right_line());
  }
  [[nodiscard]] std::string right_line() const {
    return fmt::format("write \"{}\": {}", key_->name, key_->example);
  }
  bool expects(Type type, std::string_view got) {
    return (key_ != nullptr && key_->type == type && !in_list_) ||
           wrong_type(got);
  }
  bool number(std::string text) {
    if (!expects(Type::kNumber, "a number")) {
      return false;
    }
    words_.*key_->text = std::move(text);
    return true;
  }

  std::string_view text_;
  std::string name_, folder_;
  LocateWords words_;
  std::optional<Error> error_;
  std::array<bool, kKeys.size()> seen_{};
  const Key* key_ = nullptr;
  bool open_ = false;     // the object has begun
  bool in_list_ = false;  // of a key that takes a list
};

bool JobReader::key(string_t& name) {
  const auto* found =
      std::find_if(kKeys.begin(), kKeys.end(), [&](const Key& one) {
        return one.name == name;
      });
  if (found == kKeys.end()) {
    std::vector<std::string_view> names;
    names.reserve(kKeys.size());
    for (const Key& one : kKeys) {
      names.push_back(one.name);
    }
    const auto near = suggest(shown(name), names);
    return refuse(
        fmt::format("there is no key \"{}\"", shown(name)),
        near ? fmt::format("did you mean \"{}\"?", *near)
             : fmt::format("give keys out of: {}", fmt::join(names, ", ")));
  }
  key_ = &*found;
  bool& seen = seen_.at(static_cast<std::size_t>(key_ - kKeys.data()));
  if (seen) {
    return refuse(fmt::format("\"{}\" stands there twice", name),
                  "leave one of the two out");
  }
  seen = true;
  return true;
}

bool JobReader::string(string_t& value) {
  if (!in_list_ && !expects(Type::kText, "a text")) {
    return false;
  }
  const bool control =
      std::any_of(value.begin(), value.end(), [](unsigned char c) {
        return c < 0x20 || c == 0x7f;
      });
  if (value.empty() || value.size() > kLongestValue || control) {
    return refuse(fmt::format("\"{}\" has a text that is empty, longer than "
                              "{} bytes or holds control characters",
                              key_->name,
                              kLongestValue),
                  right_line());
  }
  std::string text =
      key_->path ? placed(folder_, std::move(value)) : std::move(value);
  if (!in_list_) {
    words_.*key_->text = std::move(text);
    return true;
  }
  auto& list = words_.*key_->list;
  if (list.size() == kMostValues) {
    return refuse(
        fmt::format("\"{}\" has over {} values", key_->name, kMostValues),
        "give fewer files");
  }
  list.push_back(std::move(text));
  return true;
}

bool JobReader::parse_error(std::size_t position,
                            const std::string& /*token*/,
                            const nlohmann::detail::exception& /*e*/) {
  const std::string_view before =
      text_.substr(0, position == 0 ? 0 : position - 1);
  name_ +=
      fmt::format(":{}", 1 + std::count(before.begin(), before.end(), '\n'));
  return refuse("this is not JSON (RFC 8259)",
                "correct this line: texts in double quotes, a comma between "
                "two keys, none behind the last");
}

Result<LocateWords> JobReader::take(bool read) {
  if (!read || error_) {
    return fail(error_.value_or(
        Error{ErrorCode::kUsage, "this is not a job", name_, {}}));
  }
  if (words_.observations.empty()) {
    refuse("\"observations\" names no file",
           R"(write "observations": ["day.crx.gz"])");
    return fail(*error_);
  }
  if (words_.out.empty()) {
    refuse("\"out\" is missing: a job's document is kept",
           R"(write "out": "record.json")");
    return fail(*error_);
  }
  return std::move(words_);
}

}  // namespace

Result<LocateWords> parse_locate_job(std::string_view text,
                                     const std::string& name,
                                     const std::string& folder) {
  if (text.size() > kMostText) {
    return fail(
        ErrorCode::kUsage,
        fmt::format("{} bytes; a job has at most {}", text.size(), kMostText),
        name,
        "give a job (docs/formats/locate-job.md)");
  }
  JobReader reader(text, name, folder);
  const bool read =
      nlohmann::json::sax_parse(text.begin(), text.end(), &reader);
  return reader.take(read);
}

Result<LocateWords> read_locate_job(const std::string& path) {
  const auto text = station::read_small_file(path, kMostText);
  if (!text) {
    return fail(text.error());
  }
  return parse_locate_job(
      *text, path, std::filesystem::path(path).parent_path().string());
}

}  // namespace stillpoint::app
