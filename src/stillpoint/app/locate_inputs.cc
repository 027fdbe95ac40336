#include "stillpoint/app/locate_inputs.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/datum/frames.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/products/antex_reader.h"
#include "stillpoint/products/bias_reader.h"
#include "stillpoint/products/clock_reader.h"
#include "stillpoint/products/earth_orientation_reader.h"
#include "stillpoint/products/loading_reader.h"
#include "stillpoint/products/sinex_reader.h"
#include "stillpoint/products/sp3.h"
#include "stillpoint/rinex/navigation_reader.h"

namespace stillpoint::app {
namespace {

Result<BroadcastOrbits> read_broadcast(const std::vector<std::string>& paths,
                                       std::vector<solve::Warning>& warnings) {
  BroadcastOrbits orbits;
  for (const std::string& text : paths) {
    const auto input = parse_input(text);
    if (!input) {
      return fail(input.error());
    }
    const std::string& path = input->path;
    if (is_capture(path)) {
      const auto facts = capture_facts(*input);
      if (!facts) {
        return fail(facts.error());
      }
      orbits.add(facts->navigation);
      continue;
    }
    auto stream = open_unpacked(path);
    if (!stream) {
      return fail(std::move(stream.error()));
    }
    auto file = rinex::read_navigation(std::move(*stream));
    if (!file) {
      return fail(std::move(file.error()));
    }
    orbits.add(file->data);
    warn_damaged(path, file->problem_count, file->problems, warnings);
  }
  return orbits;
}

// Opens every path and hands what a reader makes of it to `take`.
template <class Read, class Take>
Status read_each(const std::vector<std::string>& paths, Read read, Take take) {
  for (const std::string& path : paths) {
    auto stream = open_unpacked(path);
    if (!stream) {
      return fail(std::move(stream.error()));
    }
    auto product = read(std::move(*stream));
    if (!product) {
      return fail(std::move(product.error()));
    }
    if (Status taken = take(std::move(*product)); !taken) {
      return taken;
    }
  }
  return ok();
}

// One name for an agency, whatever its orbit and clock files call it.
std::string agency_of(std::string_view label) {
  constexpr std::pair<std::string_view, std::string_view> kSame[] = {
      {"AIU", "COD"}, {"ESO", "ESA"}, {"WUM", "WHU"}};
  std::string first(label.substr(0, std::min<std::size_t>(3, label.size())));
  for (const auto& [orbit, clock] : kSame) {
    if (first == orbit) {
      return std::string(clock);
    }
  }
  return first;
}

// Clocks go with the orbits that they were computed with.
void compare_origin(const ClockProduct& clocks,
                    const std::string& orbit_agency,
                    const std::string& orbit_frame,
                    std::vector<solve::Warning>& warnings) {
  const std::string agency = agency_of(clocks.analysis_centre);
  if (!agency.empty() && !orbit_agency.empty() && agency != orbit_agency) {
    warnings.push_back(
        {"products_mixed",
         fmt::format(
             "{}: clocks of '{}' beside orbits of '{}'; the clocks make "
             "up for their own orbits' errors, not for those of others",
             clocks.source,
             clocks.analysis_centre,
             orbit_agency),
         0.03});
  }
  const FrameLabel a = frame_of_label(clocks.frame_label);
  const FrameLabel b = frame_of_label(orbit_frame);
  if (a.known && b.known && a.aligned_to != b.aligned_to) {
    warnings.push_back({"products_mixed",
                        fmt::format("{}: clocks computed in {}, orbits in {}",
                                    clocks.source,
                                    clocks.frame_label,
                                    orbit_frame),
                        0.02});
  }
}

Status read_source(const LocateArgs& args,
                   PreciseSource& source,
                   std::vector<solve::Warning>& warnings) {
  std::string agency;
  Status read = read_each(args.orbits, products::read_sp3, [&](auto product) {
    agency = agency.empty() ? agency_of(product.agency) : agency;
    return source.orbits.add(std::move(product));
  });
  if (!read) {
    return read;
  }
  read = read_each(
      args.clocks,
      [](auto stream) {
        return products::read_clocks(std::move(stream), {.stations = false});
      },
      [&](ClockProduct product) {
        compare_origin(product, agency, source.frame_label(), warnings);
        source.clocks.add(std::move(product));
        return ok();
      });
  source.has_clocks = !args.clocks.empty();
  if (!read) {
    return read;
  }
  source.has_biases = !args.biases.empty();
  return read_each(args.biases, products::read_biases, [&](auto product) {
    return source.biases.add(product);
  });
}

Status read_aids(const LocateArgs& args,
                 const std::string& receiver_type,
                 OrbitInputs& inputs) {
  Status read = read_each(
      args.antennas,
      [&](auto stream) {
        products::AntexReaderOptions options;
        options.receiver_types = {receiver_type};
        return products::read_antex(std::move(stream), options);
      },
      [&](AntennaProduct product) {
        return inputs.patterns.add(std::move(product));
      });
  if (!read) {
    return read;
  }
  read = read_each(
      args.offsets,
      [](auto stream) { return products::read_sinex(std::move(stream)); },
      [&](SinexProduct product) {
        return inputs.offsets.add(std::move(product.offsets));
      });
  if (!read) {
    return read;
  }
  const auto one = [](const std::string& path) {
    return path.empty() ? std::vector<std::string>{}
                        : std::vector<std::string>{path};
  };
  read = read_each(one(args.earth),
                   products::read_earth_orientation,
                   [&](EarthOrientationProduct product) {
                     return inputs.earth.add(std::move(product));
                   });
  if (!read) {
    return read;
  }
  return read_each(
      one(args.loading), products::read_loading, [&](LoadingProduct product) {
        inputs.loading = std::move(product);
        return ok();
      });
}

}  // namespace

void warn_damaged(const std::string& path,
                  std::size_t count,
                  const std::vector<rinex::Problem>& problems,
                  std::vector<solve::Warning>& warnings) {
  if (problems.empty()) {
    return;
  }
  warnings.push_back(
      {"input_damaged",
       fmt::format("{}: {} damaged places were stepped over, the first at "
                   "{}: {}",
                   path,
                   count,
                   problems.front().where,
                   problems.front().what),
       std::nullopt});
}

Result<OrbitInputs> read_orbits(const LocateArgs& args,
                                const std::string& receiver_type) {
  OrbitInputs inputs;
  auto broadcast = read_broadcast(args.navigation, inputs.warnings);
  if (!broadcast) {
    return fail(std::move(broadcast.error()));
  }
  inputs.ionosphere = broadcast->ionosphere();
  inputs.any_broadcast =
      std::any_of(kSystems.begin(), kSystems.end(), [&](System system) {
        return broadcast->satellite_count(system) > 0;
      });
  if (args.orbits.empty()) {
    inputs.source = std::make_unique<BroadcastOrbits>(std::move(*broadcast));
    return inputs;
  }
  auto precise = std::make_unique<PreciseSource>();
  if (Status read = read_source(args, *precise, inputs.warnings); !read) {
    return fail(std::move(read.error()));
  }
  if (Status read = read_aids(args, receiver_type, inputs); !read) {
    return fail(std::move(read.error()));
  }
  inputs.products = precise.get();
  for (std::uint8_t number = 1; number < 100; ++number) {
    const SatId sat{System::kGlonass, number};
    inputs.glonass_channel[number] = broadcast->glonass_channel(sat);
  }
  inputs.precise = true;
  inputs.source = std::move(precise);
  return inputs;
}

Status complete_orbits(const std::vector<std::string>& observations,
                       LocateArgs& args) {
  if (!args.navigation.empty() || !args.orbits.empty()) {
    return ok();
  }
  for (const std::string& text : observations) {
    const auto input = parse_input(text);
    if (!input) {
      return fail(input.error());
    }
    if (is_capture(input->path)) {
      args.navigation.push_back(text);
    }
  }
  if (args.navigation.empty()) {
    return fail(ErrorCode::kUsage,
                "no orbits: neither --nav nor --orbits was given",
                "",
                "give the broadcast navigation file of the day with --nav or "
                "precise orbits with --orbits, or have them brought with "
                "--fetch");
  }
  return ok();
}

}  // namespace stillpoint::app
