#include "stillpoint/app/simulate_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "stillpoint/app/simulate_names.h"
#include "stillpoint/products/antex_writer.h"
#include "stillpoint/products/bias_writer.h"
#include "stillpoint/products/clock_writer.h"
#include "stillpoint/products/sp3_writer.h"
#include "stillpoint/rinex/navigation_writer.h"
#include "stillpoint/simulate/output/observation_file.h"
#include "stillpoint/simulate/output/rtcm_stream.h"
#include "stillpoint/simulate/output/truth_text.h"
#include "stillpoint/simulate/sky/broadcast_sets.h"
#include "stillpoint/simulate/sky/precise_products.h"

namespace stillpoint::app {
namespace {

constexpr double kOrbitsEveryS = 300, kClocksEveryS = 30;
// Orbits are interpolated over eleven samples: so much before and after.
constexpr double kOrbitMarginS = 3600;
constexpr std::size_t kTextAtOnce = std::size_t{1} << 16;

// A sink with its file's name, for what is written line by line.
class TextFile {
 public:
  static Result<TextFile> open(ExportFiles& files, std::string name) {
    auto sink = files.open(name);
    if (!sink) {
      return fail(std::move(sink.error()));
    }
    return TextFile(std::move(*sink), std::move(name));
  }
  std::string& text() { return text_; }
  Status flush(std::size_t beyond) {
    if (text_.size() <= beyond) {
      return ok();
    }
    const Status written = sink_->write(text_);
    text_.clear();
    return written;
  }
  Status finish() {
    if (const Status written = flush(0); !written) {
      return written;
    }
    return sink_->close();
  }
  [[nodiscard]] const std::string& name() const { return name_; }

 private:
  TextFile(std::unique_ptr<ByteSink> sink, std::string name)
      : sink_(std::move(sink)), name_(std::move(name)) {}
  std::unique_ptr<ByteSink> sink_;
  std::string name_, text_;
};

Status add_written(const ExportFiles& files,
                   const char* kind,
                   const std::string& name,
                   std::vector<SimulatedFile>& into) {
  auto written = files.written(name);
  if (!written) {
    return fail(std::move(written.error()));
  }
  into.push_back({kind, std::move(*written)});
  return ok();
}

// The files of one receiver while they grow.
class SessionFiles {
 public:
  static Result<SessionFiles> open(const SimulateArgs& args,
                                   const simulate::Sky& sky,
                                   std::size_t number,
                                   GnssTime from,
                                   GnssTime to,
                                   ExportFiles& files) {
    const simulate::ReceiverScenario& receiver =
        sky.scenario().receivers[number];
    SessionFiles s(files);
    const SimulatedNames names(args, receiver, from, to);
    if (args.rinex) {
      s.observation_name_ = names.observations();
      auto sink = files.open(s.observation_name_);
      if (!sink) {
        return fail(std::move(sink.error()));
      }
      auto writer = rinex::ObservationWriter::begin(
          simulate::observation_header(
              sky, receiver, from, to - Duration{receiver.interval_s}),
          {.version = args.version, .hatanaka = args.hatanaka},
          std::move(*sink));
      if (!writer) {
        return fail(std::move(writer.error()));
      }
      s.observations_.emplace(std::move(*writer));
    }
    if (args.rtcm) {
      s.stream_.emplace(sky,
                        receiver,
                        simulate::RtcmStreamOptions{
                            .station_id = static_cast<int>(number) + 1,
                            .level = args.msm_level});
    }
    return s.open_texts(args, names);
  }

  Status add(const Epoch& epoch, const simulate::EpochTerms& terms) {
    if (observations_) {
      if (const Status added = observations_->add(epoch); !added) {
        return added;
      }
    }
    if (stream_) {
      frames_.clear();
      if (const Status added = stream_->add(epoch, frames_); !added) {
        return added;
      }
      rtcm_->text().append(frames_.begin(), frames_.end());
      if (const Status written = rtcm_->flush(kTextAtOnce); !written) {
        return written;
      }
    }
    if (terms_) {
      simulate::append_terms(terms, terms_->text());
      if (const Status written = terms_->flush(kTextAtOnce); !written) {
        return written;
      }
    }
    simulate::append_truth(terms, truth_->text());
    return truth_->flush(kTextAtOnce);
  }

  Status finish(SimulatedSession& session, rinex::LeftOutValues& left_out) {
    if (observations_) {
      if (const Status done = observations_->finish(); !done) {
        return done;
      }
      for (const auto& [what, count] : observations_->left_out()) {
        left_out[what] += count;
      }
      if (const Status added = add_written(
              *files_, "observations", observation_name_, session.files);
          !added) {
        return added;
      }
    }
    const std::pair<const char*, std::optional<TextFile>*> texts[] = {
        {"rtcm", &rtcm_}, {"truth", &truth_}, {"terms", &terms_}};
    for (const auto& [kind, file] : texts) {
      if (!*file) {
        continue;
      }
      if (const Status done = (*file)->finish(); !done) {
        return done;
      }
      if (const Status added =
              add_written(*files_, kind, (*file)->name(), session.files);
          !added) {
        return added;
      }
    }
    return ok();
  }

 private:
  explicit SessionFiles(ExportFiles& files) : files_(&files) {}

  Result<SessionFiles> open_texts(const SimulateArgs& args,
                                  const SimulatedNames& names) {
    const auto open = [&](std::string name,
                          std::optional<TextFile>& into,
                          std::string heading) -> Status {
      auto file = TextFile::open(*files_, std::move(name));
      if (!file) {
        return fail(std::move(file.error()));
      }
      file->text() = std::move(heading);
      into.emplace(std::move(*file));
      return ok();
    };
    Status status =
        open(names.beside("truth.csv"), truth_, simulate::truth_heading());
    if (status && args.rtcm) {
      status = open(names.beside("rtcm.bin"), rtcm_, {});
    }
    if (status && args.terms) {
      status =
          open(names.beside("terms.csv"), terms_, simulate::terms_heading());
    }
    if (!status) {
      return fail(std::move(status.error()));
    }
    return std::move(*this);
  }

  ExportFiles* files_;
  std::string observation_name_;
  std::optional<rinex::ObservationWriter> observations_;
  std::optional<simulate::RtcmStream> stream_;
  std::optional<TextFile> rtcm_, truth_, terms_;
  std::vector<std::uint8_t> frames_;
};

Result<SimulatedSession> write_receiver(const SimulateArgs& args,
                                        const simulate::Sky& sky,
                                        std::size_t number,
                                        SimulateAnswer& answer,
                                        ExportFiles& files,
                                        const EpochProgress& progress,
                                        long long& made) {
  auto session_files =
      SessionFiles::open(args, sky, number, answer.from, answer.to, files);
  if (!session_files) {
    return fail(std::move(session_files.error()));
  }
  SimulatedSession session;
  session.receiver = number;
  simulate::SimulatedReceiver receiver(sky, number);
  const double interval_s = receiver.description().interval_s;
  const double first_s = sky.seconds(answer.from);
  const double last_s = sky.seconds(answer.to);
  Epoch epoch;
  simulate::EpochTerms terms;
  // Counted, so that no rounding adds up.
  for (std::int64_t i = 0;; ++i) {
    const double t_s = first_s + interval_s * static_cast<double>(i);
    if (t_s >= last_s - 1e-9) {
      break;
    }
    progress(++made);
    if (!receiver.observe(t_s, epoch, &terms)) {
      ++session.missed;
      continue;
    }
    ++session.epochs;
    session.observations += epoch.observations.size();
    if (const Status added = session_files->add(epoch, terms); !added) {
      return fail(added.error());
    }
  }
  if (const Status done = session_files->finish(session, answer.left_out);
      !done) {
    return fail(done.error());
  }
  return session;
}

// Opens, writes with `write`, closes and notes one file of the world.
template <class Write>
Status write_file(ExportFiles& files,
                  const char* kind,
                  const std::string& name,
                  SimulateAnswer& answer,
                  Write&& write) {
  auto sink = files.open(name);
  if (!sink) {
    return fail(std::move(sink.error()));
  }
  if (const Status written = write(**sink); !written) {
    return written;
  }
  if (const Status closed = (*sink)->close(); !closed) {
    return closed;
  }
  return add_written(files, kind, name, answer.files);
}

Status write_navigation_file(const SimulateArgs& args,
                             const simulate::Sky& sky,
                             const SimulatedNames& names,
                             SimulateAnswer& answer,
                             ExportFiles& files) {
  const NavigationData data =
      simulate::make_navigation(sky, answer.from, answer.to);
  const auto write = [&](std::optional<System> only) {
    rinex::NavigationWriterOptions options;
    options.version = args.version;
    options.program = "stillpoint simulate";
    options.comments = {simulate::kSimulatedNote};
    options.only = only;
    return write_file(files,
                      "navigation",
                      names.navigation(only),
                      answer,
                      [&](ByteSink& sink) {
                        return rinex::write_navigation(
                            data, options, sink, answer.left_out);
                      });
  };
  if (args.version != rinex::Version::k211) {
    return write(std::nullopt);
  }
  if (const Status gps = write(System::kGps); !gps) {
    return gps;
  }
  return write(System::kGlonass);
}

Status write_products(const simulate::Sky& sky,
                      const SimulatedNames& names,
                      SimulateAnswer& answer,
                      ExportFiles& files) {
  const GnssTime from = answer.from, to = answer.to;
  const Duration margin{kOrbitMarginS};
  Status status =
      write_file(files,
                 "orbits",
                 names.product("ORB", kOrbitsEveryS, "SP3"),
                 answer,
                 [&](ByteSink& sink) {
                   products::Sp3WriterOptions options;
                   options.comments = {simulate::kSimulatedNote};
                   return products::write_sp3(
                       simulate::make_orbits(
                           sky, from - margin, to + margin, kOrbitsEveryS),
                       options,
                       sink);
                 });
  if (status) {
    status =
        write_file(files,
                   "clocks",
                   names.product("CLK", kClocksEveryS, "CLK"),
                   answer,
                   [&](ByteSink& sink) {
                     return products::write_clocks(
                         simulate::make_clocks(sky,
                                               from - Duration{kClocksEveryS},
                                               to + Duration{kClocksEveryS},
                                               kClocksEveryS),
                         sink);
                   });
  }
  if (status) {
    status = write_file(files,
                        "biases",
                        names.product("OSB", {}, "BIA"),
                        answer,
                        [&](ByteSink& sink) {
                          return products::write_biases(
                              simulate::make_biases(sky, from, to), sink);
                        });
  }
  if (status) {
    status = write_file(
        files, "antennas", names.antennas(), answer, [&](ByteSink& sink) {
          return products::write_antex(simulate::make_antennas(sky), sink);
        });
  }
  return status;
}

}  // namespace

Result<SimulateAnswer> write_scenario(const SimulateArgs& args,
                                      const simulate::Sky& sky,
                                      const EpochProgress& progress) {
  const simulate::Scenario& scenario = sky.scenario();
  auto files = ExportFiles::in(args.out, args.gzip);
  if (!files) {
    return fail(std::move(files.error()));
  }
  SimulateAnswer answer;
  answer.from = args.start.value_or(scenario.start);
  answer.to = args.end.value_or(scenario.start + Duration{scenario.length_s});
  const std::vector<std::size_t> chosen = chosen_receivers(args, scenario);
  const SimulatedNames names(
      args, scenario.receivers[chosen.front()], answer.from, answer.to);
  if (args.rinex) {
    if (const Status written =
            write_navigation_file(args, sky, names, answer, *files);
        !written) {
      return fail(written.error());
    }
  }
  if (args.products) {
    if (const Status written = write_products(sky, names, answer, *files);
        !written) {
      return fail(written.error());
    }
  }
  long long made = 0;
  if (args.rinex || args.rtcm || args.terms) {
    for (const std::size_t number : chosen) {
      auto session =
          write_receiver(args, sky, number, answer, *files, progress, made);
      if (!session) {
        return fail(std::move(session.error()));
      }
      answer.receivers.push_back(std::move(*session));
    }
  }
  return answer;
}

}  // namespace stillpoint::app
