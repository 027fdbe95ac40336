#include "stillpoint/solve/terms.h"

#include <array>

namespace stillpoint::solve {
namespace {

constexpr std::array kNames{
    TermName{Term::kIonosphere, "ionosphere"},
    TermName{Term::kTroposphere, "troposphere"},
    TermName{Term::kRelativity, "relativity"},
    TermName{Term::kShapiro, "shapiro"},
    TermName{Term::kEarthRotation, "earth-rotation"},
    TermName{Term::kGroupDelay, "group-delay"},
    TermName{Term::kSatelliteClock, "satellite-clock"},
    TermName{Term::kElevationWeights, "elevation-weights"},
    TermName{Term::kCn0Weights, "cn0-weights"},
    TermName{Term::kOutlierRejection, "outlier-rejection"},
    TermName{Term::kAntennaHeight, "antenna-height"},
    TermName{Term::kBeidouCode, "beidou-code"},
    TermName{Term::kSatelliteAntenna, "satellite-antenna"},
    TermName{Term::kReceiverAntenna, "receiver-antenna"},
    TermName{Term::kWindUp, "wind-up"},
    TermName{Term::kYawTurns, "yaw-turns"},
    TermName{Term::kSolidTide, "solid-tide"},
    TermName{Term::kOceanLoading, "ocean-loading"},
    TermName{Term::kPoleTide, "pole-tide"},
    TermName{Term::kGradients, "gradients"},
};

}  // namespace

std::span<const TermName> term_names() {
  return kNames;
}

std::optional<Term> find_term(std::string_view name) {
  for (const TermName& row : kNames) {
    if (row.name == name) {
      return row.term;
    }
  }
  return std::nullopt;
}

}  // namespace stillpoint::solve
