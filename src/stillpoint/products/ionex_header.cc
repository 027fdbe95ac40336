#include "stillpoint/products/ionex_header.h"

#include <cmath>
#include <utility>

#include "stillpoint/core/text.h"
#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kLabel = 60, kLineEnd = 80;
constexpr std::size_t kMaxDescription = 1'000;
constexpr std::size_t kMaxLatitudes = 1'000, kMaxLongitudes = 2'000;
constexpr double kRadPerDeg = 3.14159265358979323846 / 180;

tl::unexpected<Error> bad_head(std::string what) {
  return fail(ErrorCode::kBadHeader, std::move(what));
}

tl::unexpected<Error> unsupported(std::string what) {
  return fail(ErrorCode::kUnsupported, std::move(what));
}

std::optional<std::size_t> count_of(const IonexRange& range, std::size_t most) {
  const double steps = (range.to - range.from) / range.step;
  if (!(std::abs(range.step) > IonexHeader::kDegNoise &&
        steps > -IonexHeader::kDegNoise && steps < static_cast<double>(most)) ||
      std::abs(steps - std::round(steps)) > IonexHeader::kDegNoise) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(std::llround(steps)) + 1;
}

}  // namespace

std::string_view ionex_label(std::string_view line) {
  return column(line, kLabel, kLineEnd);
}

std::optional<IonexRange> to_ionex_range(std::string_view line) {
  const auto from = to_number(column(line, 2, 8));
  const auto to = to_number(column(line, 8, 14));
  const auto step = to_number(column(line, 14, 20));
  if (!from || !to || !step) {
    return std::nullopt;
  }
  return IonexRange{*from, *to, *step};
}

std::optional<int> to_ionex_exponent(std::string_view line) {
  constexpr int kMost = 10;
  const auto exponent = to_integer(column(line, 0, 6));
  return exponent && std::abs(*exponent) <= kMost ? exponent : std::nullopt;
}

Status IonexHeader::take_first(std::string_view line,
                               IonosphereProduct& product) {
  if (ionex_label(line) != "IONEX VERSION / TYPE" ||
      column(line, 20, 21) != "I") {
    return bad_head(
        "not a file of ionosphere maps: the first line is not "
        "IONEX VERSION / TYPE");
  }
  const std::string_view version = column(line, 0, 8);
  if (version != "1.0" && version != "1.1") {
    return unsupported("ionosphere maps of version '" + std::string(version) +
                       "'; 1.0 and 1.1 can be read");
  }
  product.system = column(line, 40, kLabel);
  return ok();
}

Status IonexHeader::take_bias(std::string_view line,
                              bool satellite,
                              IonosphereProduct& product) {
  const std::size_t shift = satellite ? 0 : 20;
  const auto bias_ns = to_number(column(line, 6 + shift, 16 + shift));
  const auto rms_ns = to_number(column(line, 16 + shift, 26 + shift));
  if (!bias_ns || !rms_ns) {
    return bad_head("the code bias or its error is not a number");
  }
  IonosphereBias bias;
  bias.bias_ns = *bias_ns;
  bias.rms_ns = *rms_ns;
  if (satellite) {
    bias.satellite = parse_satellite(columns(line, 3, 3));
    if (!bias.satellite) {
      return ok();  // of a kind that is not ours
    }
    bias.system = bias.satellite->system;
  } else {
    const std::string_view letter = column(line, 3, 4);
    const auto system = system_from_letter(letter.empty() ? 'G' : letter[0]);
    bias.station = column(line, 6, 26);
    if (!system || bias.station.empty()) {
      return bad_head("the code bias names no system or no station");
    }
    bias.system = *system;
  }
  product.biases.push_back(std::move(bias));
  return ok();
}

Status IonexHeader::take(std::string_view line, IonosphereProduct& product) {
  const std::string_view label = ionex_label(line);
  if (label == "DESCRIPTION" || label == "COMMENT") {
    if (product.description.size() < kMaxDescription) {
      product.description.emplace_back(trim_right(columns(line, 0, kLabel)));
    }
  } else if (label == "PGM / RUN BY / DATE") {
    product.program = column(line, 0, 20);
    product.run_by = column(line, 20, 40);
    product.date = column(line, 40, kLabel);
  } else if (label == "MAPPING FUNCTION") {
    product.shell.mapping_function = column(line, 2, 6);
  } else if (label == "START OF AUX DATA" || label == "END OF AUX DATA") {
    biases_open_ = label.starts_with('S') &&
                   column(line, 0, kLabel) == "DIFFERENTIAL CODE BIASES";
  } else if (biases_open_ &&
             (label == "PRN / BIAS / RMS" || label == "STATION / BIAS / RMS")) {
    return take_bias(line, label.starts_with('P'), product);
  } else if (label == "LAT1 / LAT2 / DLAT" || label == "LON1 / LON2 / DLON" ||
             label == "HGT1 / HGT2 / DHGT") {
    const auto range = to_ionex_range(line);
    if (!range) {
      return bad_head("the grid is not three numbers");
    }
    (label[0] == 'H'   ? height_
     : label[1] == 'A' ? latitude_
                       : longitude_) = range;
  } else if (label == "MAP DIMENSION") {
    if (to_integer(column(line, 0, 6)) != 2) {
      return unsupported("maps of more than one height");
    }
  } else if (label == "EXPONENT") {
    const auto exponent = to_ionex_exponent(line);
    if (!exponent) {
      return bad_head("the exponent is not a small whole number");
    }
    exponent_ = *exponent;
  } else if (label == "BASE RADIUS" || label == "ELEVATION CUTOFF") {
    const auto number = to_number(column(line, 0, 8));
    if (!number) {
      return bad_head("the radius or the elevation is not a number");
    }
    if (label[0] == 'B') {
      product.shell.base_radius_m = 1'000 * *number;
      radius_ = true;
    } else {
      product.elevation_cutoff_rad = *number * kRadPerDeg;
    }
  }
  return ok();
}

Status IonexHeader::finish(IonosphereProduct& product) const {
  if (!latitude_ || !longitude_ || !height_ || !radius_) {
    return bad_head("the header lacks the grid, the height or the radius");
  }
  const auto rows = count_of(*latitude_, kMaxLatitudes);
  const auto nodes = count_of(*longitude_, kMaxLongitudes);
  constexpr double kMostDeg = 360;
  if (!rows || !nodes || std::abs(latitude_->from) > 90 ||
      std::abs(latitude_->to) > 90 || std::abs(longitude_->from) > kMostDeg ||
      std::abs(longitude_->to) > kMostDeg ||
      std::abs(longitude_->to - longitude_->from) > kMostDeg + kDegNoise) {
    return bad_head("the grid of the header is none on a sphere");
  }
  constexpr double kLeastRadiusM = 6e6, kMostRadiusM = 7e6;
  constexpr double kLeastHeightM = 5e4, kMostHeightM = 2e6;
  IonosphereShell& shell = product.shell;
  shell.height_m = 1'000 * height_->from;
  if (std::abs(height_->to - height_->from) > kDegNoise) {
    return unsupported("maps of more than one height");
  }
  if (!(shell.base_radius_m > kLeastRadiusM &&
        shell.base_radius_m < kMostRadiusM && shell.height_m > kLeastHeightM &&
        shell.height_m < kMostHeightM)) {
    return bad_head("radius or height that no ionosphere has");
  }
  product.latitude = {
      latitude_->from * kRadPerDeg, latitude_->step * kRadPerDeg, *rows};
  product.longitude = {
      longitude_->from * kRadPerDeg, longitude_->step * kRadPerDeg, *nodes};
  return ok();
}

}  // namespace stillpoint::products
