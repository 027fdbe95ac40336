#include "stillpoint/app/demo_answer.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <utility>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::app {
namespace {

using nlohmann::json;

constexpr double kFileIntervalS = 30;
constexpr std::size_t kMostText = std::size_t{16} << 20U;

// Runs a verb whose document lies in `out` afterwards.
Result<json> document_of(DemoStage& stage,
                         const std::vector<std::string>& words,
                         const std::string& out) {
  const std::string& name = words.front();
  const auto code = stage.run(name, words, out);
  if (!code) {
    return fail(code.error());
  }
  const auto text = station::read_small_file(out, kMostText);
  if (!text) {
    return fail(text.error());
  }
  json document = json::parse(*text, nullptr, /*allow_exceptions=*/false);
  // "No" is an answer too.
  const bool answered = *code == kExitGood || *code == kExitNo;
  if (!answered || !document.is_object()) {
    return fail(stage.went_wrong(name, *code));
  }
  return document;
}

const DemoFile* first_observations(const std::vector<DemoFile>& files) {
  const DemoFile* first = nullptr;
  for (const DemoFile& file : files) {
    if (file.kind == "observations" &&
        (first == nullptr || file.start < first->start)) {
      first = &file;
    }
  }
  return first;
}

// Those of the day. Ephemerides lie in files by the day on which they came,
// which is another one than that of the data: then all of them.
std::vector<std::string> navigation_of(const std::string& day,
                                       const std::vector<DemoFile>& files) {
  std::vector<std::string> same, all;
  for (const DemoFile& file : files) {
    if (file.kind == "navigation") {
      all.push_back(file.path);
      if (file.start == day) {
        same.push_back(file.path);
      }
    }
  }
  return same.empty() ? all : same;
}

}  // namespace

Result<std::vector<DemoFile>> export_demo(DemoStage& stage) {
  const DemoFolder& folder = stage.folder();
  const auto document = document_of(stage,
                                    {"export",
                                     "--config",
                                     folder.config(),
                                     "--interval",
                                     fmt::format("{:g}", kFileIntervalS),
                                     "--out",
                                     folder.rinex(),
                                     "--json"},
                                    folder.logs() + "/export.out");
  if (!document) {
    return fail(document.error());
  }
  std::vector<DemoFile> files;
  for (const json& file : document->at("files")) {
    files.push_back({file.at("path"), file.at("kind"), file.at("start")});
  }
  return files;
}

Result<DemoPosition> locate_demo(DemoStage& stage,
                                 const DemoWorld& world,
                                 const std::vector<DemoFile>& files) {
  DemoPosition position;
  const DemoFile* observations = first_observations(files);
  if (observations != nullptr) {
    position.observations = observations->path;
    position.navigation = navigation_of(observations->start, files);
  }
  if (position.navigation.empty()) {
    return fail(ErrorCode::kNoData,
                "no observations with ephemerides were exported",
                stage.folder().rinex());
  }
  std::vector<std::string> words{"locate", position.observations, "--nav"};
  words.insert(
      words.end(), position.navigation.begin(), position.navigation.end());
  words.emplace_back("--json");
  const auto document = document_of(stage, words, stage.folder().position());
  if (!document) {
    return fail(document.error());
  }
  position.status = document->at("status");
  const json& found = document->at("position");
  if (found.is_null()) {
    return fail(
        ErrorCode::kNoData, document->at("why"), stage.folder().position());
  }
  const json& at = found.at("ecef_m");
  const json& sigma = found.at("sigma_enu_m");
  position.found = {at.at(0), at.at(1), at.at(2)};
  position.sigma_m = {sigma.at(0), sigma.at(1), sigma.at(2)};
  position.error_m = to_enu(position.found, to_ecef(world.receiver().marker));
  return position;
}

}  // namespace stillpoint::app
