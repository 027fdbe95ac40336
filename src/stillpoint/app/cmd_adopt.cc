// `stillpoint adopt`: the record that rovers get from now on.
#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/open_station.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/record_args.h"
#include "stillpoint/app/verbs.h"
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

constexpr const char* kNext =
    "a station that runs takes it within seconds; stillpoint position shows "
    "it in other frames and epochs";

struct Adopted {
  std::string database;
  StoredRecord stored;
  Adoption adoption;
  std::optional<std::int64_t> before;  // the record that held until now
  // What rovers see move, ARP to ARP; nothing where it cannot be compared.
  std::optional<Enu> moved_m;
  std::vector<solve::Warning> warnings;
};

Result<StoredRecord> find_record(const AdoptArgs& args,
                                 const OpenStation& station,
                                 const PositionRecords& records) {
  auto found = records.find(args.record);
  if (!found) {
    return fail(std::move(found.error()));
  }
  const std::string list =
      "stillpoint candidates --config " + args.config + " lists the records";
  if (!*found) {
    return fail(ErrorCode::kNoData,
                fmt::format("there is no record {}", args.record),
                station.database,
                list);
  }
  const std::string& frame = (*found)->record.position.frame.name;
  if (!family_member(frame)) {
    return fail(ErrorCode::kFrameUnknown,
                fmt::format("record {} is in '{}', and rovers could not be "
                            "told what that is",
                            args.record,
                            frame),
                station.database,
                "adopt a record in ITRF2014, ITRF2020 or a frame that "
                "docs/frames.md ties to one of them; " +
                    list);
  }
  return std::move(**found);
}

// Where the antenna stands by the old record, seen from the new one's.
std::optional<Enu> movement(const PositionRecord& from,
                            const PositionRecord& to) {
  const FramedPosition here = report::arp_of(to);
  const auto there = carry(report::arp_of(from), {here.frame, here.epoch, ""});
  if (!there) {
    return std::nullopt;
  }
  return rotate(enu_R_ecef(to_geodetic(here.ecef)),
                here.ecef - there->position.ecef);
}

void warn_height(const config::AntennaSection& antenna,
                 const StoredRecord& stored,
                 std::vector<solve::Warning>& into) {
  constexpr double kMattersM = 0.0005;
  if (!antenna.height_m) {
    return;
  }
  const double apart_m =
      std::abs(*antenna.height_m - stored.record.delta_enu_m[2]);
  if (apart_m > kMattersM) {
    into.push_back(
        {"antenna_height_differs",
         fmt::format("the record was made with the antenna {:.4f} m above the "
                     "marker, the settings say {:.4f} m (height_m of "
                     "[antenna])",
                     stored.record.delta_enu_m[2],
                     *antenna.height_m),
         apart_m});
  }
}

Result<Adopted> adopt(const AdoptArgs& args) {
  auto station = open_station(args.config);
  if (!station) {
    return fail(std::move(station.error()));
  }
  PositionRecords& records = station->store.positions();
  auto stored = find_record(args, *station, records);
  if (!stored) {
    return fail(std::move(stored.error()));
  }
  const auto before = records.adopted();
  if (!before) {
    return fail(before.error());
  }
  const ChangeNote note = note_by(args.by);
  const auto id = records.adopt(args.record, args.reason, note);
  if (!id) {
    return fail(id.error());
  }
  Adopted out;
  out.database = station->database;
  out.adoption = {*id, args.record, note.at, args.by, args.reason};
  if (*before) {
    out.before = (*before)->first.id;
    out.moved_m = movement((*before)->first.record, stored->record);
  }
  out.warnings = report::warnings_of_adopted(*stored, "", note.at);
  warn_height(station->settings.antenna, *stored, out.warnings);
  out.stored = std::move(*stored);
  return out;
}

std::string document(const Adopted& a) {
  const PositionRecord& r = a.stored.record;
  Json moved;
  if (a.moved_m) {
    const Enu& m = *a.moved_m;
    moved = report::triple(Enu{1e3 * m.e_m, 1e3 * m.n_m, 1e3 * m.u_m}, 1e2);
  }
  return report::to_text(
      {{"schema_version", report::kSchemaVersion},
       {"database", a.database},
       {"adoption", report::adoption_json(a.adoption)},
       {"record", report::record_json(a.stored)},
       {"position", report::points_json(r.position, r.delta_enu_m)},
       {"before", a.before ? Json(*a.before) : Json()},
       {"moved_enu_mm", std::move(moved)},
       {"warnings", report::warnings_json(a.warnings)},
       {"next", kNext}});
}

std::string text(const Adopted& a) {
  using report::paragraph;
  const FramedPosition arp = report::arp_of(a.stored.record);
  std::string out;
  paragraph(out,
            "Adopted",
            fmt::format(
                "record {}: {}", a.stored.id, report::record_words(a.stored)));
  paragraph(out, "Reason", a.adoption.why);
  paragraph(out,
            "Rovers get",
            fmt::format("X {:.4f}  Y {:.4f}  Z {:.4f} m, the antenna's "
                        "reference point in {} at {}",
                        arp.ecef.x_m,
                        arp.ecef.y_m,
                        arp.ecef.z_m,
                        arp.frame.name,
                        format_utc(arp.epoch)));
  if (a.moved_m) {
    paragraph(out,
              "They move",
              fmt::format("east {:+.1f}, north {:+.1f}, up {:+.1f} mm against "
                          "record {}, adopted until now",
                          a.moved_m->e_m * 1e3,
                          a.moved_m->n_m * 1e3,
                          a.moved_m->u_m * 1e3,
                          *a.before));
  }
  for (const solve::Warning& warning : a.warnings) {
    paragraph(out, "Note", warning.what);
  }
  paragraph(out, "Next", kNext);
  return out;
}

}  // namespace

int run_adopt(const Arguments& arguments) {
  const auto args = parse_adopt(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpAdopt) ? kExitGood : kExitSystem;
  }
  const auto adopted = adopt(*args);
  if (!adopted) {
    return report_station_error(adopted.error(), args->config, arguments.json);
  }
  const bool printed =
      print_data(arguments.json ? document(*adopted) : text(*adopted));
  if (!printed) {
    print_note(
        "stillpoint: the record is adopted, but the answer could not "
        "be printed\n");
  }
  return printed ? kExitGood : kExitSystem;
}

}  // namespace stillpoint::app
