#include "stillpoint/api/api_test_support.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string_view>

#include "stillpoint/core/text.h"
#include "tests/support/vectors.h"

namespace stillpoint::api::test {

StationStatus full_status() {
  StationStatus s;
  s.station = "LHOL00XXX";
  s.version = "0.1.0";
  s.started = GnssTime::from_gps_week(2300, 43'200);
  s.now = s.started + Duration{3600.5};
  s.uptime_s = 3600.5;
  s.receiver = {.source = "tcp://192.0.2.9:5000",
                .state = ReceiverState::kOpen,
                .since = s.started,
                .why = "",
                .bytes = 1001,
                .last_byte_age_s = 0.25,
                .silence_s = 10,
                .reconnects = 2,
                .start_up = StartUpState::kDone};
  s.archive = {.state = ArchiveState::kRecording,
               .why = "",
               .stream = 3,
               .durable_offset = 50'004,
               .end_offset = 50'500,
               .pending_bytes = 496,
               .dropped_bytes = 5,
               .segments = 6,
               .disk_free_bytes = std::uint64_t{7} << 30U,
               .leave_free_bytes = std::uint64_t{512} << 20U,
               .last_commit_age_s = 4.5};
  s.rovers.listeners = {{"127.0.0.1:2101", false, true, ""}};
  s.rovers.counts = {.connections = 12,
                     .rovers = 11,
                     .arrived = 40,
                     .turned_away = 8,
                     .refused = 9,
                     .sessions = 30,
                     .chunks = 12'000,
                     .wire_bytes = 8'400'000,
                     .offered_bytes = 8'300'000,
                     .sent_bytes = 8'200'000,
                     .unsent_bytes = 90'000,
                     .departures = {10, 1, 2, 3, 4, 6, 7, 13}};
  s.rovers.mounts = {{"LHOL0", 11}};
  s.decode.messages = {{1005, 360}, {1077, 3600}};
  s.decode.bad_crc = 14;
  s.decode.malformed = 15;
  s.decode.skipped_bytes = 16;
  s.decode.satellites = {{System::kGps, 17}, {System::kGalileo, 18}};
  s.decode.signals = {{{System::kGps, {'1', 'C'}}, {44.5, 19}},
                      {{System::kGalileo, {'5', 'Q'}}, {46.25, 20}}};
  s.decode.epochs_received = 3599;
  s.decode.epochs_missed = 21;
  s.decode.last_epoch_age_s = 0.75;
  s.decode.code_offset_m = 1.5;
  s.decode.queue_dropped_bytes = 22;
  s.store.entries_waiting = 23;
  s.process = {.resident_bytes = std::uint64_t{24} << 20U,
               .open_files = 25,
               .thread_beat_age_s = {{"archive", 0.5}, {"network", 0.125}},
               .clock_offset_s = 0.375};
  s.config = {.path = "station.toml",
              .loaded_at = s.started,
              .last_error = std::nullopt};
  s.trust = {.state = "doubtful",
             .since = s.started + Duration{60},
             .reasons = {"cn0_fell"}};
  s.certificate_ends = s.now + Duration{300 * 86'400.0};
  return s;
}

StationStatus empty_status() {
  StationStatus s;
  s.started = s.now = GnssTime::from_gps_week(2300, 0);
  return s;
}

namespace {

constexpr std::string_view kLetters = "abcdefghijklmnopqrstuvwxyz_";
constexpr std::string_view kNameCharacters =
    "abcdefghijklmnopqrstuvwxyz_0123456789";

// Takes pieces off the front of a line.
class Line {
 public:
  explicit Line(std::string_view text) : rest_(text) {}

  bool take(std::string_view word) {
    const bool is_there = rest_.starts_with(word);
    rest_.remove_prefix(is_there ? word.size() : 0);
    return is_there;
  }
  // "" where there is none.
  std::string take_name() {
    const std::size_t end =
        std::min(rest_.find_first_not_of(kNameCharacters), rest_.size());
    std::string name(rest_.substr(0, end));
    if (name.empty() || kLetters.find(name[0]) == std::string_view::npos) {
      return "";
    }
    rest_.remove_prefix(end);
    return name;
  }
  // Behind the first quote, with the last one.
  bool take_quoted() {
    while (!rest_.empty() && rest_[0] != '"') {
      if (rest_[0] == '\\' &&
          !(rest_.size() > 1 &&
            std::string_view("\\\"n").find(rest_[1]) != std::string::npos)) {
        return false;
      }
      rest_.remove_prefix(rest_[0] == '\\' ? 2 : 1);
    }
    return take("\"");
  }
  // {a="b",c="d"}, or nothing.
  bool take_labels() {
    if (!take("{")) {
      return true;
    }
    do {
      if (take_name().empty() || !take("=\"") || !take_quoted()) {
        return false;
      }
    } while (take(","));
    return take("}");
  }
  [[nodiscard]] std::string_view rest() const { return rest_; }

 private:
  std::string_view rest_;
};

class MetricsReader {
 public:
  explicit MetricsReader(std::vector<std::string>& mistakes)
      : mistakes_(mistakes) {}

  void take(const std::string& text) {
    Line line(text);
    const char* mistake = nullptr;
    if (line.take("# HELP ")) {
      mistake = take_help(line);
    } else if (line.take("# TYPE ")) {
      mistake = take_type(line);
    } else {
      mistake = take_sample(line);
    }
    if (mistake != nullptr) {
      mistakes_.push_back(std::string(mistake) + ": " + text);
    }
  }

  std::map<std::string, Family> families;

 private:
  const char* take_help(Line& line) {
    current_ = line.take_name();
    if (current_.empty() || !line.take(" ") || line.rest().empty()) {
      return "no name or no help";
    }
    const bool is_new = families.count(current_) == 0;
    families[current_].help = line.rest();
    return is_new ? nullptr : "twice";
  }

  const char* take_type(Line& line) {
    Family& family = families[current_];
    if (line.take_name() != current_ || !line.take(" ") ||
        !family.type.empty() || !family.samples.empty()) {
      return "not behind its HELP";
    }
    family.type = line.rest();
    return family.type == "counter" || family.type == "gauge" ? nullptr
                                                              : "no such type";
  }

  const char* take_sample(Line& line) {
    Family& family = families[current_];
    if (line.take_name() != current_ || family.type.empty()) {
      return "not in its family";
    }
    const std::string_view behind_name = line.rest();
    if (!line.take_labels()) {
      return "damaged labels";
    }
    const std::string labels(
        behind_name.substr(0, behind_name.size() - line.rest().size()));
    if (!line.take(" ") ||
        line.rest().find_first_of(" \t") != std::string_view::npos) {
      return "blanks";
    }
    const auto number = parse_double(line.rest());
    if (!number) {
      return "no number";
    }
    return family.samples.emplace(labels, *number).second ? nullptr : "twice";
  }

  std::vector<std::string>& mistakes_;
  std::string current_;
};

}  // namespace

std::map<std::string, Family> read_metrics(const std::string& text,
                                           std::vector<std::string>& mistakes) {
  if (!text.ends_with('\n')) {
    mistakes.emplace_back("the last line has no end");
  }
  MetricsReader reader(mistakes);
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    reader.take(line);
  }
  for (const auto& [name, family] : reader.families) {
    if (family.samples.empty()) {
      mistakes.push_back("no sample: " + name);
    }
    if (name.ends_with("_total") != (family.type == "counter")) {
      mistakes.push_back("a counter's name, or not: " + name);
    }
  }
  return reader.families;
}

std::set<std::string> metric_names(const std::string& text) {
  constexpr std::string_view kPrefix = "stillpoint_";
  std::set<std::string> names;
  for (std::size_t at = text.find(kPrefix); at != std::string::npos;
       at = text.find(kPrefix, at + 1)) {
    names.insert(Line(std::string_view(text).substr(at)).take_name());
  }
  return names;
}

std::string repository_path(const std::string& path_in_repository) {
  return stillpoint::test::vector_path("../../" + path_in_repository);
}

std::string file_text(const std::string& path_in_repository) {
  std::ifstream in(repository_path(path_in_repository));
  EXPECT_TRUE(in) << path_in_repository;
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace stillpoint::api::test
