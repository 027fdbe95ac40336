// `stillpoint position`: the adopted position, in the frame and at the epoch
// that somebody needs.
#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <numbers>
#include <utility>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/open_station.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/record_args.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/datum/itrf_carry.h"
#include "stillpoint/report/candidates_text.h"
#include "stillpoint/report/candidates_warn.h"
#include "stillpoint/report/json_number.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/paragraph.h"
#include "stillpoint/report/record_json.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using Json = nlohmann::ordered_json;

// What is known; all but the database is there, or nothing is.
struct Answer {
  std::string database;
  std::optional<std::pair<StoredRecord, Adoption>> adopted;
  CarriedPosition carried;
  std::vector<solve::Warning> warnings;
};

Error refusal(CarryRefusal why,
              const PositionRecord& record,
              const FrameGoal& goal) {
  if (why == CarryRefusal::kFrameUnknown) {
    return {ErrorCode::kFrameUnknown,
            fmt::format("the adopted record is in {} and cannot be brought "
                        "into {}",
                        record.position.frame.name,
                        goal.frame.name),
            "--frame",
            "ask for ITRF2020 or ITRF2014; WGS84 is tied to them by "
            "centimetres only"};
  }
  return {ErrorCode::kMixedInput,
          fmt::format("the adopted record is of {} and is wanted at {}; "
                      "nobody said with which plate it moves{}",
                      format_utc(record.position.epoch),
                      format_utc(goal.epoch),
                      goal.plate.empty()
                          ? ""
                          : ", since the model of this frame has no plate " +
                                goal.plate),
          "--frame",
          "give --plate NAME, such as EURA, NOAM or AUST"};
}

Result<CarriedPosition> bring(const PositionRecord& record,
                              const WantedFrame& wanted) {
  const FramedPosition& own = record.position;
  const FrameGoal goal{wanted.frame.value_or(own.frame),
                       wanted.epoch.value_or(own.epoch),
                       wanted.plate};
  const auto from = family_member(own.frame.name);
  const auto to = family_member(goal.frame.name);
  // Rougher than the record: nothing that anybody should hand out.
  if (from && to && to->broadcast && !from->broadcast) {
    return fail(refusal(CarryRefusal::kFrameUnknown, record, goal));
  }
  auto carried = carry(own, goal);
  if (!carried) {
    return fail(refusal(carried.error(), record, goal));
  }
  return std::move(*carried);
}

Result<Answer> ask(const PositionArgs& args) {
  auto station = open_station(args.config);
  if (!station) {
    return fail(std::move(station.error()));
  }
  Answer out;
  out.database = station->database;
  auto adopted = station->store.positions().adopted();
  if (!adopted) {
    return fail(std::move(adopted.error()));
  }
  out.adopted = std::move(*adopted);
  if (!out.adopted) {
    return out;
  }
  const StoredRecord& stored = out.adopted->first;
  auto carried = bring(stored.record, args.wanted);
  if (!carried) {
    return fail(std::move(carried.error()));
  }
  out.carried = std::move(*carried);
  out.warnings = report::warnings_of_adopted(
      stored, args.wanted.plate, station::wall_now());
  return out;
}

std::string document(const Answer& a) {
  Json position, record, adoption, moved_by, moved_m;
  if (a.adopted) {
    const StoredRecord& stored = a.adopted->first;
    position =
        report::points_json(a.carried.position, stored.record.delta_enu_m);
    record = report::record_json(stored);
    adoption = report::adoption_json(a.adopted->second);
    moved_by = a.carried.moved_by;
    moved_m = report::number(a.carried.moved_m, 1e5);
  }
  return report::to_text({{"schema_version", report::kSchemaVersion},
                          {"database", a.database},
                          {"position", std::move(position)},
                          {"record", std::move(record)},
                          {"adoption", std::move(adoption)},
                          {"moved_by", std::move(moved_by)},
                          {"moved_m", std::move(moved_m)},
                          {"warnings", report::warnings_json(a.warnings)}});
}

void tell_point(std::string& out, const char* label, const FramedPosition& p) {
  constexpr double kDeg = 180 / std::numbers::pi;
  const Geodetic g = to_geodetic(
      p.ecef, p.frame.name == "WGS84" ? Ellipsoid::kWgs84 : Ellipsoid::kGrs80);
  report::paragraph(out,
                    label,
                    fmt::format("X {:.4f}  Y {:.4f}  Z {:.4f} m",
                                p.ecef.x_m,
                                p.ecef.y_m,
                                p.ecef.z_m));
  report::paragraph(
      out,
      "",
      fmt::format("latitude {:.9f}, longitude {:.9f} degrees, {:.4f} m above "
                  "the ellipsoid (not above the sea)",
                  g.lat_rad * kDeg,
                  g.lon_rad * kDeg,
                  g.height_m));
}

std::string text(const Answer& a, const std::string& config) {
  using report::paragraph;
  if (!a.adopted) {
    return "no position is adopted yet; stillpoint candidates --config " +
           config + " lists the records, stillpoint adopt ID takes one\n";
  }
  const auto& [stored, adoption] = *a.adopted;
  const FramedPosition& p = a.carried.position;
  const auto& delta = stored.record.delta_enu_m;
  const auto sigma = report::sigma_enu_m(p);
  std::string out;
  paragraph(out,
            "Frame",
            fmt::format("{} at {}{}",
                        p.frame.name,
                        format_utc(p.epoch),
                        a.carried.moved_by == "none"
                            ? ""
                            : fmt::format(", moved {:.1f} mm by {}",
                                          a.carried.moved_m * 1e3,
                                          a.carried.moved_by)));
  tell_point(out, "Antenna", report::point_of(p, delta, Point::kArp));
  tell_point(out, "Marker", report::point_of(p, delta, Point::kMarker));
  paragraph(out,
            "How sure",
            fmt::format("{:.1f} mm east, {:.1f} north, {:.1f} up (one sigma)",
                        sigma[0] * 1e3,
                        sigma[1] * 1e3,
                        sigma[2] * 1e3));
  paragraph(
      out,
      "From",
      fmt::format("record {}: {}", stored.id, report::record_words(stored)));
  paragraph(
      out,
      "Adopted",
      fmt::format(
          "{} by {}: {}", format_utc(adoption.at), adoption.by, adoption.why));
  for (const solve::Warning& warning : a.warnings) {
    paragraph(out, "Note", warning.what);
  }
  return out;
}

}  // namespace

int run_position(const Arguments& arguments) {
  const auto args = parse_position(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpPosition) ? kExitGood : kExitSystem;
  }
  const auto answer = ask(*args);
  if (!answer) {
    return report_station_error(answer.error(), args->config, arguments.json);
  }
  if (!print_data(arguments.json ? document(*answer)
                                 : text(*answer, args->config))) {
    return kExitSystem;
  }
  return answer->adopted ? kExitGood : kExitNo;
}

}  // namespace stillpoint::app
