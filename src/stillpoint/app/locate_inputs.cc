#include "stillpoint/app/locate_inputs.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "stillpoint/aids/precise_orbits.h"
#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/pack/byte_stream.h"
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

Result<PreciseOrbits> read_precise(const std::vector<std::string>& paths) {
  PreciseOrbits orbits;
  for (const std::string& path : paths) {
    auto stream = open_unpacked(path);
    if (!stream) {
      return fail(std::move(stream.error()));
    }
    auto product = products::read_sp3(std::move(*stream));
    if (!product) {
      return fail(std::move(product.error()));
    }
    if (auto added = orbits.add(std::move(*product)); !added) {
      return fail(std::move(added.error()));
    }
  }
  return orbits;
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

Result<OrbitInputs> read_orbits(const std::vector<std::string>& navigation,
                                const std::vector<std::string>& orbits) {
  OrbitInputs inputs;
  auto broadcast = read_broadcast(navigation, inputs.warnings);
  if (!broadcast) {
    return fail(std::move(broadcast.error()));
  }
  inputs.ionosphere = broadcast->ionosphere();
  inputs.any_broadcast =
      std::any_of(kSystems.begin(), kSystems.end(), [&](System system) {
        return broadcast->satellite_count(system) > 0;
      });
  if (orbits.empty()) {
    inputs.source = std::make_unique<BroadcastOrbits>(std::move(*broadcast));
    return inputs;
  }
  auto precise = read_precise(orbits);
  if (!precise) {
    return fail(std::move(precise.error()));
  }
  inputs.precise = true;
  inputs.source = std::make_unique<PreciseOrbits>(std::move(*precise));
  return inputs;
}

}  // namespace stillpoint::app
