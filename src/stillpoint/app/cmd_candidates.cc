// `stillpoint candidates`: position records, added and compared.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/open_station.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/record_args.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/pack/digest.h"
#include "stillpoint/report/candidates_compare.h"
#include "stillpoint/report/candidates_text.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/record_document.h"
#include "stillpoint/report/record_json.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::app {
namespace {

using Json = nlohmann::ordered_json;

// What is to be added, and what became of it.
struct Addition {
  std::string path;  // empty for a typed one
  PositionRecord record;
  std::int64_t id = 0;
  bool is_new = false;
};

Result<Addition> read_document(const std::string& path) {
  auto text = station::read_small_file(path, report::kMostDocumentBytes);
  if (!text) {
    return fail(std::move(text.error()));
  }
  auto sha256 = sha256_of_text(*text);
  if (!sha256) {
    return fail(std::move(sha256.error()));
  }
  auto record = report::parse_record_document(*text, std::move(*sha256), path);
  if (!record) {
    return fail(std::move(record.error()));
  }
  return Addition{path, std::move(*record), 0, false};
}

// Before the rights change: the files may be root's.
Result<std::vector<Addition>> read_documents(const CandidatesArgs& args) {
  std::vector<Addition> out;
  out.reserve(args.add.size() + 1);
  for (const std::string& path : args.add) {
    auto one = read_document(path);
    if (!one) {
      return fail(std::move(one.error()));
    }
    out.push_back(std::move(*one));
  }
  return out;
}

// The antenna over the typed marker is the one that the settings describe.
PositionRecord typed_record(const TypedCoordinate& typed,
                            const config::AntennaSection& antenna) {
  PositionRecord out;
  out.origin = RecordOrigin::kByHand;
  out.method = "by-hand";
  const auto& s = typed.sigma_enu_m;
  const Mat3 turn = enu_R_ecef(to_geodetic(typed.position_m));
  out.position = {
      typed.position_m,
      typed.frame,
      typed.epoch,
      covariance_to_ecef(
          turn, {s[0] * s[0], 0, 0, 0, s[1] * s[1], 0, 0, 0, s[2] * s[2]}),
      Point::kMarker};
  out.antenna_type = antenna.type;
  out.delta_enu_m = {antenna.east_m.value_or(0),
                     antenna.north_m.value_or(0),
                     antenna.height_m.value_or(0)};
  out.source = typed.source;
  return out;
}

Status add_all(std::vector<Addition>& additions, PositionRecords& records) {
  const auto before = records.list();
  if (!before) {
    return fail(before.error());
  }
  std::int64_t last = before->empty() ? 0 : before->front().id;
  for (Addition& one : additions) {
    const auto id = records.add(one.record, note_by("command line"));
    if (!id) {
      Error error = id.error();
      error.where = one.path.empty() ? "--by-hand" : one.path;
      return fail(std::move(error));
    }
    one.id = *id;
    one.is_new = *id > last;
    last = std::max(last, *id);
  }
  return ok();
}

struct Comparison {
  std::string database;
  std::vector<Addition> added;
  report::CandidateTable table;
  bool height_unsaid = false;  // of the antenna over a typed marker
};

Result<Comparison> compare(const CandidatesArgs& args) {
  auto additions = read_documents(args);
  if (!additions) {
    return fail(std::move(additions.error()));
  }
  auto station = open_station(args.config);
  if (!station) {
    return fail(std::move(station.error()));
  }
  Comparison out;
  if (args.typed) {
    const config::AntennaSection& antenna = station->settings.antenna;
    additions->push_back({"", typed_record(*args.typed, antenna), 0, false});
    out.height_unsaid = !antenna.height_m;
  }
  PositionRecords& records = station->store.positions();
  if (auto added = add_all(*additions, records); !added) {
    return fail(std::move(added.error()));
  }
  const auto list = records.list();
  if (!list) {
    return fail(list.error());
  }
  const auto adopted = records.adopted();
  if (!adopted) {
    return fail(adopted.error());
  }
  report::CandidateQuestion question;
  if (*adopted) {
    question.adopted = (*adopted)->first.id;
  }
  question.frame = args.wanted.frame;
  question.epoch = args.wanted.epoch;
  question.plate = args.wanted.plate;
  question.now = station::wall_now();
  out.database = station->database;
  out.added = std::move(*additions);
  out.table = report::compare_records(*list, question);
  if (out.height_unsaid) {
    out.table.warnings.push_back(
        {"antenna_height_unknown",
         "the typed coordinate is that of the marker, and the settings do not "
         "say how high the antenna stands above it (height_m of [antenna]): 0 "
         "is taken. Rovers get the antenna's reference point",
         std::nullopt});
  }
  return out;
}

std::string document(const Comparison& c) {
  Json added = Json::array();
  for (const Addition& one : c.added) {
    added.push_back({{"path", one.path.empty() ? Json() : Json(one.path)},
                     {"id", one.id},
                     {"new", one.is_new}});
  }
  Json out = {{"schema_version", report::kSchemaVersion},
              {"database", c.database},
              {"added", std::move(added)}};
  out.update(report::candidates_json(c.table));
  return report::to_text(out);
}

std::string text(const Comparison& c) {
  std::string out;
  for (const Addition& one : c.added) {
    out += fmt::format("{}: record {}{}\n",
                       one.is_new ? "added" : "there already",
                       one.id,
                       one.path.empty() ? ", by hand" : " from " + one.path);
  }
  return out + report::candidates_text(c.table);
}

bool disagrees(const report::CandidateTable& table) {
  return table.adopted &&
         std::any_of(table.rows.begin(), table.rows.end(), [](const auto& row) {
           return row.agrees == false;
         });
}

}  // namespace

int run_candidates(const Arguments& arguments) {
  const auto args = parse_candidates(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpCandidates) ? kExitGood : kExitSystem;
  }
  const auto compared = compare(*args);
  if (!compared) {
    return report_station_error(compared.error(), args->config, arguments.json);
  }
  if (!print_data(arguments.json ? document(*compared) : text(*compared))) {
    return kExitSystem;
  }
  return disagrees(compared->table) ? kExitNo : kExitGood;
}

}  // namespace stillpoint::app
