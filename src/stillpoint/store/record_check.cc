#include "stillpoint/store/record_check.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "stillpoint/store/plain_text.h"

namespace stillpoint {
namespace {

// From below the sea's deepest floor at a pole (6.357e6 m from the centre) to
// above any mountain at the equator (6.385e6 m), with room.
constexpr double kLeastRadiusM = 6.3e6;
constexpr double kMostRadiusM = 6.5e6;
constexpr double kMostDeltaM = 1000;
// Of the largest variance: what digits in a text cost.
constexpr double kAsymmetry = 1e-6;

constexpr std::size_t kMostWordBytes = 64;
constexpr std::size_t kMostSourceBytes = 500;
constexpr std::size_t kMostDocumentBytes = std::size_t{4} << 20U;
constexpr std::size_t kSha256Digits = 64;

tl::unexpected<Error> out_of_range(std::string what, std::string remedy = {}) {
  return fail(ErrorCode::kOutOfRange, std::move(what), {}, std::move(remedy));
}

// A line that may be missing.
Status check_optional_line(std::string_view text,
                           std::string_view what,
                           std::size_t most_bytes) {
  return text.empty() ? ok() : check_line(text, what, most_bytes);
}

Status check_place(const FramedPosition& position) {
  if (position.point == Point::kPhaseCentre) {
    return out_of_range(
        "a position record is of the marker or of the antenna's reference "
        "point, never of a phase centre",
        "take the antenna's phase centre offset off first");
  }
  const double radius_m = norm(position.ecef);
  // So that what is not a number is refused too.
  if (!(radius_m >= kLeastRadiusM && radius_m <= kMostRadiusM)) {
    return out_of_range(
        "the position is not on the Earth's surface: it is " +
            std::to_string(radius_m) + " m from the Earth's centre",
        "give X, Y and Z in metres from the Earth's centre (6.3e6 to 6.5e6 m)");
  }
  return check_line(position.frame.name, "the frame's name", kMostWordBytes);
}

// By its Cholesky decomposition.
bool is_positive(const Cov3& c) {
  if (!(c[0] > 0)) {
    return false;
  }
  const double l10 = c[3] / c[0];
  const double d1 = c[4] - l10 * c[3];
  if (!(d1 > 0)) {
    return false;
  }
  const double l20 = c[6] / c[0];
  const double l21 = (c[7] - l20 * c[3]) / d1;
  return c[8] - l20 * c[6] - l21 * l21 * d1 > 0;
}

Status check_covariance(const Cov3& c) {
  const bool finite = std::all_of(
      c.begin(), c.end(), [](double value) { return std::isfinite(value); });
  const double limit = kAsymmetry * std::max({c[0], c[4], c[8]});
  const bool symmetric = std::abs(c[1] - c[3]) <= limit &&
                         std::abs(c[2] - c[6]) <= limit &&
                         std::abs(c[5] - c[7]) <= limit;
  if (!finite || !symmetric || !is_positive(c)) {
    return out_of_range(
        "the covariance of the position is not symmetric and positive",
        "give standard deviations that are above 0, in metres");
  }
  return ok();
}

Status check_document(const PositionRecord& record) {
  if (record.document.size() > kMostDocumentBytes) {
    return fail(ErrorCode::kTooLarge,
                "the record's document has " +
                    std::to_string(record.document.size()) +
                    " bytes, and at most 4 MiB are kept",
                {},
                "bring the document of one solution only");
  }
  if (record.document.empty() != record.document_sha256.empty()) {
    return out_of_range("a document and its checksum belong together");
  }
  const bool digits = std::all_of(
      record.document_sha256.begin(), record.document_sha256.end(), [](char c) {
        return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
      });
  if (!record.document.empty() &&
      (!digits || record.document_sha256.size() != kSha256Digits)) {
    return out_of_range(
        "the document's checksum is not 64 lower-case hexadecimal digits");
  }
  if (!is_utf8_text(record.document)) {
    return out_of_range("the record's document is no UTF-8 text");
  }
  return ok();
}

Status check_data(const PositionRecord& record) {
  if (record.first.has_value() != record.end.has_value() ||
      (record.first && *record.first > *record.end)) {
    return out_of_range(
        "the data of a position record have a begin and, not before it, an "
        "end");
  }
  for (const double delta_m : record.delta_enu_m) {
    if (!(std::abs(delta_m) <= kMostDeltaM)) {
      return out_of_range(
          "the antenna's reference point is not within 1000 m of its marker");
    }
  }
  if (record.origin != RecordOrigin::kByHand) {
    return ok();
  }
  if (record.source.empty()) {
    return out_of_range("a position typed by hand needs its source",
                        "say in words whose coordinate it is");
  }
  if (!record.document.empty() || record.first) {
    return out_of_range(
        "a position typed by hand has neither a document nor data");
  }
  return ok();
}

}  // namespace

Status check_line(std::string_view text,
                  std::string_view what,
                  std::size_t most_bytes) {
  if (!is_plain_name(text, most_bytes)) {
    return out_of_range(std::string(what) + " is no line of 1 to " +
                        std::to_string(most_bytes) +
                        " bytes without control characters");
  }
  return ok();
}

Status check_record(const PositionRecord& record) {
  const auto& r = record;
  return check_place(r.position)
      .and_then(
          [&](auto) { return check_covariance(r.position.covariance_m2); })
      .and_then([&](auto) {
        return check_line(r.method, "the method", kMostWordBytes);
      })
      .and_then([&](auto) {
        return check_optional_line(
            r.antenna_type, "the antenna's type", kMostWordBytes);
      })
      .and_then([&](auto) {
        return check_optional_line(
            r.products, "the kind of products", kMostWordBytes);
      })
      .and_then([&](auto) {
        return check_optional_line(
            r.program_version, "the program's version", kMostWordBytes);
      })
      .and_then([&](auto) {
        return check_optional_line(
            r.source, "the position's source", kMostSourceBytes);
      })
      .and_then([&](auto) { return check_document(r); })
      .and_then([&](auto) { return check_data(r); });
}

}  // namespace stillpoint
