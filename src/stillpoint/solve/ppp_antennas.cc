#include "stillpoint/solve/ppp_antennas.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::solve {
namespace {

// How far a satellite's offset may be from its file's day: numbers of GPS and
// GLONASS satellites are handed on now and then, those of the others stay.
// Common practice, no source.
constexpr double kReassignedAfterDays = 200;

int band_number(char band) {
  return band - '0';
}

// The calibrated band that is nearest in frequency.
const AntennaFrequency* nearest_band(const AntennaPattern& pattern, double hz) {
  const AntennaFrequency* best = nullptr;
  double best_off = 0;
  for (const AntennaFrequency& f : pattern.frequencies) {
    const auto its_hz =
        frequency_hz(f.system, static_cast<char>('0' + f.number), 0);
    if (!its_hz) {
      continue;
    }
    const double off = std::abs(*its_hz - hz);
    if (best == nullptr || off < best_off) {
      best = &f;
      best_off = off;
    }
  }
  return best;
}

bool has_variation(const AntennaPattern& pattern) {
  return std::any_of(
      pattern.frequencies.begin(),
      pattern.frequencies.end(),
      [](const AntennaFrequency& f) { return !f.by_zenith_m.empty(); });
}

}  // namespace

const char* calibration_name(Calibration c) {
  switch (c) {
    case Calibration::kFull:
      return "full";
    case Calibration::kOffset:
      return "offset";
    case Calibration::kNone:
      break;
  }
  return "none";
}

PppAntennas::PppAntennas(const PppOptions& options)
    : options_(&options), satellites_(SatId::kIndexCount) {
  const PppAids& aids = options.aids;
  if (options.without.has(Term::kReceiverAntenna) ||
      options.antenna_type.empty()) {
    return;
  }
  if (aids.patterns != nullptr) {
    receiver_ =
        aids.patterns->receiver(options.antenna_type, options.antenna_serial);
  }
  if (receiver_ == nullptr && aids.offsets != nullptr) {
    receiver_ =
        aids.offsets->receiver(options.antenna_type, options.antenna_serial);
  }
  if (receiver_ != nullptr) {
    receiver_level_ =
        has_variation(*receiver_) ? Calibration::kFull : Calibration::kOffset;
    note_model(*receiver_);
    return;
  }
  const std::string bare = options.antenna_type.substr(0, 16);
  for (const AntennaPatterns* source : {aids.patterns, aids.offsets}) {
    if (source == nullptr) {
      continue;
    }
    const auto others = source->receivers_of_type(bare);
    if (!others.empty()) {
      receiver_ = others.front();
      receiver_level_ = Calibration::kOffset;
      stand_in_ = receiver_->type;
      note_model(*receiver_);
      return;
    }
  }
}

void PppAntennas::note_model(const AntennaPattern& pattern) {
  if (!pattern.sinex_code.empty() &&
      std::find(models_.begin(), models_.end(), pattern.sinex_code) ==
          models_.end()) {
    models_.push_back(pattern.sinex_code);
  }
}

const PppAntennas::Satellite& PppAntennas::satellite(SatId sat, GnssTime t) {
  auto& slot = satellites_[static_cast<std::size_t>(sat.index())];
  if (slot) {
    return *slot;
  }
  Satellite found;
  const PppAids& aids = options_->aids;
  if (aids.patterns != nullptr) {
    found.pattern = aids.patterns->satellite(sat, t);
  }
  if (found.pattern == nullptr && aids.offsets != nullptr) {
    double days_off = 0;
    const auto* nearest = aids.offsets->satellite_nearest(sat, t, &days_off);
    const bool handed_on =
        sat.system == System::kGps || sat.system == System::kGlonass;
    if (nearest != nullptr &&
        (!handed_on || std::abs(days_off) < kReassignedAfterDays)) {
      found.pattern = nearest;
      found.days_off = std::abs(days_off);
    }
  }
  if (found.pattern != nullptr) {
    found.level = has_variation(*found.pattern) ? Calibration::kFull
                                                : Calibration::kOffset;
    note_model(*found.pattern);
  }
  found.habit =
      options_->without.has(Term::kYawTurns)
          ? models::YawHabit::kNominal
          : models::yaw_habit(sat, found.pattern ? found.pattern->type : "");
  slot = found;
  return *slot;
}

bool PppAntennas::knows_satellites(GnssTime t) {
  if (!knows_satellites_) {
    knows_satellites_ = false;
    for (const System system : kSystems) {
      if (!options_->systems.has(system)) {
        continue;
      }
      for (std::uint8_t number = 1; number < 64; ++number) {
        *knows_satellites_ |=
            satellite({system, number}, t).level != Calibration::kNone;
      }
    }
  }
  return *knows_satellites_ && !options_->without.has(Term::kSatelliteAntenna);
}

double PppAntennas::satellite_m(const Satellite& satellite,
                                const PppRow& row,
                                const AntennaVector& line_of_sight) const {
  if (satellite.pattern == nullptr ||
      options_->without.has(Term::kSatelliteAntenna)) {
    return 0;
  }
  const AntennaPattern& pattern = *satellite.pattern;
  const auto band_of = [&](char band, double hz) {
    const auto* own = pattern.frequency(row.sat.system, band_number(band));
    return own != nullptr ? own : nearest_band(pattern, hz);
  };
  const auto* first = band_of(row.phase_first.band, row.first_hz);
  const auto* second = band_of(row.phase_second.band, row.second_hz);
  if (first == nullptr || second == nullptr) {
    return 0;
  }
  const double a = pattern.range_correction_m(*first, line_of_sight);
  const double b =
      second == first ? a : pattern.range_correction_m(*second, line_of_sight);
  return row.weight_first * a + (1 - row.weight_first) * b;
}

const AntennaFrequency* PppAntennas::receiver_band(System system, char band) {
  const auto number = static_cast<std::size_t>(band_number(band));
  if (number > 9) {
    return nullptr;
  }
  Band& slot = bands_[static_cast<std::size_t>(system)][number];
  if (slot.known) {
    return slot.frequency;
  }
  slot.known = true;
  slot.frequency = receiver_->frequency(system, band_number(band));
  if (slot.frequency == nullptr) {
    const auto hz = frequency_hz(system, band, 0);
    if (hz) {
      slot.frequency = nearest_band(*receiver_, *hz);
      const auto stand_in_hz =
          slot.frequency == nullptr
              ? std::nullopt
              : frequency_hz(slot.frequency->system,
                             static_cast<char>('0' + slot.frequency->number),
                             0);
      // A band of another system at the same carrier is no stand-in.
      other_bands_ |= !stand_in_hz || std::abs(*stand_in_hz - *hz) > 30e6;
    }
  }
  return slot.frequency;
}

double PppAntennas::receiver_m(const PppRow& row,
                               const AntennaVector& line_of_sight) {
  if (receiver_ == nullptr) {
    return 0;
  }
  const auto* first = receiver_band(row.sat.system, row.phase_first.band);
  const auto* second = receiver_band(row.sat.system, row.phase_second.band);
  if (first == nullptr || second == nullptr) {
    return 0;
  }
  const auto correction = [&](const AntennaFrequency& f) {
    if (receiver_level_ == Calibration::kFull) {
      return receiver_->range_correction_m(f, line_of_sight);
    }
    return -(f.offset_m.north_or_x * line_of_sight.north_or_x +
             f.offset_m.east_or_y * line_of_sight.east_or_y +
             f.offset_m.up_or_z * line_of_sight.up_or_z);
  };
  const double a = correction(*first);
  const double b = second == first ? a : correction(*second);
  return row.weight_first * a + (1 - row.weight_first) * b;
}

}  // namespace stillpoint::solve
