#include "stillpoint/products/sp3_writer.h"

#include <bitset>
#include <cmath>
#include <string>
#include <vector>

#include "stillpoint/gnss/epoch.h"
#include "stillpoint/products/sp3_header_text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kMaxSatellites = 999;
constexpr std::size_t kMaxEpochs = 9'999'999;
constexpr double kMissingClockUs = 999'999.999999;
constexpr std::size_t kField = 14;
constexpr int kDecimals = 6;

bool has_position(const PreciseSample& s) {
  return !std::isnan(s.position_m.x_m) && !std::isnan(s.position_m.y_m) &&
         !std::isnan(s.position_m.z_m);
}

std::vector<SatId> satellites_of(const PreciseProduct& product) {
  std::vector<SatId> satellites;
  std::bitset<SatId::kIndexCount> seen;
  for (const PreciseEpoch& epoch : product.epochs) {
    for (const PreciseSample& sample : epoch.samples) {
      const auto index = static_cast<std::size_t>(sample.sat.index());
      if (!seen.test(index)) {
        seen.set(index);
        satellites.push_back(sample.sat);
      }
    }
  }
  return satellites;
}

// One record, or the name of what does not fit.
Result<std::string> record_text(const PreciseSample& s) {
  std::string text = "P" + s.sat.text();
  const bool position = has_position(s);
  for (const double metres :
       {s.position_m.x_m, s.position_m.y_m, s.position_m.z_m}) {
    text += fixed_text(position ? metres / 1e3 : 0.0, kField, kDecimals);
  }
  const bool clock = !std::isnan(s.clock_s);
  text +=
      fixed_text(clock ? s.clock_s * 1e6 : kMissingClockUs, kField, kDecimals);
  constexpr std::size_t kWidth = 60;
  if (text.size() != kWidth ||
      (clock && std::abs(s.clock_s * 1e6) >= 999'999)) {
    return fail(ErrorCode::kOutOfRange,
                "position or clock of " + s.sat.text() +
                    " is too large for its column");
  }
  constexpr std::size_t kEvent = 74, kClockPredicted = 75, kManoeuvre = 78,
                        kOrbitPredicted = 79;
  text.resize(kOrbitPredicted + 1, ' ');
  text[kEvent] = s.clock_event ? 'E' : ' ';
  text[kClockPredicted] = s.predicted && clock ? 'P' : ' ';
  text[kManoeuvre] = s.manoeuvre ? 'M' : ' ';
  text[kOrbitPredicted] = s.predicted && (position || !clock) ? 'P' : ' ';
  text.erase(text.find_last_not_of(' ') + 1);
  text += '\n';
  return text;
}

class Writer {
 public:
  explicit Writer(std::vector<SatId> satellites)
      : satellites_(std::move(satellites)) {}

  Result<std::string> epoch_text(const PreciseEpoch& epoch);

 private:
  std::vector<SatId> satellites_;
  std::vector<const PreciseSample*> by_index_;
  const PreciseEpoch* before_ = nullptr;
};

Result<std::string> Writer::epoch_text(const PreciseEpoch& epoch) {
  const auto bad = [&epoch](std::string what) {
    return fail(
        ErrorCode::kOutOfRange, std::move(what), format_gpst(epoch.time));
  };
  if (!is_printed_exactly(epoch.time)) {
    return bad("the epoch has more than eight decimals of a second");
  }
  if (before_ != nullptr && epoch.time <= before_->time) {
    return bad("the epoch is not later than the one before");
  }
  before_ = &epoch;
  by_index_.assign(SatId::kIndexCount, nullptr);
  for (const PreciseSample& sample : epoch.samples) {
    const PreciseSample*& place =
        by_index_[static_cast<std::size_t>(sample.sat.index())];
    if (place != nullptr) {
      return bad("satellite " + sample.sat.text() + " twice in one epoch");
    }
    place = &sample;
  }
  std::string text = "*  " + sp3_time_text(epoch.time) + '\n';
  for (const SatId sat : satellites_) {
    const PreciseSample* sample =
        by_index_[static_cast<std::size_t>(sat.index())];
    const PreciseSample missing{.sat = sat,
                                .position_m = {kMissing, kMissing, kMissing},
                                .clock_s = kMissing};
    auto record = record_text(sample != nullptr ? *sample : missing);
    if (!record) {
      return bad(std::move(record.error().what));
    }
    text += *record;
  }
  return text;
}

}  // namespace

Status write_sp3(const PreciseProduct& product,
                 const Sp3WriterOptions& options,
                 ByteSink& sink) {
  if (product.epochs.empty()) {
    return fail(ErrorCode::kNoData, "the product has no epoch");
  }
  std::vector<SatId> satellites = satellites_of(product);
  if (satellites.size() > kMaxSatellites ||
      product.epochs.size() > kMaxEpochs) {
    return fail(ErrorCode::kOutOfRange,
                std::to_string(satellites.size()) + " satellites and " +
                    std::to_string(product.epochs.size()) +
                    " epochs are more than the header's columns hold");
  }
  const auto header = sp3_header_text(product, satellites, options);
  if (!header) {
    return fail(header.error());
  }
  if (Status written = sink.write(*header); !written) {
    return written;
  }
  Writer writer(std::move(satellites));
  for (const PreciseEpoch& epoch : product.epochs) {
    const auto text = writer.epoch_text(epoch);
    if (!text) {
      return fail(text.error());
    }
    if (Status written = sink.write(*text); !written) {
      return written;
    }
  }
  return sink.write("EOF\n");
}

}  // namespace stillpoint::products
