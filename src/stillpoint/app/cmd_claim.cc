// `stillpoint claim`: a code that makes its holder an owner of the station.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/open_station.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/record_args.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/people/console_people.h"
#include "stillpoint/people/secrets.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/paragraph.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kNext =
    "open the console, choose a name and a password and type the code: who "
    "does so is an owner of the station and may change all of it. The code "
    "works once";

// Where the console answers, as a browser on this computer reaches it; empty:
// nowhere.
std::string console_url(const config::ConsoleSection& console) {
  if (!console.listen) {
    return {};
  }
  config::ListenAddress at = *console.listen;
  if (at.host == "0.0.0.0") {
    at.host = "127.0.0.1";
  } else if (at.host == "::") {
    at.host = "::1";
  }
  const char* scheme = config::console_uses_tls(console) ? "https" : "http";
  return fmt::format("{}://{}/", scheme, at.text());
}

std::string document(const OpenStation& station,
                     const people::ClaimCode& code) {
  const std::string url = console_url(station.settings.console);
  return report::to_text({{"schema_version", report::kSchemaVersion},
                          {"database", station.database},
                          {"code", code.word},
                          {"ends", format_utc(code.ends)},
                          {"console", url.empty() ? Json() : Json(url)},
                          {"next", kNext}});
}

std::string text(const OpenStation& station, const people::ClaimCode& code) {
  using report::paragraph;
  const std::string url = console_url(station.settings.console);
  std::string out;
  paragraph(out, "Code", code.word);
  paragraph(out, "Holds until", format_utc(code.ends));
  paragraph(out,
            "Where",
            url.empty() ? "the console is not opened: give it an address with "
                          "listen of [console]"
                        : url +
                              " on this computer; from elsewhere by its "
                              "name or address, if listen of [console] "
                              "allows it");
  paragraph(out, "Next", kNext);
  return out;
}

}  // namespace

int run_claim(const Arguments& arguments) {
  const auto args = parse_claim(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpClaim) ? kExitGood : kExitSystem;
  }
  auto station = open_station(args->config);
  if (!station) {
    return report_station_error(station.error(), args->config, arguments.json);
  }
  auto code = people::open_claim(
      station->store, station->claim_path, note_by("command line"));
  if (!code) {
    return report_station_error(code.error(), args->config, arguments.json);
  }
  std::string said =
      arguments.json ? document(*station, *code) : text(*station, *code);
  const bool printed = print_data(said);
  people::wipe(said);
  people::wipe(code->word);
  return printed ? kExitGood : kExitSystem;
}

}  // namespace stillpoint::app
