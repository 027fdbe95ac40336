#include "stillpoint/products/sp3.h"

#include <algorithm>
#include <bitset>
#include <cctype>
#include <utility>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/pack/line_reader.h"
#include "stillpoint/products/sp3_fields.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxRecords = 2'000'000;
constexpr std::size_t kMaxEpochs = 200'000;
constexpr double kMissingClock = 999'999.0;  // microseconds
constexpr double kMaxIntervalS = 100'000.0;  // as the format's F14.8 allows

class Sp3Reader {
 public:
  explicit Sp3Reader(std::unique_ptr<ByteStream> stream)
      : lines_(std::move(stream)) {}

  Result<PreciseProduct> read();

 private:
  Status read_head();
  Status take_line(std::string_view line);
  Status take_epoch(std::string_view line);
  Status take_position(std::string_view line);
  Status finish();
  // Next line; the end of the file is an error that names the last epoch.
  Result<std::string_view> need_line();

  tl::unexpected<Error> bad(std::string what) const {
    return fail(ErrorCode::kBadFormat, std::move(what), lines_.where());
  }
  tl::unexpected<Error> bad_head(std::string what) const {
    return fail(ErrorCode::kBadHeader, std::move(what), lines_.where());
  }
  tl::unexpected<Error> truncated(std::string what) const;

  LineReader lines_;
  PreciseProduct product_;
  TimeScale scale_ = TimeScale::kGps;
  bool scale_known_ = false;
  std::size_t records_ = 0;
  std::bitset<SatId::kIndexCount> seen_;  // of the current epoch
};

tl::unexpected<Error> Sp3Reader::truncated(std::string what) const {
  // An epoch is complete when something follows it.
  const std::size_t count = product_.epochs.size();
  what += count < 2
              ? "; no epoch is complete"
              : "; the last complete epoch is " +
                    format_gpst(product_.epochs[count - 2].time) + " GPST";
  return fail(ErrorCode::kTruncated,
              std::move(what),
              lines_.where(),
              "Fetch the file again; a part of it is not used.");
}

Result<std::string_view> Sp3Reader::need_line() {
  std::string_view line;
  auto more = lines_.next(line);
  if (!more) {
    if (more.error().code == ErrorCode::kTruncated) {
      return truncated(std::move(more.error().what));
    }
    return fail(std::move(more.error()));
  }
  if (!*more) {
    return truncated("the file ends without its EOF line");
  }
  return line;
}

Status Sp3Reader::read_head() {
  auto first = need_line();
  if (!first) {
    return fail(std::move(first.error()));
  }
  const std::string_view head = *first;
  if (head.size() < 3 || head[0] != '#' || (head[2] != 'P' && head[2] != 'V')) {
    return bad_head(
        "not an SP3 file: the first line is not '#' with a version"
        " and P or V");
  }
  if (head[1] < 'a' || head[1] > 'd') {
    return fail(
        ErrorCode::kUnsupported,
        std::string("SP3 version '") +
            (std::isprint(static_cast<unsigned char>(head[1])) != 0 ? head[1]
                                                                    : '?') +
            "'; a, b, c and d can be read",
        lines_.where());
  }
  product_.source = lines_.name();
  product_.frame_label = column(head, 46, 51);
  product_.agency = column(head, 56, 60);
  product_.centre_of_mass = !is_phase_centre_name(product_.source);
  auto second = need_line();
  if (!second) {
    return fail(std::move(second.error()));
  }
  const auto interval_s = to_number(column(*second, 24, 38));
  if (!second->starts_with("##") || !interval_s || *interval_s <= 0 ||
      *interval_s >= kMaxIntervalS) {
    return bad_head("the second line does not hold the interval of the epochs");
  }
  product_.interval_s = *interval_s;
  return ok();
}

Status Sp3Reader::take_epoch(std::string_view line) {
  const auto reading = to_epoch(line);
  if (!reading) {
    return bad("the epoch line does not hold a date and a time");
  }
  const auto time = from_calendar(*reading, scale_);
  if (!time) {
    return bad("the epoch is no date: " + time.error().what);
  }
  if (!product_.epochs.empty() && *time <= product_.epochs.back().time) {
    return bad("the epoch is not later than the one before");
  }
  if (product_.epochs.size() >= kMaxEpochs) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxEpochs) + " epochs",
                lines_.where());
  }
  PreciseEpoch epoch{.time = *time, .samples = {}};
  if (!product_.epochs.empty()) {
    epoch.samples.reserve(product_.epochs.back().samples.size());
  }
  product_.epochs.push_back(std::move(epoch));
  seen_.reset();
  return ok();
}

// Version a has blank letters, "  1": GPS. Nothing for satellites that are
// not ours.
std::optional<SatId> satellite_of(std::string_view line) {
  const char id[] = {line[1] == ' ' ? 'G' : line[1], line[2], line[3]};
  return parse_satellite(std::string_view(id, 3));
}

bool looks_like_satellite(std::string_view line) {
  const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
  const auto is_upper = [](char c) { return c >= 'A' && c <= 'Z'; };
  return (line[1] == ' ' || is_upper(line[1])) &&
         (line[2] == ' ' || is_digit(line[2])) && is_digit(line[3]);
}

Status Sp3Reader::take_position(std::string_view line) {
  constexpr std::size_t kPositionEnd = 46;
  constexpr std::size_t kClockEnd = 60;
  if (product_.epochs.empty()) {
    return bad("a position before the first epoch");
  }
  if (++records_ > kMaxRecords) {
    return fail(ErrorCode::kTooLarge,
                "more than " + std::to_string(kMaxRecords) + " records",
                lines_.where());
  }
  if (line.size() < kPositionEnd || !looks_like_satellite(line)) {
    return bad("the position record is cut or has no satellite");
  }
  const auto sat = satellite_of(line);
  if (!sat) {
    if (line[1] == ' ' || system_from_letter(line[1])) {
      return bad("the position record has no satellite");
    }
    return ok();
  }
  const auto index = static_cast<std::size_t>(sat->index());
  if (seen_.test(index)) {
    return bad("satellite " + sat->text() + " twice in one epoch");
  }
  seen_.set(index);
  const auto x_km = to_number(column(line, 4, 18));
  const auto y_km = to_number(column(line, 18, 32));
  const auto z_km = to_number(column(line, 32, kPositionEnd));
  if (!x_km || !y_km || !z_km) {
    return bad("a coordinate of " + sat->text() + " is not a number");
  }
  PreciseSample sample;
  sample.sat = *sat;
  const bool missing = *x_km == 0 && *y_km == 0 && *z_km == 0;
  sample.position_m = missing ? Ecef{kMissing, kMissing, kMissing}
                              : 1e3 * Ecef{*x_km, *y_km, *z_km};
  sample.clock_s = kMissing;
  const std::string_view clock = column(line, kPositionEnd, kClockEnd);
  if (!clock.empty()) {
    const auto clock_us = to_number(clock);
    if (!clock_us || line.size() < kClockEnd) {
      return bad("the clock of " + sat->text() + " is not a number");
    }
    if (*clock_us<kMissingClock&& * clock_us> - kMissingClock) {
      sample.clock_s = *clock_us * 1e-6;
    }
  }
  sample.clock_event = line.size() > 74 && line[74] == 'E';
  sample.predicted = (line.size() > 75 && line[75] == 'P') ||
                     (line.size() > 79 && line[79] == 'P');
  sample.manoeuvre = line.size() > 78 && line[78] == 'M';
  product_.epochs.back().samples.push_back(sample);
  return ok();
}

Status Sp3Reader::take_line(std::string_view line) {
  if (line.starts_with('P')) {
    return take_position(line);
  }
  if (line.starts_with('*')) {
    return take_epoch(line);
  }
  if (line.starts_with('V') || line.starts_with("EP") ||
      line.starts_with("EV") || line.starts_with("/*")) {
    return ok();
  }
  if (product_.epochs.empty()) {
    if (line.starts_with("%c")) {
      if (!scale_known_) {
        const std::string_view name = column(line, 9, 12);
        const auto scale = to_time_scale(name);
        if (!scale) {
          return bad_head("the time system '" + std::string(name) +
                          "' is not known");
        }
        scale_ = *scale;
        scale_known_ = true;
      }
      return ok();
    }
    if (line.starts_with('+') || line.starts_with("%f") ||
        line.starts_with("%i")) {
      return ok();
    }
  }
  return bad("a line of no kind that SP3 has");
}

// What follows the EOF line may only be blank; reading it also lets the
// unpacking check its sums.
Status Sp3Reader::finish() {
  for (;;) {
    std::string_view line;
    auto more = lines_.next(line);
    if (!more) {
      return fail(std::move(more.error()));
    }
    if (!*more) {
      return ok();
    }
    if (line.find_first_not_of(" \r") != std::string_view::npos) {
      return bad("text after the EOF line");
    }
  }
}

Result<PreciseProduct> Sp3Reader::read() {
  if (auto head = read_head(); !head) {
    return fail(std::move(head.error()));
  }
  for (;;) {
    const auto line = need_line();
    if (!line) {
      return fail(line.error());
    }
    if (line->starts_with("EOF") && line->find_last_not_of(' ') == 2) {
      break;
    }
    if (auto taken = take_line(*line); !taken) {
      return fail(std::move(taken.error()));
    }
  }
  if (auto finished = finish(); !finished) {
    return fail(std::move(finished.error()));
  }
  return std::move(product_);
}

}  // namespace

bool is_phase_centre_name(std::string_view path) {
  std::string name(path);
  std::transform(name.begin(), name.end(), name.begin(), [](unsigned char c) {
    return static_cast<char>(std::tolower(c));
  });
  for (const std::string_view packing :
       {".gz", ".z", ".bz2", ".zip", ".zst", ".xz"}) {
    if (name.ends_with(packing)) {
      name.resize(name.size() - packing.size());
      break;
    }
  }
  return name.ends_with(".apc");
}

Result<PreciseProduct> read_sp3(std::unique_ptr<ByteStream> stream) {
  return Sp3Reader(std::move(stream)).read();
}

}  // namespace stillpoint::products
