// The coordinate: candidates compared, one adopted, records brought.
#include <algorithm>
#include <cmath>

#include "stillpoint/api/console/csv.h"
#include "stillpoint/api/console/documents.h"
#include "stillpoint/api/console/json_body.h"
#include "stillpoint/api/console/routes.h"
#include "stillpoint/datum/frames.h"
#include "stillpoint/datum/itrf_carry.h"
#include "stillpoint/pack/digest.h"
#include "stillpoint/report/candidates_compare.h"
#include "stillpoint/report/record_document.h"
#include "stillpoint/report/record_json.h"
#include "stillpoint/report/record_points.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::api {
namespace {

constexpr double kMm = 1000, kHundredth = 0.01;
constexpr double kHourS = 3600;

Json enu_mm(const Enu& v) {
  return three({v.e_m, v.n_m, v.u_m}, kMm, kHundredth);
}

// Rovers are sent coordinates of the ITRF's younger family only.
bool is_adoptable(const PositionRecord& record) {
  return family_member(record.position.frame.name).has_value();
}

Json candidate_json(const report::CandidateRow& row, bool guest) {
  const PositionRecord& record = row.stored.record;
  const FramedPosition marker = report::marker_of(record);
  return {
      {"id", row.stored.id},
      {"method", record.method},
      {"products", text_or_null(record.products)},
      {"origin", record_origin_name(record.origin)},
      {"source", text_or_null(record.source)},
      {"added", time_text(row.stored.added)},
      {"by", guest ? Json(nullptr) : text_or_null(row.stored.by)},
      {"first", time_or_null(record.first)},
      {"end", time_or_null(record.end)},
      {"hours", number_or_null(row.span_h, kHundredth)},
      {"frame", record.position.frame.name},
      {"epoch", time_text(record.position.epoch)},
      {"ecef_m", guest ? Json(nullptr) : ecef_json(marker.ecef)},
      {"geodetic_deg_m", guest ? Json(nullptr) : geodetic_json(marker.ecef)},
      {"sigma_enu_mm", three(row.sigma_enu_m, kMm, kHundredth)},
      {"difference_enu_mm",
       row.difference_m ? enu_mm(*row.difference_m) : Json(nullptr)},
      {"agrees", or_null(row.agrees)},
      {"why", row.why},
      {"adopted", row.adopted},
      {"adoptable", is_adoptable(record)}};
}

// The position's way to certainty: the station's own solves, in their order.
Json growth_json(const std::vector<StoredRecord>& records) {
  Json at = Json::array(), hours = Json::array(), e = Json::array(),
       n = Json::array(), u = Json::array(), method = Json::array(),
       id = Json::array();
  for (auto stored = records.rbegin(); stored != records.rend(); ++stored) {
    const PositionRecord& record = stored->record;
    if (record.origin != RecordOrigin::kStation || !record.first ||
        !record.end) {
      continue;
    }
    const auto sigma = report::sigma_enu_m(record.position);
    at.push_back(unix_seconds(*record.end));
    hours.push_back(
        rounded((*record.end - *record.first).s / kHourS, kHundredth));
    e.push_back(rounded(sigma[0] * kMm, kHundredth));
    n.push_back(rounded(sigma[1] * kMm, kHundredth));
    u.push_back(rounded(sigma[2] * kMm, kHundredth));
    method.push_back(record.method);
    id.push_back(stored->id);
  }
  return {{"unix_s", std::move(at)},
          {"hours", std::move(hours)},
          {"sigma_e_mm", std::move(e)},
          {"sigma_n_mm", std::move(n)},
          {"sigma_u_mm", std::move(u)},
          {"method", std::move(method)},
          {"record", std::move(id)}};
}

Json adoption_json(const Adoption& adoption, bool guest) {
  return {{"id", adoption.id},
          {"record", adoption.record},
          {"at", time_text(adoption.at)},
          {"by", guest ? Json(nullptr) : Json(adoption.by)},
          {"why", adoption.why}};
}

Json adopted_json(const StoredRecord& stored,
                  const Adoption& adoption,
                  bool guest) {
  const PositionRecord& record = stored.record;
  const FramedPosition marker = report::marker_of(record);
  const auto place = [&](Json value) {
    return guest ? Json(nullptr) : std::move(value);
  };
  return {{"record", stored.id},
          {"method", record.method},
          {"at", time_text(adoption.at)},
          {"by", place(adoption.by)},
          {"why", adoption.why},
          {"frame", record.position.frame.name},
          {"epoch", time_text(record.position.epoch)},
          {"ecef_m", place(ecef_json(marker.ecef))},
          {"geodetic_deg_m", place(geodetic_json(marker.ecef))},
          {"sigma_enu_mm", three(report::sigma_enu_m(marker), kMm, kHundredth)},
          {"point", "marker"},
          {"arp_ecef_m", place(ecef_json(report::arp_of(record).ecef))}};
}

Problem refused(const char* field,
                std::string detail,
                std::string remedy = {}) {
  return {422, "refused", std::move(detail), std::move(remedy), field, {}};
}

// A coordinate that was typed, with whose it is.
tl::expected<PositionRecord, Problem> typed_record(
    const nlohmann::json& object, const ConsoleFacts& station) {
  JsonBody body(object);
  PositionRecord record;
  record.delta_enu_m = station.antenna_delta_enu_m;
  record.antenna_type = station.antenna_type;
  record.origin = RecordOrigin::kByHand;
  record.method = "by-hand";
  const auto ecef = body.three("ecef_m");
  const auto sigma_mm = body.three("sigma_enu_mm");
  const std::string frame = body.text("frame"), epoch = body.text("epoch");
  const std::string point = body.maybe_text("point").value_or("marker");
  record.source = body.text("source");
  if (auto problem = body.finish()) {
    return tl::unexpected(std::move(*problem));
  }
  const FrameLabel label = frame_of_label(frame);
  if (!label.known) {
    return tl::unexpected(refused(
        "frame", "This frame is not known.", "docs/frames.md has the labels."));
  }
  const auto time = parse_time(epoch);
  if (!time) {
    return tl::unexpected(
        refused("epoch", "The epoch is a year such as 2024.9, or a date."));
  }
  if (point != "marker" && point != "arp") {
    return tl::unexpected(refused("point", "One of marker, arp."));
  }
  if (*std::min_element(sigma_mm.begin(), sigma_mm.end()) <= 0) {
    return tl::unexpected(refused(
        "sigma_enu_mm", "Each of the three is more than nothing, in mm."));
  }
  record.position.ecef = {ecef[0], ecef[1], ecef[2]};
  record.position.frame = label.frame;
  record.position.epoch = *time;
  record.position.point = point == "arp" ? Point::kArp : Point::kMarker;
  Cov3 enu{};
  for (std::size_t i = 0; i < 3; ++i) {
    const double sigma_m = sigma_mm.at(i) / kMm;
    enu.at(4 * i) = sigma_m * sigma_m;
  }
  record.position.covariance_m2 =
      covariance_to_ecef(enu_R_ecef(to_geodetic(record.position.ecef)), enu);
  return record;
}

tl::expected<PositionRecord, net::HttpResponse> record_of(const Call& call) {
  if (call.body.contains("by_hand") && call.body.size() == 1) {
    if (!call.body["by_hand"].is_object()) {
      return tl::unexpected(problem_answer(
          {400, "malformed", "'by_hand' is no object.", "", "by_hand", {}}));
    }
    auto typed = typed_record(call.body["by_hand"], call.backend.facts());
    if (!typed) {
      return tl::unexpected(problem_answer(typed.error()));
    }
    return std::move(*typed);
  }
  auto sha256 = sha256_of_text(call.request.body);
  if (!sha256) {
    return tl::unexpected(problem_of(sha256.error()));
  }
  auto record = report::parse_record_document(
      call.request.body, std::move(*sha256), "the document");
  if (!record) {
    Problem problem = refused("", record.error().what, record.error().remedy);
    return tl::unexpected(problem_answer(problem));
  }
  return std::move(*record);
}

}  // namespace

net::HttpResponse get_coordinate(Call& call) {
  PositionRecords& positions = call.backend.store().positions();
  const auto records = positions.list();
  const auto adoptions = positions.adoptions();
  if (!records || !adoptions) {
    return problem_of(records ? adoptions.error() : records.error());
  }
  const bool guest = call.is_guest();
  report::CandidateQuestion question;
  question.now = call.backend.data_now();
  if (!adoptions->empty()) {
    question.adopted = adoptions->front().record;
  }
  const report::CandidateTable table =
      report::compare_records(*records, question);
  Json candidates = Json::array(), history = Json::array(), adopted = nullptr;
  std::string plate;
  for (const report::CandidateRow& row : table.rows) {
    candidates.push_back(candidate_json(row, guest));
    if (row.adopted) {
      adopted = adopted_json(row.stored, adoptions->front(), guest);
    }
    plate = row.moved_by == "none" ? plate : row.moved_by;
  }
  if (call.wants_csv()) {
    return csv_answer(candidates, "candidates.csv");
  }
  for (const Adoption& adoption : *adoptions) {
    history.push_back(adoption_json(adoption, guest));
  }
  return json_answer(
      200,
      {{"schema_version", kApiSchemaVersion},
       {"frame", text_or_null(table.frame.name)},
       {"epoch",
        table.rows.empty() ? Json(nullptr) : Json(time_text(table.epoch))},
       {"plate", text_or_null(plate)},
       {"adopted", std::move(adopted)},
       {"candidates", std::move(candidates)},
       {"growth", growth_json(*records)},
       {"adoptions", std::move(history)},
       {"live", live_json(call.backend.live(), guest)},
       {"warnings", report::warnings_json(table.warnings)}});
}

net::HttpResponse post_adoption(Call& call) {
  JsonBody body(call.body);
  const std::int64_t record = body.whole("record");
  const std::string why = body.text("why");
  if (const auto problem = body.finish()) {
    return problem_answer(*problem);
  }
  PositionRecords& positions = call.backend.store().positions();
  const auto stored = positions.find(record);
  if (!stored) {
    return problem_of(stored.error());
  }
  if (!*stored) {
    return problem_answer(
        {404, "not_found", "There is no such record.", "", "record", {}});
  }
  if (!is_adoptable((*stored)->record)) {
    return problem_answer(
        refused("record",
                "This record's frame cannot be brought to ITRF2020: rovers "
                "would be led astray by it.",
                "Bring the coordinate in ITRF2014 or ITRF2020, or in a frame "
                "that is aligned to them."));
  }
  const auto adopted = positions.adopt(record, why, call.note());
  if (!adopted) {
    if (adopted.error().code == ErrorCode::kOutOfRange) {
      return problem_answer(
          refused("why", adopted.error().what, "Say in a line why this one."));
    }
    return problem_of(adopted.error());
  }
  call.backend.changed();
  return json_answer(
      201,
      {{"schema_version", kApiSchemaVersion},
       {"adoption",
        adoption_json(
            {*adopted, record, call.backend.wall(), call.note().by, why},
            false)}});
}

net::HttpResponse post_record(Call& call) {
  const auto record = record_of(call);
  if (!record) {
    return record.error();
  }
  const auto id = call.backend.store().positions().add(*record, call.note());
  if (!id) {
    if (id.error().code == ErrorCode::kOutOfRange) {
      return problem_answer(refused("", id.error().what, id.error().remedy));
    }
    return problem_of(id.error());
  }
  call.backend.changed();
  return json_answer(201,
                     {{"schema_version", kApiSchemaVersion}, {"record", *id}});
}

}  // namespace stillpoint::api
