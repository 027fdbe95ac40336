#include "stillpoint/solve/known_station.h"

#include <fmt/format.h>

#include <cmath>

#include "stillpoint/datum/frames.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::solve {
namespace {

// What a motion may do before somebody must say what it is. The fastest plate
// of the models (PCFC) moves at 76 mm/year at most.
constexpr double kMattersM = 0.001, kFastestMPerYear = 0.080;
// A usual motion, for the size of what is left out (common practice, no
// source).
constexpr double kUsualMPerYear = 0.025;
constexpr double kPlateSigmaMPerYear = 0.001;  // from memory
// Above: typed in other units than metres a year.
constexpr double kMostMPerYear = 1;

constexpr const char* kSayTheMotion =
    "give --velocity VX,VY,VZ (m/year), --plate NAME, or --no-motion if the "
    "coordinate is to be taken as it stands";

// Of the frame that the coordinate is in.
Result<PlateModel> plate_model_of(const KnownCoordinate& known) {
  const FrameLabel frame = frame_of_label(known.frame);
  if (frame.aligned_to == "ITRF2014") {
    return PlateModel::kItrf2014;
  }
  if (frame.aligned_to == "ITRF2020") {
    return PlateModel::kItrf2020;
  }
  return fail(ErrorCode::kUnsupported,
              frame.frame.name.empty()
                  ? std::string("a plate moves a coordinate in a frame, and "
                                "the frame of the known coordinate is not "
                                "given")
                  : fmt::format("no plate motion model belongs to the frame "
                                "'{}'",
                                frame.frame.name),
              "--plate",
              "give the coordinate in ITRF2014 or ITRF2020 (also IGS14, IGb14, "
              "IGS20, IGb20) by --frame NAME@EPOCH, or its --velocity");
}

void warn_frame(const KnownCoordinate& known, MovedKnown& out) {
  const FrameLabel frame = frame_of_label(known.frame);
  if (frame.frame.name.empty()) {
    out.warnings.push_back(
        {"frame_not_given",
         "nobody said which frame the known coordinate is in (--frame "
         "NAME@EPOCH), so the answer cannot name its frame either",
         std::nullopt});
  } else if (!frame.known) {
    out.warnings.push_back(
        {"frame_unknown",
         fmt::format("the frame of the known coordinate, '{}', is not in the "
                     "table of docs/frames.md; it is repeated as it stands",
                     frame.frame.name),
         std::nullopt});
  }
}

// Whether a motion is to be applied, and how far back the coordinate is.
Result<double> years_to_move(const KnownCoordinate& known,
                             const KnownMotion& motion,
                             GnssTime observed,
                             MovedKnown& out) {
  using Kind = KnownMotion::Kind;
  if (!known.epoch) {
    if (motion.kind == Kind::kVelocity || motion.kind == Kind::kPlate) {
      return fail(ErrorCode::kUsage,
                  "a motion is given for the known coordinate, and not the "
                  "epoch from which on it moved",
                  "--frame",
                  "write --frame NAME@EPOCH, such as ITRF2014@2010.0");
    }
    out.warnings.push_back(
        {"epoch_not_given",
         fmt::format("nobody said to which epoch the known coordinate belongs "
                     "(--frame NAME@EPOCH); it is taken for that of the "
                     "observations. Each year between them is usually worth "
                     "{:.0f} mm",
                     kUsualMPerYear * 1e3),
         kUsualMPerYear});
    return 0.0;
  }
  const double years = years_between(*known.epoch, observed);
  if (std::abs(years) * kFastestMPerYear <= kMattersM) {
    return years;
  }
  if (motion.kind == Kind::kNotSaid) {
    return fail(
        ErrorCode::kMixedInput,
        fmt::format(
            "the known coordinate is of {} and the observations are of "
            "{}, {:.2f} years {}: by then it has usually moved by {:.0f} "
            "mm, and nobody said how",
            format_utc(*known.epoch),
            format_utc(observed),
            std::abs(years),
            years > 0 ? "later" : "earlier",
            std::abs(years) * kUsualMPerYear * 1e3),
        "--frame",
        kSayTheMotion);
  }
  if (motion.kind == Kind::kNone) {
    const double size_m = std::abs(years) * kUsualMPerYear;
    out.warnings.push_back(
        {"motion_left_out",
         fmt::format("the known coordinate is {:.2f} years away from the "
                     "observations and was not moved, as asked; a usual plate "
                     "motion is worth {:.0f} mm in that time",
                     std::abs(years),
                     size_m * 1e3),
         size_m});
  }
  return years;
}

Status check_velocity(const EcefVelocity& v) {
  const double size =
      std::hypot(v.x_m_per_year, v.y_m_per_year, v.z_m_per_year);
  if (!(size <= kMostMPerYear)) {
    return fail(
        ErrorCode::kOutOfRange,
        fmt::format("the known station would move by {} m a year", size),
        "--velocity",
        "give VX,VY,VZ in metres a year, such as -0.016,0.017,0.010");
  }
  return ok();
}

void move(MovedKnown& out,
          const EcefVelocity& velocity,
          double years,
          std::string by) {
  const Ecef before = out.position_m;
  out.position_m = moved_by(before, velocity, years);
  out.moved_m = norm(out.position_m - before);
  out.moved_by = std::move(by);
}

}  // namespace

Result<MovedKnown> move_known(const KnownCoordinate& known,
                              const KnownMotion& motion,
                              GnssTime observed) {
  MovedKnown out;
  out.position_m = known.position_m;
  out.moved_by = "none";
  warn_frame(known, out);
  if (known.sigma_m) {
    for (std::size_t i = 0; i < 3; ++i) {
      const double sigma = known.sigma_m->at(i);
      out.covariance_m2.at(4 * i) = sigma * sigma;
    }
  } else {
    out.warnings.push_back(
        {"sigma_not_given",
         "the known coordinate is taken as exact: --known X,Y,Z,sX,sY,sZ would "
         "say how well it is known, and the answer's sigma would hold it",
         std::nullopt});
  }
  auto years = years_to_move(known, motion, observed, out);
  if (!years) {
    return fail(std::move(years.error()));
  }
  if (motion.kind == KnownMotion::Kind::kVelocity) {
    auto checked = check_velocity(motion.velocity);
    if (!checked) {
      return fail(std::move(checked.error()));
    }
    move(out, motion.velocity, *years, "given velocity");
  } else if (motion.kind == KnownMotion::Kind::kPlate) {
    const auto model = plate_model_of(known);
    if (!model) {
      return fail(model.error());
    }
    const auto plate = require_plate(*model, motion.plate);
    if (!plate) {
      return fail(plate.error());
    }
    move(out,
         velocity_m_per_year(*plate, known.position_m),
         *years,
         "plate model " + plate->label());
    const double sigma = kPlateSigmaMPerYear * *years;
    for (std::size_t i = 0; i < 3; ++i) {
      out.covariance_m2.at(4 * i) += sigma * sigma;
    }
  }
  return out;
}

}  // namespace stillpoint::solve
