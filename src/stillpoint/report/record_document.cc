#include "stillpoint/report/record_document.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/datum/frames.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/record_value.h"

namespace stillpoint::report {
namespace {

using Json = nlohmann::json;
using Value = RecordValue;

// Deeper than any document of ours; what is nested without end costs memory.
constexpr int kMostDepth = 16;

bool nested_too_deep(std::string_view text) {
  int depth = 0;
  bool in_text = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (in_text) {
      i += c == '\\' ? 1 : 0;
      in_text = c != '"';
    } else if (c == '"') {
      in_text = true;
    } else if (c == '{' || c == '[') {
      if (++depth > kMostDepth) {
        return true;
      }
    } else if (c == '}' || c == ']') {
      --depth;
    }
  }
  return false;
}

// Symmetric to the last digits printed, and positive.
bool is_covariance(const Cov3& c) {
  const double scale = c[0] + c[4] + c[8];
  for (const auto& [a, b] : {std::pair{1U, 3U}, {2U, 6U}, {5U, 7U}}) {
    if (!(std::abs(c.at(a) - c.at(b)) <= 1e-9 * scale)) {
      return false;
    }
  }
  const double two = c[0] * c[4] - c[1] * c[1];
  const double three = c[0] * (c[4] * c[8] - c[5] * c[5]) -
                       c[1] * (c[1] * c[8] - c[5] * c[2]) +
                       c[2] * (c[1] * c[5] - c[4] * c[2]);
  return c[0] > 0 && two > 0 && three > 0;
}

Result<Cov3> read_covariance(const Value& position) {
  const auto value = position.at("covariance_ecef_m2");
  if (!value) {
    return fail(value.error());
  }
  Cov3 out{};
  const Json& rows = value->json();
  if (!rows.is_array() || rows.size() != 3) {
    return value->bad("is no list of 3 rows");
  }
  static const std::string nowhere;
  for (std::size_t row = 0; row < 3; ++row) {
    const auto numbers = Value(rows[row], "", nowhere).numbers<3>();
    if (!numbers) {
      return value->bad("is no list of 3 rows of 3 numbers");
    }
    std::copy(numbers->begin(),
              numbers->end(),
              out.begin() + static_cast<std::ptrdiff_t>(3 * row));
  }
  if (!is_covariance(out)) {
    return value->bad("is no covariance: it must be symmetric and positive");
  }
  out[3] = out[1];
  out[6] = out[2];
  out[7] = out[5];
  return out;
}

Status read_frame(const Value& position, FramedPosition& into) {
  const auto frame = position.at("frame");
  if (!frame) {
    return fail(frame.error());
  }
  if (frame->json().is_null()) {
    Error none = frame->bad("is null: nobody said which frame this is").value();
    none.code = ErrorCode::kFrameUnknown;
    none.remedy =
        "solve again, and say the frame of the known coordinates with --frame "
        "NAME@EPOCH";
    return fail(std::move(none));
  }
  const auto name = position.text("frame");
  if (!name) {
    return fail(name.error());
  }
  into.frame = frame_of_label(*name).frame;
  if (into.frame.name.empty()) {
    return frame->bad("is empty");
  }
  return ok();
}

Result<Point> read_point(const Value& position) {
  const auto name = position.text("point");
  if (!name) {
    return fail(name.error());
  }
  for (const Point point : {Point::kMarker, Point::kArp}) {
    if (*name == point_name(point)) {
      return point;
    }
  }
  return position.at("point")->bad("is neither 'marker' nor 'arp'");
}

Result<FramedPosition> read_position(const Value& document) {
  // Away from any place where an antenna can be.
  constexpr double kLeastM = 6.3e6, kMostM = 6.5e6;
  FramedPosition out;
  const auto value = document.at("position");
  if (!value) {
    return fail(value.error());
  }
  const auto ecef = value->triple("ecef_m");
  if (!ecef) {
    return fail(ecef.error());
  }
  out.ecef = {(*ecef)[0], (*ecef)[1], (*ecef)[2]};
  if (!(norm(out.ecef) >= kLeastM && norm(out.ecef) <= kMostM)) {
    return value->at("ecef_m")->bad("is not on the Earth's surface");
  }
  if (auto framed = read_frame(*value, out); !framed) {
    return fail(std::move(framed.error()));
  }
  const auto epoch = value->time("epoch", false);
  if (!epoch) {
    return fail(epoch.error());
  }
  out.epoch = **epoch;
  const auto point = read_point(*value);
  if (!point) {
    return fail(point.error());
  }
  out.point = *point;
  const auto covariance = read_covariance(*value);
  if (!covariance) {
    return fail(covariance.error());
  }
  out.covariance_m2 = *covariance;
  return out;
}

Status read_antenna(const Value& document, PositionRecord& into) {
  const auto antenna = document.at("antenna");
  if (!antenna) {
    return fail(antenna.error());
  }
  auto type = antenna->text("type");
  if (!type) {
    return fail(std::move(type.error()));
  }
  into.antenna_type = std::move(*type);
  const auto delta = antenna->triple("delta_enu_m");
  if (!delta) {
    return fail(delta.error());
  }
  into.delta_enu_m = *delta;
  return ok();
}

Status read_span(const Value& document, PositionRecord& into) {
  const auto span = document.at("span");
  if (!span) {
    return fail(span.error());
  }
  const auto first = span->time("first", true);
  if (!first) {
    return fail(first.error());
  }
  const auto last = span->time("last", true);
  if (!last) {
    return fail(last.error());
  }
  into.first = *first;
  into.end = *last;
  if (into.first.has_value() != into.end.has_value() ||
      (into.first && *into.end < *into.first)) {
    return span->bad("ends before it begins");
  }
  return ok();
}

// The class of the products, by the names of the inputs.
Status read_products(const Value& document, PositionRecord& into) {
  const auto inputs = document.at("inputs");
  if (!inputs) {
    return fail(inputs.error());
  }
  if (!inputs->json().is_array()) {
    return inputs->bad("is no list");
  }
  ProductClass products;
  static const std::string nowhere;
  for (const Json& input : inputs->json()) {
    const auto path = Value(input, "", nowhere).text("path");
    if (!path) {
      return inputs->bad("has an entry without its path");
    }
    products.add(*path);
  }
  into.products = products.name();
  return ok();
}

Status read_method(const Value& document, PositionRecord& into) {
  constexpr std::array kMethods{
      "code", "ppp-float", "ppp-fixed", "tie-float", "tie-fixed"};
  auto method = document.text("method");
  if (!method) {
    return fail(std::move(method.error()));
  }
  if (std::find(kMethods.begin(), kMethods.end(), *method) == kMethods.end()) {
    return document.at("method")->bad("is no method of locate or tie");
  }
  into.method = std::move(*method);
  return ok();
}

// Whether it may become a record at all.
Status check_fit(const Value& document, const std::string& where) {
  const auto version = document.at("schema_version");
  if (!version) {
    return fail(version.error());
  }
  if (version->json() != kSchemaVersion) {
    return fail(ErrorCode::kUnsupported,
                "schema_version is not " + std::to_string(kSchemaVersion),
                where,
                "bring a document of this version of stillpoint");
  }
  const auto status = document.text("status");
  if (!status) {
    return fail(status.error());
  }
  if (*status == "not_converged" || *status == "failed") {
    const auto why = document.text("why");
    return fail(ErrorCode::kNoData,
                "its status is " + *status + (why ? ": " + *why : ""),
                where,
                "record longer under an open sky and solve again; only a "
                "converged solution becomes a record");
  }
  if (*status != "converged") {
    return document.at("status")->bad("is no status of locate or tie");
  }
  const auto without = document.at("without");
  if (!without) {
    return fail(without.error());
  }
  if (!without->json().is_array()) {
    return without->bad("is no list");
  }
  if (!without->json().empty()) {
    return fail(ErrorCode::kNoData,
                "corrections were left out on request (key 'without'): it is "
                "no position to use",
                where,
                "solve again without the option --without");
  }
  return ok();
}

Result<PositionRecord> read_record(const Value& document,
                                   const std::string& where) {
  if (auto fits = check_fit(document, where); !fits) {
    return fail(std::move(fits.error()));
  }
  PositionRecord out;
  out.origin = RecordOrigin::kImported;
  auto position = read_position(document);
  if (!position) {
    return fail(std::move(position.error()));
  }
  out.position = std::move(*position);
  auto version = document.text("version");
  if (!version) {
    return fail(std::move(version.error()));
  }
  out.program_version = std::move(*version);
  for (const auto read :
       {read_method, read_antenna, read_span, read_products}) {
    if (auto done = read(document, out); !done) {
      return fail(std::move(done.error()));
    }
  }
  return out;
}

}  // namespace

Result<PositionRecord> parse_record_document(std::string_view text,
                                             std::string sha256,
                                             const std::string& where) {
  if (text.size() > kMostDocumentBytes) {
    return fail(ErrorCode::kTooLarge,
                "the document has more than 4 MiB",
                where,
                "give what locate --json or tie --json printed");
  }
  const Json json = nested_too_deep(text) ? Json(Json::value_t::discarded)
                                          : Json::parse(text, nullptr, false);
  if (json.is_discarded() || !json.is_object()) {
    return fail(ErrorCode::kBadFormat,
                "it is no JSON document of one object",
                where,
                "give the document that locate --json or tie --json printed, "
                "or its --out file");
  }
  auto record = read_record(Value(json, "", where), where);
  if (record) {
    record->document = text;
    record->document_sha256 = std::move(sha256);
  }
  return record;
}

}  // namespace stillpoint::report
