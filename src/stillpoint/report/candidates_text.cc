#include "stillpoint/report/candidates_text.h"

#include <fmt/format.h>

#include <cmath>

#include "stillpoint/report/paragraph.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

constexpr double kMm = 1e3;

std::string millimetres(double m) {
  const double tenths = std::round(m * kMm * 10);
  return fmt::format("{:+.1f}", tenths == 0 ? 0 : tenths / 10);
}

// Why a row has no difference, or what it says.
std::string verdict(const CandidateRow& row, const CandidateTable& table) {
  if (row.why == "reference") {
    return row.adopted ? "adopted; the others count from it"
                       : "the others count from it";
  }
  if (row.agrees) {
    return *row.agrees ? "agrees" : "DISAGREES";
  }
  if (row.why == "frame_unknown") {
    return fmt::format("cannot be compared: {} is not tied to {}",
                       row.stored.record.position.frame.name,
                       table.frame.name);
  }
  if (row.why == "plate_unknown") {
    return "cannot be compared: another epoch, and no --plate";
  }
  return "cannot be compared";
}

std::string tags(const CandidateRow& row) {
  return fmt::format(
      "{}{}", row.adopted ? " (adopted)" : "", row.best ? " (surest)" : "");
}

void tell_row(std::string& out,
              const CandidateRow& row,
              const CandidateTable& table) {
  paragraph(out,
            fmt::format("Record {}", row.stored.id),
            record_words(row.stored) + tags(row));
  if (row.difference_m && row.why != "reference") {
    paragraph(out,
              "",
              fmt::format("east {}, north {}, up {} mm",
                          millimetres(row.difference_m->e_m),
                          millimetres(row.difference_m->n_m),
                          millimetres(row.difference_m->u_m)));
  }
  const auto& s = row.sigma_enu_m;
  paragraph(out,
            "",
            fmt::format("itself good to {:.1f}, {:.1f}, {:.1f} mm; {}",
                        s[0] * kMm,
                        s[1] * kMm,
                        s[2] * kMm,
                        verdict(row, table)));
}

std::string next_step(const CandidateTable& table) {
  if (!table.adopted && table.best) {
    return fmt::format(
        "none is adopted, so rovers get no coordinate of ours; stillpoint "
        "adopt {} --reason \"…\" takes the surest",
        *table.best);
  }
  if (!table.adopted) {
    return "none is adopted; stillpoint adopt ID --reason \"…\" takes one";
  }
  for (const CandidateRow& row : table.rows) {
    if (row.agrees == false) {
      return "find out which of the two is wrong before rovers rely on "
             "either: antenna type and height, frame, epoch, and whether the "
             "antenna was moved in between";
    }
  }
  return "nothing; the adopted record and the others agree where they can be "
         "compared";
}

}  // namespace

std::string record_words(const StoredRecord& stored) {
  const PositionRecord& r = stored.record;
  std::string out = r.origin == RecordOrigin::kByHand ? "by hand: " + r.source
                                                      : std::string(r.method);
  if (r.first && r.end) {
    out += fmt::format(", {:.1f} h from {}",
                       (*r.end - *r.first).s / 3600,
                       format_utc(*r.first));
  }
  if (!r.products.empty()) {
    out += ", " + r.products + " orbits";
  }
  out += fmt::format("; {} at {}, added {} by {}",
                     r.position.frame.name,
                     format_utc(r.position.epoch).substr(0, 10),
                     format_utc(stored.added).substr(0, 10),
                     stored.by);
  return out;
}

std::string candidates_text(const CandidateTable& table) {
  if (table.rows.empty()) {
    return "no position records yet; --add FILE takes the document of locate "
           "--json or tie --json, --by-hand a coordinate that somebody "
           "published\n";
  }
  std::string out;
  paragraph(
      out,
      "Compared",
      fmt::format(
          "markers in {} at {}", table.frame.name, format_utc(table.epoch)));
  for (const CandidateRow& row : table.rows) {
    tell_row(out, row, table);
  }
  for (const solve::Warning& warning : table.warnings) {
    paragraph(out, "Note", warning.what);
  }
  paragraph(out, "Next", next_step(table));
  return out;
}

}  // namespace stillpoint::report
