#include "stillpoint/app/demo_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace stillpoint::app {
namespace {

constexpr double kMostSigmas = 4;

bool are_within(const Enu& error_m, const Enu& sigma_m, double sigmas) {
  const auto within = [sigmas](double off_m, double one_sigma_m) {
    return std::abs(off_m) <= sigmas * one_sigma_m;
  };
  return within(error_m.e_m, sigma_m.e_m) && within(error_m.n_m, sigma_m.n_m) &&
         within(error_m.u_m, sigma_m.u_m);
}

// What rovers are told must be what was adopted, to the step of a 1006.
void judge_adopted(const DemoReport& report,
                   std::vector<std::string>& problems) {
  constexpr double kStepM = 1e-4;
  const DemoAdopted& adopted = *report.adopted;
  if (!adopted.is_within(kMostSigmas)) {
    problems.emplace_back(
        "the adopted position lies more than four sigma from where the antenna "
        "stands");
  }
  if (!adopted.trusted_after_s) {
    problems.emplace_back("the station did not come to trust itself");
  }
  for (const RoverFacts& rover : report.rovers) {
    if (!rover.told_arp || norm(*rover.told_arp - adopted.arp) > kStepM) {
      problems.push_back(rover.name + " was not told the adopted coordinate");
    }
  }
}

void judge_bytes(const PlayedFacts& played,
                 const StationView& station,
                 std::vector<std::string>& problems) {
  if (station.safe_bytes != played.bytes) {
    problems.push_back(
        fmt::format("the receiver sent {} bytes, and {} are recorded",
                    played.bytes,
                    station.safe_bytes));
  }
  if (station.epochs != played.epochs) {
    problems.push_back(
        fmt::format("the receiver sent {} epochs, and the station read {}",
                    played.epochs,
                    station.epochs));
  }
}

void judge_rovers(const DemoReport& report,
                  std::vector<std::string>& problems) {
  const StationView& station = *report.station;
  for (const auto& [reason, count] : station.cuts) {
    problems.push_back(
        fmt::format("rovers were cut, {} times for '{}'", count, reason));
  }
  std::uint64_t heard = 0;
  for (const RoverFacts& rover : report.rovers) {
    heard += rover.bytes;
    if (rover.sessions != 1 || rover.bad_frames > 0) {
      problems.push_back(
          fmt::format("{} was connected {} times and heard {} damaged frames",
                      rover.name,
                      rover.sessions,
                      rover.bad_frames));
    }
  }
  if (heard != station.offered_bytes) {
    problems.push_back(fmt::format("rovers were offered {} bytes, and heard {}",
                                   station.offered_bytes,
                                   heard));
  }
}

}  // namespace

bool DemoPosition::is_true() const {
  return status == "converged" && are_within(error_m, sigma_m, kMostSigmas);
}

bool DemoAdopted::is_within(double sigmas) const {
  return are_within(error_m, sigma_m, sigmas);
}

std::optional<double> DemoEvent::number(const std::string& name) const {
  const auto found =
      std::find_if(numbers.begin(), numbers.end(), [&](const auto& row) {
        return row.first == name;
      });
  return found == numbers.end() ? std::nullopt : found->second;
}

void judge_demo(DemoReport& report) {
  if (report.played && report.station) {
    judge_bytes(*report.played, *report.station, report.problems);
    judge_rovers(report, report.problems);
    if (report.epochs_in_minutes &&
        *report.epochs_in_minutes != report.station->epochs) {
      report.problems.push_back(fmt::format(
          "the station read {} epochs, and its minute values count {}",
          report.station->epochs,
          *report.epochs_in_minutes));
    }
  }
  if (report.adopted) {
    judge_adopted(report, report.problems);
  }
  if (report.position && !report.position->is_true()) {
    report.problems.emplace_back(
        "the position lies more than four sigma from where the antenna stands");
  }
}

}  // namespace stillpoint::app
