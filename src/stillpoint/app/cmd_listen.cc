// `stillpoint listen`: a source in, what arrives out.
#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <optional>

#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/help.h"
#include "stillpoint/app/listen_args.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/screen.h"
#include "stillpoint/app/stream_source.h"
#include "stillpoint/app/verbs.h"
#include "stillpoint/intake/survey.h"
#include "stillpoint/report/listen_json.h"
#include "stillpoint/report/listen_text.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/report/paragraph.h"
#include "stillpoint/rtcm/message_names.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/source_day.h"

namespace stillpoint::app {
namespace {

using Steady = std::chrono::steady_clock;
constexpr std::chrono::seconds kRedraw{1};
constexpr std::chrono::milliseconds kTick{100};

// One listening: takes what the source brings until the time is over, the
// source has ended or somebody interrupts.
class Listening final : public net::SourceSink {
 public:
  Listening(const ListenArgs& args, bool live_text)
      : args_(args),
        live_text_(live_text),
        is_file_(args.source.kind == net::SourceKind::kFile),
        at_once_(is_file_ && args.source.speed == 0),
        survey_({.decoder = {.day = station::day_of(args.source),
                             .era = station::wall_now()},
                 .framings = args.framings}) {}

  Status run() {
    auto source = open_stream(loop_, args_.source);
    if (!source) {
      return fail(std::move(source.error()));
    }
    loop_.on_interrupt([this] { loop_.stop(); });
    if (!at_once_) {
      loop_.after(std::chrono::duration_cast<std::chrono::nanoseconds>(
                      std::chrono::duration<double>(args_.for_s)),
                  [this] { loop_.stop(); });
      tick();
    }
    if (live_text_) {
      redraw();
    }
    (*source)->start(*this);
    loop_.run();
    (*source)->stop();
    if (ended_) {
      survey_.finish();
    }
    // Nothing came because the source could not be opened, or was lost.
    if (why_ && survey_report().bytes == 0) {
      return fail(*why_);
    }
    return ok();
  }

  [[nodiscard]] intake::SurveyReport survey_report() const {
    if (at_once_) {
      return survey_.report(std::nullopt);
    }
    const std::chrono::duration<double> heard = Steady::now() - started_;
    return survey_.report(heard.count());
  }

  // The whole answer as text.
  void show_all() { screen_.end(text()); }

 private:
  void on_bytes(ByteSpan bytes) override {
    why_.reset();
    survey_.push(bytes,
                 is_file_ ? std::nullopt : std::optional(station::wall_now()));
  }

  void on_status(const net::SourceStatus& status) override {
    if (status.why) {
      why_ = status.why;
      note(status);
    }
    if (status.state == net::SourceState::kOpen) {
      why_.reset();  // it is there now, though it may be silent
    }
    if (status.state == net::SourceState::kEnded) {
      ended_ = true;
      loop_.stop();
    }
  }

  // What keeps the source from speaking, once for each reason.
  void note(const net::SourceStatus& status) {
    const std::string text = status.why->text();
    if (status.state != net::SourceState::kWaiting || text == noted_) {
      return;
    }
    noted_ = text;
    if (!live_text_) {  // a live text has it in its place
      print_note("stillpoint: " + text + "; trying again\n");
    }
  }

  void tick() {
    if (!is_file_) {
      survey_.tick(station::wall_now());
    }
    loop_.after(kTick, [this] { tick(); });
  }

  [[nodiscard]] std::string text() const {
    std::string text = report::listen_text(
        survey_report(), args_.source.text, rtcm::message_name);
    if (live_text_ && why_) {
      report::paragraph(text, "Waiting", why_->text() + "; trying again");
    }
    return text;
  }

  void redraw() {
    screen_.show(text());
    loop_.after(kRedraw, [this] { redraw(); });
  }

  const ListenArgs& args_;
  bool live_text_, is_file_, at_once_;
  net::Loop loop_;
  intake::Survey survey_;
  Screen screen_;
  Steady::time_point started_ = Steady::now();
  std::optional<Error> why_;
  std::string noted_;
  bool ended_ = false;
};

int listen(const ListenArgs& args, const Arguments& arguments) {
  const bool caster = args.source.kind == net::SourceKind::kNtrip ||
                      args.source.kind == net::SourceKind::kNtrips;
  if (caster && args.source.mount.empty()) {
    return report_error(mountpoint_missing(args.source), arguments.json);
  }
  const bool live = !arguments.json && can_redraw(arguments.plain);
  Listening listening(args, live);
  if (auto heard = listening.run(); !heard) {
    return report_error(heard.error(), arguments.json);
  }
  const intake::SurveyReport survey = listening.survey_report();
  if (arguments.json) {
    if (!print_data(
            report::to_text(report::listen_json(survey, args.source.text)))) {
      return kExitSystem;
    }
  } else {
    listening.show_all();
  }
  return survey.any_frame() ? kExitGood : kExitNo;
}

}  // namespace

int run_listen(const Arguments& arguments) {
  const auto args = parse_listen(arguments.words);
  if (!args) {
    return report_error(args.error(), arguments.json);
  }
  if (args->help) {
    return print_data(kHelpListen) ? kExitGood : kExitSystem;
  }
  return listen(*args, arguments);
}

}  // namespace stillpoint::app
