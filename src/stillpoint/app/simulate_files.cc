#include "stillpoint/app/simulate_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "stillpoint/app/simulate_session.h"
#include "stillpoint/products/antex_writer.h"
#include "stillpoint/products/bias_writer.h"
#include "stillpoint/products/clock_writer.h"
#include "stillpoint/products/sp3_writer.h"
#include "stillpoint/rinex/navigation_writer.h"
#include "stillpoint/simulate/sky/broadcast_sets.h"
#include "stillpoint/simulate/sky/precise_products.h"

namespace stillpoint::app {
namespace {

constexpr double kOrbitsEveryS = 300, kClocksEveryS = 30;
// Orbits are interpolated over eleven samples: so much before and after.
constexpr double kOrbitMarginS = 3600;
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
    if (Status added = session_files->add(epoch, terms); !added) {
      return fail(added.error());
    }
  }
  if (Status done = session_files->finish(session, answer.left_out); !done) {
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
  if (Status written = write(**sink); !written) {
    return written;
  }
  if (Status closed = (*sink)->close(); !closed) {
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
  if (Status gps = write(System::kGps); !gps) {
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
    if (Status written =
            write_navigation_file(args, sky, names, answer, *files);
        !written) {
      return fail(written.error());
    }
  }
  if (args.products) {
    if (Status written = write_products(sky, names, answer, *files); !written) {
      return fail(written.error());
    }
  }
  long long made = 0;
  if (args.rinex || args.rtcm || args.bytes || args.terms) {
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
