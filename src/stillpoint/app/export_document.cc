#include "stillpoint/app/export_document.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "stillpoint/app/option_values.h"
#include "stillpoint/intake/export/header_maker.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kMostGapsTold = 20;

Json time_json(const std::optional<GnssTime>& t) {
  return t ? Json(format_utc(*t)) : Json(nullptr);
}

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json file_json(const intake::ExportedFile& file, const WrittenFile& written) {
  const bool observations = file.kind == intake::ExportedKind::kObservations;
  Json satellites = Json::object();
  for (const System system : kSystems) {
    const int count = file.satellites[static_cast<std::size_t>(system)];
    if (count > 0) {
      satellites[std::string(1, system_letter(system))] = count;
    }
  }
  Json bytes = Json::array();
  for (const intake::StreamRange& range : file.bytes) {
    bytes.push_back({{"stream", fmt::format("{:016x}", range.stream)},
                     {"from_byte", range.from},
                     {"to_byte", range.to}});
  }
  return {{"path", written.path},
          {"kind", observations ? "observations" : "navigation"},
          {"start", format_utc(file.period.start)},
          {"end", format_utc(file.period.end)},
          {"epochs", observations ? Json(file.records) : Json(nullptr)},
          {"ephemerides", observations ? Json(nullptr) : Json(file.records)},
          {"satellites", std::move(satellites)},
          {"first_epoch", time_json(file.first)},
          {"last_epoch", time_json(file.last)},
          {"interval_s", or_null(file.interval_s)},
          {"made_of", std::move(bytes)},
          {"bytes", written.bytes},
          {"sha256", written.sha256}};
}

std::string satellites_text(const intake::ExportedFile& file) {
  std::string text;
  for (const System system : kSystems) {
    const int count = file.satellites[static_cast<std::size_t>(system)];
    if (count > 0) {
      text += fmt::format(
          "{}{} {}", text.empty() ? "" : ", ", system_name(system), count);
    }
  }
  return text;
}

std::string file_text(const intake::ExportedFile& file,
                      const WrittenFile& written) {
  std::string text =
      fmt::format("{}\n  {} bytes; ", written.path, written.bytes);
  if (file.kind == intake::ExportedKind::kNavigation) {
    text += fmt::format("{} ephemerides", file.records);
  } else {
    text += fmt::format("{} epochs {} to {} GPS time",
                        file.records,
                        format_gpst(*file.first),
                        format_gpst(*file.last));
    if (file.interval_s) {
      text += fmt::format(", every {:g} s", *file.interval_s);
    }
  }
  return text + fmt::format("\n  satellites: {}\n", satellites_text(file));
}

std::string gap_text(const archive::Gap& gap) {
  return fmt::format("gap: {} to {}, {} bytes {}\n",
                     format_utc(gap.last_before),
                     format_utc(gap.first_after),
                     gap.to - gap.from,
                     intake::gap_name(gap.reason));
}

}  // namespace

Json export_json(const ExportArgs& args, const ExportDone& done) {
  const intake::ExportAnswer& answer = done.answer;
  Json files = Json::array(), gaps = Json::array(), left = Json::array(),
       warnings = Json::array();
  for (std::size_t i = 0; i < answer.files.size(); ++i) {
    files.push_back(file_json(answer.files[i], done.written[i]));
  }
  for (const archive::Gap& gap : answer.gaps) {
    gaps.push_back({{"from_byte", gap.from},
                    {"to_byte", gap.to},
                    {"bytes", gap.to - gap.from},
                    {"last_before", format_utc(gap.last_before)},
                    {"first_after", format_utc(gap.first_after)},
                    {"reason", intake::gap_name(gap.reason)}});
  }
  for (const auto& [what, count] : answer.left_out) {
    left.push_back({{"what", what}, {"values", count}});
  }
  for (const intake::ExportWarning& warning : answer.warnings) {
    warnings.push_back(
        {{"code", warning.code},
         {"what", warning.what},
         {"size", or_null(warning.size)},
         {"unit", warning.size ? Json(warning.unit) : Json(nullptr)}});
  }
  return {{"schema_version", report::kSchemaVersion},
          {"station", done.station},
          {"recording", done.recording},
          {"format", version_text(args.version)},
          {"start", time_json(args.span.start)},
          {"end", time_json(args.span.end)},
          {"interval_s", or_null(args.interval_s)},
          {"files", std::move(files)},
          {"gaps", std::move(gaps)},
          {"left_out", std::move(left)},
          {"warnings", std::move(warnings)},
          {"version", STILLPOINT_VERSION}};
}

std::string export_text(const ExportDone& done) {
  const intake::ExportAnswer& answer = done.answer;
  std::string text;
  for (std::size_t i = 0; i < answer.files.size(); ++i) {
    text += file_text(answer.files[i], done.written[i]);
  }
  std::size_t told = 0;
  for (const archive::Gap& gap : answer.gaps) {
    if (++told > kMostGapsTold) {
      text += fmt::format("and {} gaps more; --json has all\n",
                          answer.gaps.size() - kMostGapsTold);
      break;
    }
    text += gap_text(gap);
  }
  for (const auto& [what, count] : answer.left_out) {
    text += fmt::format("left out: {} ({} values)\n", what, count);
  }
  for (const intake::ExportWarning& warning : answer.warnings) {
    text += "warning: " + warning.what;
    if (warning.size) {
      text += fmt::format(" ({:.10g} {})", *warning.size, warning.unit);
    }
    text += "\n";
  }
  return text;
}

}  // namespace stillpoint::app
