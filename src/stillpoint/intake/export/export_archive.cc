#include "stillpoint/intake/export/export_archive.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "stillpoint/intake/export/survey_pass.h"
#include "stillpoint/intake/export/write_pass.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::intake {
namespace {

// Losses of lock seen so long before the span are carried into it.
constexpr double kMarginS = 300;
// Clocks that are worse are not followed.
constexpr double kMostApartS = 400 * 86'400.0;
constexpr double kApartSaidS = 30;
constexpr double kMovedM = 0.001;
constexpr double kBesideS = 60;
constexpr int kMostSurveys = 5;

struct Range {
  GnssTime from, to;
};

bool is_received_given(const ExportRequest& request) {
  return request.received.start || request.received.end;
}

// What is read: what the caller says of the times of reception, else what the
// span says of the epochs, and a little more.
Range range_of(const ExportRequest& request, double margin_s) {
  constexpr std::int64_t kYearNs =
      std::int64_t{366} * 86'400 * GnssTime::kNsPerS;
  Range range{GnssTime::from_ns(-50 * kYearNs),
              GnssTime::from_ns(200 * kYearNs)};
  if (is_received_given(request)) {
    range.from = request.received.start.value_or(range.from);
    range.to = request.received.end.value_or(range.to);
    return range;
  }
  const Span& span = request.span;
  if (span.start) {
    range.from = *span.start - Duration{margin_s};
  }
  if (span.end) {
    range.to = *span.end + Duration{margin_s};
  }
  return range;
}

struct Survey {
  Range range;
  StretchDays days;
  StreamEnds ends;
  SurveyFindings found;
  std::vector<archive::Gap> gaps;
  StreamCounts counts;
  double clock_apart_s = 0;
  std::optional<GnssTime> first, last;
};

// Again where weeks turned out otherwise, or the recording's clock so far off
// that epochs of the span may stand farther out.
Result<Survey> survey(FileSystem& files,
                      const std::string& root,
                      const ExportRequest& request,
                      const ExportProgress& progress) {
  Survey survey;
  double margin_s = kMarginS;
  for (int turn = 1;; ++turn) {
    survey.range = range_of(request, margin_s);
    SurveyPass pass(request, survey.days);
    const Status read =
        pass.run(files, root, survey.range.from, survey.range.to, progress);
    if (!read) {
      return fail(read.error());
    }
    const bool last_turn = turn == kMostSurveys;
    if (pass.weeks_moved() && !last_turn) {
      survey.days = pass.days();
      continue;
    }
    const double wanted_s = pass.clock_apart_s() + kMarginS;
    const bool limited =
        !is_received_given(request) && (request.span.start || request.span.end);
    if (limited && wanted_s > 2 * margin_s && wanted_s < kMostApartS &&
        !last_turn) {
      margin_s = wanted_s;
      continue;
    }
    survey.found = pass.findings();
    survey.ends = pass.ends();
    survey.gaps = pass.gaps();
    survey.counts = pass.counts();
    survey.clock_apart_s = pass.clock_apart_s();
    survey.first = pass.first();
    survey.last = pass.last();
    return survey;
  }
}

tl::unexpected<Error> no_epochs(const Survey& survey, const std::string& root) {
  if (!survey.first) {
    return fail(ErrorCode::kNoData,
                "there are no observations in this recording",
                root,
                "record a receiver that sends MSM or the messages 1001 to "
                "1012; stillpoint listen says what it sends");
  }
  return fail(ErrorCode::kNoData,
              fmt::format("no epoch of these times; near them the recording "
                          "has {} to {}",
                          format_utc(*survey.first),
                          format_utc(*survey.last)),
              root,
              "give --start and --end within what was recorded, or leave them "
              "out");
}

void warn_damage(const Survey& survey, std::vector<ExportWarning>& warnings) {
  const StreamCounts& counts = survey.counts;
  if (counts.split.bad_checksum > 0 || counts.malformed > 0 ||
      counts.split.skipped_bytes > 0) {
    warnings.push_back(
        {"input_damaged",
         fmt::format("{} failed checksums and {} unreadable messages were "
                     "stepped over; {} bytes stand in no message",
                     counts.split.bad_checksum,
                     counts.malformed,
                     counts.split.skipped_bytes),
         static_cast<double>(counts.split.skipped_bytes),
         "bytes"});
  }
  std::array<std::uint64_t, 5> lost{};
  std::array<std::uint64_t, 5> count{};
  for (const archive::Gap& gap : survey.gaps) {
    const auto reason = static_cast<std::size_t>(gap.reason);
    lost.at(reason) += gap.to - gap.from;
    ++count.at(reason);
  }
  const auto damaged = static_cast<std::size_t>(archive::GapReason::kDamaged);
  if (count.at(damaged) > 0) {
    warnings.push_back({"segments_damaged",
                        fmt::format("{} places of the segments cannot be read; "
                                    "they are gaps of the files",
                                    count.at(damaged)),
                        static_cast<double>(lost.at(damaged)),
                        "bytes"});
  }
}

void warn_recording(const ExportRequest& request,
                    const Survey& survey,
                    std::uint64_t disordered,
                    std::vector<ExportWarning>& warnings) {
  if (survey.clock_apart_s > kApartSaidS) {
    warnings.push_back({"recording_clock",
                        "the clock of the recording and the epochs were apart; "
                        "files go by the epochs",
                        survey.clock_apart_s,
                        "s"});
  }
  if (disordered > 0) {
    warnings.push_back({"epochs_out_of_order",
                        "epochs that came again, late or far ahead were left "
                        "out",
                        static_cast<double>(disordered),
                        "epochs"});
  }
  if (survey.found.position_moved_m > kMovedM) {
    warnings.push_back({"position_changed",
                        "the coordinate that was sent changed; each file has "
                        "the last of its time",
                        survey.found.position_moved_m,
                        "m"});
  }
  if (survey.found.names_changed) {
    warnings.push_back({"names_changed",
                        "the names of antenna or receiver that were sent "
                        "changed; each file has the last of its time",
                        std::nullopt,
                        ""});
  }
  std::uint64_t beside = 0;
  for (const auto& [period, facts] : survey.found.periods) {
    const bool both = facts.msm.count() > 0 && facts.legacy.count() > 0;
    if (both && ((facts.msm.first() - facts.legacy.first()).s > kBesideS ||
                 (facts.legacy.last() - facts.msm.last()).s > kBesideS)) {
      ++beside;
    }
  }
  if (beside > 0) {
    warnings.push_back({"older_messages_left_out",
                        "files are made of MSM where there is any; messages "
                        "1001 to 1012 lasted longer in some and are left out",
                        static_cast<double>(beside),
                        "files"});
  }
  if (!survey.found.station.leap_seconds && survey.last &&
      *survey.last > leap_table_expires()) {
    warnings.push_back({"leap_table_expired",
                        "leap seconds may have been added since this program "
                        "was made",
                        std::nullopt,
                        ""});
  }
  const auto described = compare_description(request.own, survey.found.station);
  warnings.insert(warnings.end(), described.begin(), described.end());
}

}  // namespace

Result<ExportAnswer> export_archive(FileSystem& files,
                                    const std::string& root,
                                    const ExportRequest& request,
                                    const OpenFile& open,
                                    const ExportProgress& progress) {
  auto first = survey(files, root, request, progress);
  if (!first) {
    return fail(std::move(first.error()));
  }
  if (first->found.periods.empty()) {
    return no_epochs(*first, root);
  }
  WritePass pass(
      request, first->days, first->ends, first->found, first->gaps, open);
  const Status read =
      pass.run(files, root, first->range.from, first->range.to, progress);
  if (!read) {
    return fail(read.error());
  }
  if (auto written = pass.finish(); !written) {
    return fail(std::move(written.error()));
  }
  ExportAnswer answer;
  warn_damage(*first, answer.warnings);
  warn_recording(request, *first, pass.disordered(), answer.warnings);
  answer.files = std::move(pass.files());
  answer.left_out = std::move(pass.left_out());
  answer.gaps = std::move(first->gaps);
  return answer;
}

}  // namespace stillpoint::intake
