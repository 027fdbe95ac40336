#include "stillpoint/app/output.h"

#include <cstdio>
#include <nlohmann/json.hpp>
#include <string>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/report/locate_json.h"

namespace stillpoint::app {

bool print_data(std::string_view text) {
  return std::fwrite(text.data(), 1, text.size(), stdout) == text.size() &&
         std::fflush(stdout) == 0;
}

void print_note(std::string_view text) {
  std::fwrite(text.data(), 1, text.size(), stderr);
}

int report_error(const Error& error, bool json) {
  if (json) {
    auto document = report::error_json(error);
    document["schema_version"] = report::kSchemaVersion;
    print_data(report::to_text(document));
  } else {
    const std::string remedy =
        error.remedy.empty() ? default_remedy(error.code) : error.remedy;
    print_note("stillpoint: " + error.text() + "\n  remedy: " + remedy + "\n");
  }
  return exit_code_of(error.code);
}

}  // namespace stillpoint::app
