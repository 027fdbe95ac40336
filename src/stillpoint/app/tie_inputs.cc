#include "stillpoint/app/tie_inputs.h"

#include <algorithm>
#include <utility>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/products/antex_reader.h"
#include "stillpoint/products/earth_orientation_reader.h"
#include "stillpoint/products/loading_reader.h"
#include "stillpoint/products/sinex_reader.h"

namespace stillpoint::app {
namespace {

// Opens every path and hands what a reader makes of it to `take`.
template <class Read, class Take>
Status read_each(const std::vector<std::string>& paths, Read read, Take take) {
  for (const std::string& path : paths) {
    if (path.empty()) {
      continue;
    }
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

// Only the patterns of these are kept in memory.
Result<std::vector<std::string>> antenna_types(const TieArgs& args) {
  std::vector<std::string> types;
  std::vector<std::string> firsts{args.common.observations.front()};
  for (const TieTarget& target : args.to) {
    firsts.push_back(target.files.front());
  }
  for (const std::string& text : firsts) {
    auto opened = open_epochs(text);
    if (!opened) {
      return fail(std::move(opened.error()));
    }
    types.push_back((*opened)->header().antenna_type);
  }
  return types;
}

Status read_aids(const TieArgs& args, OrbitInputs& inputs) {
  auto types = antenna_types(args);
  if (!types) {
    return fail(std::move(types.error()));
  }
  Status read = read_each(
      args.common.antennas,
      [&](auto stream) {
        products::AntexReaderOptions options;
        options.receiver_types = *types;
        return products::read_antex(std::move(stream), options);
      },
      [&](AntennaProduct product) {
        return inputs.patterns.add(std::move(product));
      });
  if (!read) {
    return read;
  }
  read = read_each(
      args.common.offsets,
      [](auto stream) { return products::read_sinex(std::move(stream)); },
      [&](SinexProduct product) {
        return inputs.offsets.add(std::move(product.offsets));
      });
  if (!read) {
    return read;
  }
  read = read_each({args.common.earth},
                   products::read_earth_orientation,
                   [&](EarthOrientationProduct product) {
                     return inputs.earth.add(std::move(product));
                   });
  if (!read) {
    return read;
  }
  return read_each({args.common.loading},
                   products::read_loading,
                   [&](LoadingProduct product) {
                     inputs.loading = std::move(product);
                     return ok();
                   });
}

}  // namespace

std::vector<std::string> all_observations(const TieArgs& args) {
  std::vector<std::string> out = args.common.observations;
  for (const TieTarget& target : args.to) {
    out.insert(out.end(), target.files.begin(), target.files.end());
  }
  return out;
}

Result<OrbitInputs> read_tie_inputs(const TieArgs& args) {
  // locate reads the aids for one antenna, and beside precise orbits only.
  LocateArgs orbits_alone = args.common;
  orbits_alone.antennas.clear();
  orbits_alone.offsets.clear();
  orbits_alone.earth.clear();
  orbits_alone.loading.clear();
  auto inputs = read_orbits(orbits_alone, {});
  if (!inputs) {
    return fail(std::move(inputs.error()));
  }
  if (Status read = read_aids(args, *inputs); !read) {
    return fail(std::move(read.error()));
  }
  return inputs;
}

}  // namespace stillpoint::app
