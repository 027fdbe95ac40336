#include "stillpoint/app/demo_play.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <system_error>
#include <utility>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/station/small_file.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

using nlohmann::json;
using Clock = std::chrono::steady_clock;

constexpr double kStartS = 60;    // for anything to begin or end
constexpr double kSilentS = 120;  // nothing new for so long: something hangs
constexpr double kSettleS = 15;
// The page's counts are older than what rovers have heard by then, and a worker
// counts after it has sent: only what still agrees when asked again is settled.
constexpr std::uint64_t kMoreAnswers = 2;
constexpr std::size_t kMostText = std::size_t{1} << 20U;
constexpr const char* kReceiver = "receiver";
constexpr const char* kStation = "station";

Result<json> read_json(const std::string& path) {
  const auto text = station::read_small_file(path, kMostText);
  if (!text) {
    return fail(text.error());
  }
  json document = json::parse(*text, nullptr, /*allow_exceptions=*/false);
  if (!document.is_object()) {
    return fail(ErrorCode::kBadFormat, "is no JSON document", path);
  }
  return document;
}

// The demo shows a day that was; its middle tells the week.
GnssTime middle_of_day(const DemoWorld& world) {
  return world.at(43'200);
}

}  // namespace

DemoPlay::DemoPlay(const DemoWorld& world,
                   const DemoPorts& ports,
                   DemoStage& stage)
    : world_(world),
      ports_(ports),
      stage_(stage),
      page_(stage.loop(), ports.health) {}

Status DemoPlay::check() {
  const auto code = station_ ? station_->ended() : std::nullopt;
  return code ? fail(stage_.went_wrong(kStation, *code)) : ok();
}

Status DemoPlay::open() {
  auto station = stage_.begin(
      kStation, {"run", "--config", stage_.folder().config(), "--simulated"});
  if (!station) {
    return fail(std::move(station.error()));
  }
  station_ = std::move(*station);
  auto ready = stage_.wait(
      "the station opens its ports",
      kStartS,
      [&] {
        page_.ask();
        return page_.view() && page_.view()->store_good;
      },
      [&] { return check(); });
  if (!ready) {
    return ready;
  }
  for (const char* name : kDemoRovers) {
    if (auto added = add_rover(name); !added) {
      return added;
    }
  }
  return stage_.wait(
      "the rovers listen",
      kStartS,
      [&] {
        page_.ask();
        return std::all_of(rovers_.begin(),
                           rovers_.end(),
                           [](const auto& r) { return r->facts().listens; }) &&
               page_.view()->rovers == rovers_.size();
      },
      [&] { return check(); });
}

Status DemoPlay::add_rover(const char* name) {
  const DemoFolder& folder = stage_.folder();
  const std::string answer = folder.password_of(name) + ".new";
  auto code = stage_.run(
      "rovers",
      {"rovers", "--config", folder.config(), "--add", name, "--json"},
      answer);
  if (!code) {
    return fail(std::move(code.error()));
  }
  const auto document = read_json(answer);
  std::error_code ignored;  // it lies in a folder of its owner's
  std::filesystem::remove(answer, ignored);
  if (*code != kExitGood || !document) {
    return fail(stage_.went_wrong("rovers", *code));
  }
  const std::string token = document->at("changed").at("token");
  if (auto kept =
          station::write_private_file(folder.password_of(name), token + "\n");
      !kept) {
    return kept;
  }
  rovers_.push_back(
      std::make_unique<DemoRover>(name, middle_of_day(world_), kDemoIntervalS));
  return rovers_.back()->start(
      stage_.loop(), ports_.rovers, kDemoMount, folder.password_of(name));
}

std::string DemoPlay::trust() {
  page_.ask();
  return page_.view() ? page_.view()->trust : "";
}

Status DemoPlay::begin_receiver(GnssTime from, GnssTime end, double speed) {
  auto receiver = stage_.begin(kReceiver,
                               {"simulate",
                                kDemoScenario,
                                "--receiver",
                                world_.receiver().name,
                                "--to",
                                fmt::format("tcp:{}", ports_.receiver),
                                "--speed",
                                fmt::format("{:g}", speed),
                                "--interval",
                                fmt::format("{:g}", kDemoIntervalS),
                                "--start",
                                format_gpst(from),
                                "--end",
                                format_gpst(end),
                                "--json"});
  if (!receiver) {
    return fail(std::move(receiver.error()));
  }
  receiver_ = std::move(*receiver);
  return ok();
}

bool DemoPlay::receiver_ended() {
  receiver_code_ = receiver_->ended();
  return receiver_code_.has_value();
}

std::optional<GnssTime> DemoPlay::simulated() const {
  std::optional<GnssTime> last;
  for (const auto& rover : rovers_) {
    const auto heard = rover->facts().last_epoch;
    last = !last || (heard && *heard > *last) ? heard : last;
  }
  return last;
}

Status DemoPlay::play(GnssTime from,
                      GnssTime end,
                      double speed,
                      const std::function<void(const DemoMoment&)>& show,
                      const std::function<bool()>& enough) {
  if (auto begun = begin_receiver(from, end, speed); !begun) {
    return begun;
  }
  std::uint64_t bytes = 0;
  auto moved_at = Clock::now();
  const auto turn = [&] {
    page_.ask();
    const StationView& view = *page_.view();
    if (view.received_bytes > bytes) {
      bytes = view.received_bytes;
      moved_at = Clock::now();
    }
    if (const auto t = simulated(); t && view.epochs > 0) {
      const double whole_s = (world_.end - world_.scenario.start).s;
      show({(*t - world_.scenario.start).s / whole_s, *t, view});
    }
    return receiver_ended() || (enough && enough());
  };
  const auto moves = [&]() -> Status {
    if (Clock::now() - moved_at > std::chrono::duration<double>(kSilentS)) {
      return fail(ErrorCode::kIo,
                  fmt::format("the station got nothing for {:g} s", kSilentS),
                  stage_.folder().logs(),
                  "see the logs there");
    }
    return check();
  };
  // Two days at the lowest speed.
  constexpr double kLongestS = 1e6;
  if (auto ended = stage_.wait("the receiver ends", kLongestS, turn, moves);
      !ended) {
    return ended;
  }
  if (!receiver_code_) {
    return ok();  // it was enough
  }
  if (*receiver_code_ != kExitGood) {
    return fail(stage_.went_wrong(kReceiver, *receiver_code_));
  }
  return settle();
}

bool DemoPlay::all_is_there() const {
  const StationView& view = *page_.view();
  std::uint64_t heard = 0;
  for (const auto& rover : rovers_) {
    heard += rover->facts().bytes;
  }
  return view.safe_bytes == played_->bytes && view.epochs == played_->epochs &&
         view.offered_bytes == view.sent_bytes + view.unsent_bytes &&
         heard == view.offered_bytes;
}

// What is not there after a while is missing, and for the report to tell.
Status DemoPlay::settle() {
  const auto document = read_json(stage_.folder().logs() + "/receiver.out");
  if (!document) {
    return fail(document.error());
  }
  // Of this part, to those before.
  PlayedFacts all = played_.value_or(PlayedFacts{});
  all.epochs += document->value("epochs", std::uint64_t{0});
  all.bytes += document->value("bytes", std::uint64_t{0});
  all.commands += document->value("commands", std::uint64_t{0});
  played_ = all;
  const auto until = Clock::now() + std::chrono::duration<double>(kSettleS);
  std::optional<std::uint64_t> agreed;  // answers by then
  return stage_.wait(
      "all is recorded",
      2 * kSettleS,
      [&] {
        page_.ask();
        if (!all_is_there()) {
          agreed.reset();
        } else if (!agreed) {
          agreed = page_.answers();
        }
        return (agreed && page_.answers() >= *agreed + kMoreAnswers) ||
               Clock::now() > until;
      },
      [&] { return check(); });
}

Status DemoPlay::close() {
  for (const auto& rover : rovers_) {
    rover->stop();
  }
  station_->tell_to_end();
  std::optional<int> code;
  auto ended = stage_.wait("the station ends", kStartS, [&] {
    code = station_->ended();
    return code.has_value();
  });
  if (!ended) {
    return ended;
  }
  return *code == kExitGood ? ok() : fail(stage_.went_wrong(kStation, *code));
}

void DemoPlay::tell(DemoReport& report) const {
  report.played = played_;
  report.station = page_.view();
  report.rovers.clear();
  for (const auto& rover : rovers_) {
    report.rovers.push_back(rover->facts());
  }
}

}  // namespace stillpoint::app
