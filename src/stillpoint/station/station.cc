#include "stillpoint/station/station.h"

#include <algorithm>
#include <string>
#include <utility>

#include "stillpoint/station/parts.h"
#include "stillpoint/station/settings_file.h"
#include "stillpoint/station/settings_map.h"

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

constexpr nanoseconds kTick = std::chrono::milliseconds{200};
constexpr nanoseconds kJudgeEvery = std::chrono::seconds{1};
// A part that has not moved for so long hangs; the service manager then starts
// the station again. The disk may hang longer than that without its fault.
constexpr nanoseconds kHangs = std::chrono::seconds{30};
// The computer's clock against its own stopwatch.
constexpr double kClockStepS = 2;

class Station {
 public:
  explicit Station(std::unique_ptr<Parts> parts) : p_(std::move(parts)) {}

  Status run() {
    start_threads();
    tell_start();
    if (auto started = p_->receiver->start(); !started) {
      end();
      return started;
    }
    start_navigation();
    p_->loop.on_interrupt([this] { p_->loop.stop(); });
    p_->loop.on_hangup([this] { reload(); });
    last_wall_ = p_->clocks.wall();
    last_steady_ = p_->clocks.steady();
    tick();
    p_->service.ready("recording and serving");
    p_->loop.run();
    end();
    return ok();
  }

 private:
  using Rank = Worker::Rank;

  void work(const char* name, Rank rank, std::function<void()> task) {
    p_->workers.push_back(
        std::make_unique<Worker>(name, rank, std::move(task)));
  }

  void start_threads() {
    work("chronicle", Rank::kBehind, [this] { p_->chronicle->run(); });
    work("recording", Rank::kBehind, [this] { p_->recording->run(); });
    work("decode", Rank::kBehind, [this] { p_->decode->run(); });
    work("door", Rank::kServing, [this] { p_->ledger->run_questions(); });
    work("hashes", Rank::kBehind, [this] { p_->ledger->run_hashes(); });
    work("pages", Rank::kBehind, [this] { p_->pages->run(); });
    work("jobs", Rank::kBehind, [this] { p_->jobs->run(); });
    for (unsigned i = 0; i < p_->fan_workers; ++i) {
      work("rovers", Rank::kServing, [this, i] { p_->fan_out->run_worker(i); });
    }
  }

  void tell_start() {
    p_->log.log(LogLevel::kInfo,
                "the station starts",
                {{"station", p_->settings.config.station.name},
                 {"version", p_->options.program_version},
                 {"source", p_->settings.config.receiver.source}});
    for (const std::string& place : p_->listening) {
      p_->log.log(LogLevel::kInfo, "rovers may connect", {{"at", place}});
    }
    if (p_->settings.config.health.listen) {
      p_->log.log(LogLevel::kInfo,
                  "health and metrics",
                  {{"at", p_->settings.config.health.listen->text()}});
    }
    if (const auto& at = p_->settings.config.console.listen) {
      const bool tls = config::console_uses_tls(p_->settings.config.console);
      p_->log.log(LogLevel::kInfo,
                  "the console",
                  {{"at", (tls ? "https://" : "http://") + at->text() + "/"}});
    }
    p_->chronicle->tell(LogKind::kStarted,
                        "the station started",
                        {{"version", p_->options.program_version}});
  }

  void start_navigation() {
    for (const std::string& entry : p_->settings.config.receiver.nav_sources) {
      if (!config::is_source(entry)) {
        continue;  // a file: the decoder reads it
      }
      if (const auto added = p_->navigation->add(entry); !added) {
        p_->log.log(LogLevel::kError,
                    "a source of ephemerides cannot be opened",
                    {{"source", entry}, {"why", added.error().text()}});
      }
    }
  }

  void tick() {
    p_->receiver->tick();
    if (p_->certificate) {
      p_->certificate->tick();
    }
    watch_clock();
    watch_trust();
    publish(*p_);
    say_alive();
    p_->loop.after(kTick, [this] { tick(); });
  }

  void watch_trust() {
    const nanoseconds now = p_->clocks.steady();
    if (now - judged_at_ < kJudgeEvery) {
      return;
    }
    judged_at_ = now;
    const AdoptedFacts adopted = p_->board.adopted();
    p_->receiver->set_adopted(
        adopted.adopted ? std::optional(adopted.adopted->broadcast.arp_m)
                        : std::nullopt);
    p_->trust->look(p_->board.control()->status,
                    p_->decode->facts(),
                    adopted,
                    p_->settings.config.trust);
    p_->raw->tick();
  }

  void watch_clock() {
    const GnssTime wall = p_->clocks.wall();
    const nanoseconds steady = p_->clocks.steady();
    const double step_s =
        (wall - last_wall_).s - seconds_of(steady - last_steady_);
    last_wall_ = wall;
    last_steady_ = steady;
    if (std::abs(step_s) < kClockStepS) {
      return;
    }
    p_->log.log(
        LogLevel::kWarning, "the computer's clock was set", {{"by_s", step_s}});
    p_->chronicle->tell(LogKind::kClockStepped,
                        "the computer's clock was set",
                        {{"step_s", step_s}});
  }

  void say_alive() {
    const auto every = p_->service.alive_every();
    const nanoseconds now = p_->clocks.steady();
    if (!every || now - said_alive_ < *every / 2) {
      return;
    }
    const auto hangs = [&](const Heartbeat& heart) {
      return now - std::max(heart.at(), p_->started_steady) > kHangs;
    };
    if (hangs(p_->decode->heart()) || hangs(p_->ledger->questions_heart())) {
      return;  // the manager's patience begins to run
    }
    said_alive_ = now;
    p_->service.alive();
  }

  void reload() {
    p_->service.reloading();
    auto reread = reread_settings(p_->settings.config, p_->options.config_path);
    if (!reread) {
      // The pages show where, and no value: it may be a coordinate.
      p_->settings.last_error = reread.error().where;
      p_->log.log(LogLevel::kError,
                  "the settings have mistakes; the station goes on as it is",
                  {{"why", reread.error().text()}});
      p_->service.ready("recording and serving; settings not taken");
      return;
    }
    take(*reread);
    p_->service.ready("recording and serving");
  }

  void take(const config::Reload& reload) {
    p_->settings = {reload.config, p_->clocks.wall(), ""};
    const config::StationConfig& config = p_->settings.config;
    p_->output->set(config.log.level, config.log.format);
    p_->recording->set_limits(recording_limits(config.archive));
    p_->fan_out->set_limits(fan_out_limits(config.rovers));
    p_->door->set_config(door_config(config.mountpoints));
    p_->receiver->set_silence(std::chrono::seconds{config.receiver.silence_s});
    p_->decode->set_config(config);
    p_->jobs->set_config(config);
    if (p_->certificate) {
      p_->certificate->look_now();
    }
    for (const config::Change& change : reload.changes) {
      p_->log.log(
          LogLevel::kInfo, "a setting changed", {{"change", change.text()}});
      p_->chronicle->tell(LogKind::kConfigurationChanged,
                          change.text(),
                          {{"setting", change.setting}});
    }
    if (reload.changes.empty()) {
      p_->log.log(LogLevel::kInfo, "the settings are as before");
    }
  }

  // In the order of the bytes: nothing comes, rovers go, what came is safe.
  void end() {
    p_->service.stopping("letting rovers go, writing the last bytes");
    p_->log.log(LogLevel::kInfo, "the station ends");
    p_->receiver->stop();
    p_->navigation->stop();
    p_->pages->stop();
    p_->jobs->stop();
    p_->fan_out->stop();
    p_->recording->stop();
    p_->decode->stop();
    p_->ledger->stop();
    // All but the chronicle, which is told what they do last.
    for (std::size_t i = 1; i < p_->workers.size(); ++i) {
      p_->workers[i]->join();
    }
    const RecordingFacts recorded = p_->recording->facts();
    p_->chronicle->tell(
        LogKind::kStopped,
        "the station stopped",
        {{"durable_offset", static_cast<std::int64_t>(recorded.durable_offset)},
         {"end_offset", static_cast<std::int64_t>(recorded.end_offset)}});
    p_->chronicle->stop();
    p_->workers.front()->join();
    p_->log.log(LogLevel::kInfo,
                "the station has ended",
                {{"durable_offset", recorded.durable_offset},
                 {"end_offset", recorded.end_offset}});
  }

  std::unique_ptr<Parts> p_;
  GnssTime last_wall_;
  nanoseconds last_steady_{0}, said_alive_{0}, judged_at_{0};
};

}  // namespace

Status run_station(StationOptions options, config::StationConfig config) {
  auto parts = make_parts(std::move(options), std::move(config));
  if (!parts) {
    return fail(std::move(parts.error()));
  }
  return Station(std::move(*parts)).run();
}

}  // namespace stillpoint::station
