// `stillpoint check-config`: every mistake in the settings of a station.
#include <nlohmann/json.hpp>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/run_args.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/station/settings_check.h"

namespace stillpoint::app {
namespace {

nlohmann::ordered_json document(const std::string& file,
                                const station::SettingsVerdict& verdict) {
  nlohmann::ordered_json mistakes = nlohmann::ordered_json::array();
  for (const Error& mistake : verdict.mistakes) {
    mistakes.push_back(
        {{"where", mistake.where},
         {"what", mistake.what},
         {"remedy",
          mistake.remedy.empty() ? nlohmann::ordered_json(nullptr)
                                 : nlohmann::ordered_json(mistake.remedy)}});
  }
  return {{"schema_version", report::kSchemaVersion},
          {"file", file},
          {"valid", verdict.mistakes.empty()},
          {"mistakes", std::move(mistakes)},
          {"warnings", verdict.warnings}};
}

std::string text(const std::string& file,
                 const station::SettingsVerdict& verdict) {
  std::string lines;
  for (const Error& mistake : verdict.mistakes) {
    lines += mistake.text();
    lines += mistake.remedy.empty() ? "\n" : "; " + mistake.remedy + "\n";
  }
  for (const std::string& warning : verdict.warnings) {
    lines += "warning: " + warning + "\n";
  }
  if (verdict.mistakes.empty()) {
    lines += file +
             ": no mistake; start the station with stillpoint run "
             "--config " +
             file + "\n";
  }
  return lines;
}

}  // namespace

int run_check_config(const Arguments& arguments) {
  const auto args = parse_check_config(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpCheckConfig) ? kExitGood : kExitSystem;
  }
  const auto verdict = station::check_settings(args->config);
  if (!verdict) {
    return report_error(verdict.error(), arguments.json);
  }
  const bool printed = print_data(
      arguments.json ? report::to_text(document(args->config, *verdict))
                     : text(args->config, *verdict));
  if (!printed) {
    return kExitSystem;
  }
  return verdict->mistakes.empty() ? kExitGood : kExitNo;
}

}  // namespace stillpoint::app
