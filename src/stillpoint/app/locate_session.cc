#include "stillpoint/app/locate_session.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <utility>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/app/progress.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

bool same_offset(const Enu& a, const Enu& b) {
  return std::abs(a.e_m - b.e_m) < 1e-4 && std::abs(a.n_m - b.n_m) < 1e-4 &&
         std::abs(a.u_m - b.u_m) < 1e-4;
}

// Several files are one receiver: the same marker, the same antenna set-up.
Status check_same(const rinex::ObservationHeader& first,
                  const rinex::ObservationHeader& next,
                  const std::string& path) {
  if (first.marker_name != next.marker_name) {
    return fail(ErrorCode::kMixedInput,
                fmt::format("this file is of marker '{}', the first one of "
                            "'{}'",
                            next.marker_name,
                            first.marker_name),
                path,
                "locate each receiver by itself");
  }
  if (first.antenna_type != next.antenna_type ||
      !same_offset(first.antenna_delta_enu_m, next.antenna_delta_enu_m)) {
    return fail(ErrorCode::kMixedInput,
                fmt::format("antenna or antenna height differ from the first "
                            "file's ('{}', {:.4f} m up; here '{}', {:.4f} m)",
                            first.antenna_type,
                            first.antenna_delta_enu_m.u_m,
                            next.antenna_type,
                            next.antenna_delta_enu_m.u_m),
                path,
                "locate the files before and after the change by themselves");
  }
  return ok();
}

solve::CodeOptions options_for(const LocateArgs& args,
                               const OrbitInputs& orbits,
                               const rinex::ObservationHeader& header) {
  solve::CodeOptions options;
  options.systems = args.systems;
  options.elevation_mask_rad = args.elevation_mask_deg * std::numbers::pi / 180;
  options.without = args.without;
  options.antenna_delta_enu_m = header.antenna_delta_enu_m;
  options.header_position_m = header.approx_position_m;
  options.ionosphere = orbits.ionosphere;
  for (const auto& [sat, channel] : header.glonass_channels) {
    options.glonass_channel[sat.number] = channel;
  }
  for (std::size_t number = 0; number < options.glonass_channel.size();
       ++number) {
    auto& channel = options.glonass_channel[number];
    channel = channel ? channel : orbits.glonass_channel[number];
  }
  return options;
}

solve::PppOptions ppp_options_for(const LocateArgs& args,
                                  const OrbitInputs& orbits,
                                  const rinex::ObservationHeader& header) {
  solve::PppOptions options;
  static_cast<solve::CodeOptions&>(options) = options_for(args, orbits, header);
  options.antenna_type = header.antenna_type;
  options.antenna_serial = header.antenna_serial;
  options.integers = args.integers;
  solve::PppAids& aids = options.aids;
  aids.patterns = &orbits.patterns;
  aids.offsets = &orbits.offsets;
  if (const PreciseSource* products = orbits.products) {
    aids.biases = products->has_biases ? &products->biases : nullptr;
    aids.orbits_first = products->orbits.first();
    aids.orbits_last = products->orbits.last();
    if (products->has_clocks) {
      aids.clocks_first = products->clocks.first();
      aids.clocks_last = products->clocks.last();
      aids.clocks = &products->clocks;
    }
  }
  aids.earth = args.earth.empty() ? nullptr : &orbits.earth;
  aids.loading = find_station(orbits.loading, header.marker_name);
  return options;
}

// The one or the other method, fed and asked alike.
class AnySolver {
 public:
  AnySolver(const LocateArgs& args,
            const OrbitInputs& orbits,
            const rinex::ObservationHeader& header) {
    if (args.method == LocateMethod::kPpp) {
      ppp_.emplace(ppp_options_for(args, orbits, header), *orbits.source);
    } else {
      code_.emplace(options_for(args, orbits, header), *orbits.source);
    }
  }
  void add(const Epoch& epoch) {
    if (ppp_) {
      ppp_->add(epoch);
    } else {
      code_->add(epoch);
    }
  }
  solve::Solution finish() { return ppp_ ? ppp_->solve() : code_->finish(); }
  [[nodiscard]] solve::PppSeries series() const {
    return ppp_ ? ppp_->series() : solve::PppSeries{};
  }

 private:
  std::optional<solve::CodeSolver> code_;
  std::optional<solve::PppSolver> ppp_;
};

// Feeds one file; `last` is the time of the last epoch fed so far.
struct Feed {
  const LocateArgs& args;
  AnySolver& solver;
  Progress& progress;
  std::optional<GnssTime> last;
  long long epochs = 0;
  long long out_of_order = 0;
};

Status feed(EpochReader& reader, Feed& f) {
  Epoch epoch;
  for (;;) {
    const auto more = reader.next(epoch);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      return ok();
    }
    f.progress.step(++f.epochs);
    if ((f.args.start && epoch.time < *f.args.start) ||
        (f.args.end && epoch.time >= *f.args.end)) {
      continue;
    }
    if (f.last && epoch.time <= *f.last) {
      ++f.out_of_order;
      continue;
    }
    f.last = epoch.time;
    f.solver.add(epoch);
  }
}

void warn_set_up_changed(const rinex::ObservationHeader& before,
                         const rinex::ObservationHeader& after,
                         const std::string& path,
                         std::vector<solve::Warning>& warnings) {
  if (!same_offset(before.antenna_delta_enu_m, after.antenna_delta_enu_m) ||
      before.antenna_type != after.antenna_type) {
    warnings.push_back(
        {"antenna_changed",
         path + ": the antenna or its height changes in the middle of the "
                "file; the values of its first header were used",
         std::nullopt});
  }
}

}  // namespace

Result<LocateSession> locate_session(const LocateArgs& args,
                                     const OrbitInputs& orbits) {
  LocateSession session;
  std::optional<AnySolver> solver;
  std::vector<solve::Warning> warnings = orbits.warnings;
  Progress progress("reading");
  std::optional<Feed> f;
  for (const std::string& path : args.observations) {
    auto opened = open_epochs(path);
    if (!opened) {
      return fail(std::move(opened.error()));
    }
    const std::unique_ptr<EpochReader> reader = std::move(*opened);
    const rinex::ObservationHeader header = reader->header();
    if (!solver) {
      session.header = header;
      solver.emplace(args, orbits, header);
      f.emplace(Feed{args, *solver, progress, std::nullopt});
    } else if (auto same = check_same(session.header, header, path); !same) {
      return fail(std::move(same.error()));
    }
    if (auto fed = feed(*reader, *f); !fed) {
      return fail(std::move(fed.error()));
    }
    warn_set_up_changed(header, reader->header(), path, warnings);
    reader->warn(warnings);
  }
  if (f->out_of_order > 0) {
    warnings.push_back(
        {"epochs_out_of_order",
         fmt::format("{} epochs were not later than the one before and were "
                     "left out; give the files in time order",
                     f->out_of_order),
         std::nullopt});
  }
  session.solution = solver->finish();
  session.series = solver->series();
  auto& all = session.solution.warnings;
  if (session.solution.last && *session.solution.last > leap_table_expires()) {
    all.push_back({"leap_table_expired",
                   "the table of leap seconds may be out of date for these "
                   "data; update the program",
                   std::nullopt});
  }
  all.insert(all.end(), warnings.begin(), warnings.end());
  return session;
}

}  // namespace stillpoint::app
