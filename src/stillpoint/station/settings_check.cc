#include "stillpoint/station/settings_check.h"

#include <unistd.h>

#include <filesystem>
#include <sstream>
#include <utility>

#include "stillpoint/net/source_address.h"
#include "stillpoint/station/certificates.h"
#include "stillpoint/station/receiver_profile.h"
#include "stillpoint/station/settings_file.h"

namespace stillpoint::station {
namespace {

// The lines of a kConfig error, each "place: what; remedy" but for the first,
// whose parts stand apart.
std::vector<Error> mistakes_of(const Error& error) {
  std::istringstream lines(error.what);
  std::vector<Error> mistakes;
  std::string line;
  while (std::getline(lines, line)) {
    if (mistakes.empty()) {
      mistakes.push_back({error.code, line, error.where, error.remedy});
      continue;
    }
    const std::size_t place = line.find(": ");
    const std::size_t remedy = line.rfind("; ");
    Error mistake{error.code, line, "", ""};
    if (place != std::string::npos && remedy != std::string::npos &&
        remedy > place) {
      mistake.where = line.substr(0, place);
      mistake.what = line.substr(place + 2, remedy - place - 2);
      mistake.remedy = line.substr(remedy + 2);
    }
    mistakes.push_back(std::move(mistake));
  }
  return mistakes;
}

void check_file(const std::string& path,
                const char* setting,
                SettingsVerdict& verdict) {
  if (::access(path.c_str(), R_OK) != 0) {
    verdict.mistakes.push_back(
        {ErrorCode::kIo,
         std::string("the file that ") + setting + " names cannot be read",
         path,
         "put it there and let the station's account read it, or correct the "
         "setting"});
  }
}

void check_source_files(const std::string& text, SettingsVerdict& verdict) {
  const auto source = net::parse_source(text);
  if (source && !source->password_file.empty()) {
    check_file(source->password_file, "password_file", verdict);
  }
  if (source && !source->ca_file.empty()) {
    check_file(source->ca_file, "ca_file", verdict);
  }
}

void check_certificate(const std::string& certificate,
                       const std::string& key,
                       const char* section,
                       SettingsVerdict& verdict) {
  if (certificate.empty()) {
    return;
  }
  if (auto pair = read_certificate(certificate, key); !pair) {
    Error mistake = std::move(pair.error());
    mistake.what = std::string(section) + ": " + mistake.what;
    verdict.mistakes.push_back(std::move(mistake));
  }
}

void check_state(const std::string& state, SettingsVerdict& verdict) {
  std::error_code code;
  if (!std::filesystem::exists(state, code)) {
    const auto above = std::filesystem::path(state).parent_path();
    if (!std::filesystem::is_directory(above, code)) {
      verdict.mistakes.push_back(
          {ErrorCode::kConfig,
           "the state folder is not there, nor is the folder above it",
           state,
           "make it, or name another in 'state' of [station]"});
      return;
    }
    verdict.warnings.push_back("the state folder " + state +
                               " is not there yet; run makes it");
    return;
  }
  if (::access(state.c_str(), W_OK | X_OK) != 0) {
    verdict.warnings.push_back("this account may not write the state folder " +
                               state + "; the station's has to");
  }
}

}  // namespace

SettingsVerdict check_surroundings(const config::StationConfig& config) {
  SettingsVerdict verdict;
  if (config.station.name == config::StationSection{}.name) {
    verdict.warnings.push_back("the station's name is still the placeholder " +
                               config.station.name);
  }
  if (auto profile = load_profile(config.receiver.profile); !profile) {
    const Error& error = profile.error();
    if (error.code == ErrorCode::kConfig) {
      const auto mistakes = mistakes_of(error);
      verdict.mistakes.insert(
          verdict.mistakes.end(), mistakes.begin(), mistakes.end());
    } else {
      verdict.mistakes.push_back(error);
    }
  }
  check_source_files(config.receiver.source, verdict);
  for (const std::string& entry : config.receiver.nav_sources) {
    if (config::is_source(entry)) {
      check_source_files(entry, verdict);
    } else {
      check_file(entry, "nav_sources", verdict);
    }
  }
  check_certificate(
      config.rovers.certificate, config.rovers.key, "rovers", verdict);
  check_certificate(
      config.console.certificate, config.console.key, "console", verdict);
  check_state(config.station.state, verdict);
  return verdict;
}

Result<SettingsVerdict> check_settings(const std::string& path) {
  const auto config = read_settings(path);
  if (config) {
    return check_surroundings(*config);
  }
  if (config.error().code != ErrorCode::kConfig) {
    return fail(config.error());
  }
  SettingsVerdict verdict;
  verdict.mistakes = mistakes_of(config.error());
  return verdict;
}

}  // namespace stillpoint::station
