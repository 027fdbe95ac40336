#include "stillpoint/app/locate_fetch.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <memory>
#include <optional>
#include <utility>

#include "stillpoint/app/epoch_reader.h"
#include "stillpoint/app/output.h"
#include "stillpoint/app/progress.h"
#include "stillpoint/fetch/archives_toml.h"
#include "stillpoint/fetch/curl_transfer.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::app {
namespace {

using fetch::ProductKind;

constexpr std::size_t kMostList = std::size_t{256} * 1024;

std::optional<std::string> environment(const std::string& name) {
  const char* value = std::getenv(name.c_str());
  return value == nullptr ? std::nullopt : std::optional<std::string>(value);
}

// The user's own, where none was given.
//
//   source   XDG Base Directory Specification 0.8: a relative value counts as
//            none (from memory)
Result<std::string> cache_folder(const LocateArgs& args) {
  if (!args.cache.empty()) {
    return args.cache;
  }
  const std::string own = environment("XDG_CACHE_HOME").value_or("");
  if (own.starts_with("/")) {
    return own + "/stillpoint";
  }
  const std::string home = environment("HOME").value_or("");
  if (home.starts_with("/")) {
    return home + "/.cache/stillpoint";
  }
  return fail(ErrorCode::kUsage,
              "there is no folder to keep fetched files in: neither "
              "XDG_CACHE_HOME nor HOME says one",
              "",
              "give one with --cache");
}

struct Span {
  GnssTime first, last;
};

// Of the epochs that will be used. Headers may be wrong or silent about the
// last one, so the files are read through.
Result<Span> span_of(const LocateArgs& args) {
  std::optional<Span> span;
  Progress progress("looking at times");
  long long epochs = 0;
  for (const std::string& path : args.observations) {
    auto reader = open_epochs(path);
    if (!reader) {
      return fail(std::move(reader.error()));
    }
    Epoch epoch;
    for (;;) {
      const auto more = (*reader)->next(epoch);
      if (!more) {
        return fail(more.error());
      }
      if (!*more) {
        break;
      }
      progress.step(++epochs);
      const GnssTime t = epoch.time;
      if ((args.start && t < *args.start) || (args.end && t >= *args.end)) {
        continue;
      }
      span = span ? Span{std::min(span->first, t), std::max(span->last, t)}
                  : Span{t, t};
    }
  }
  if (!span) {
    return fail(ErrorCode::kNoData,
                "no epoch of the observations is in the time span",
                args.observations.front(),
                "give a --start and an --end that the files cover");
  }
  return *span;
}

struct Wanted {
  std::vector<ProductKind> needed, if_there;
};

Wanted wanted_by(const LocateArgs& args) {
  const bool ppp = args.method == LocateMethod::kPpp;
  Wanted wanted;
  const auto want = [&](ProductKind kind, bool given, bool needed) {
    if (!given) {
      (needed ? wanted.needed : wanted.if_there).push_back(kind);
    }
  };
  want(ProductKind::kOrbits, !args.orbits.empty(), true);
  // Orbit files have clocks too, which do for the codes.
  want(ProductKind::kClocks, !args.clocks.empty(), ppp);
  want(ProductKind::kBiases, !args.biases.empty(), false);
  if (ppp) {
    want(ProductKind::kEarth, !args.earth.empty(), false);
    want(ProductKind::kAntennas, !args.antennas.empty(), false);
  }
  return wanted;
}

class Fetching {
 public:
  Fetching(fetch::ArchiveList list,
           std::string cache,
           Span span,
           fetch::Transfer& transfer)
      : list_(std::move(list)),
        cache_(std::move(cache)),
        span_(span),
        transfer_(&transfer) {}

  Result<fetch::Fetched> run(const Wanted& wanted) {
    if (!wanted.needed.empty()) {
      return one(wanted.needed, wanted.if_there);
    }
    // Each by itself: nothing needed is left that could decide for all.
    fetch::Fetched all;
    for (const ProductKind kind : wanted.if_there) {
      auto got = one({kind}, {});
      if (!got && got.error().code == ErrorCode::kUsage) {
        return got;
      }
      if (!got) {
        all.warnings.push_back(got.error().text());
        continue;
      }
      append(all.kinds, got->kinds);
      append(all.warnings, got->warnings);
      append(all.better_later, got->better_later);
      append(all.attributions, got->attributions);
    }
    return all;
  }

 private:
  template <class T>
  static void append(std::vector<T>& to, const std::vector<T>& from) {
    for (const T& value : from) {
      to.push_back(value);
    }
  }
  Result<fetch::Fetched> one(std::vector<ProductKind> kinds,
                             std::vector<ProductKind> if_there) {
    fetch::FetchRequest request;
    request.first = span_.first;
    request.last = span_.last;
    request.kinds = std::move(kinds);
    request.if_there = std::move(if_there);
    return fetch::fetch(
        request, list_, cache_, station::wall_now(), *transfer_);
  }

  fetch::ArchiveList list_;
  std::string cache_;
  Span span_;
  fetch::Transfer* transfer_;
};

void warn(FetchedInputs& inputs, const char* code, std::string what) {
  inputs.warnings.push_back({code, std::move(what), std::nullopt});
}

// Orbits, clocks and biases are one estimate; given ones may be of another.
void warn_mixed(const LocateArgs& given,
                const fetch::Fetched& fetched,
                FetchedInputs& inputs) {
  const bool any_given =
      !given.orbits.empty() || !given.clocks.empty() || !given.biases.empty();
  for (const fetch::KindFiles& kind : fetched.kinds) {
    if (any_given && fetch::goes_together(kind.kind)) {
      warn(inputs,
           "products_mixed",
           fmt::format("fetched {} of {} ({}) stand beside given files; "
                       "orbits, clocks and biases must be of one agency and "
                       "quality",
                       fetch::kind_word(kind.kind),
                       kind.agency,
                       fetch::quality_name(kind.quality)));
    }
  }
}

void warn_about(const fetch::Fetched& fetched, FetchedInputs& inputs) {
  std::vector<std::string> parts;
  for (const fetch::KindFiles& kind : fetched.kinds) {
    parts.push_back(kind.kind == ProductKind::kAntennas
                        ? fmt::format("antennas of {}", kind.agency)
                        : fmt::format("{} {} of {}",
                                      fetch::quality_name(kind.quality),
                                      fetch::kind_word(kind.kind),
                                      kind.agency));
  }
  if (!parts.empty()) {
    warn(inputs,
         "products_fetched",
         fmt::format("fetched: {}", fmt::join(parts, ", ")));
  }
  for (const std::string& words : fetched.attributions) {
    warn(inputs,
         "products_attribution",
         fmt::format("to be named with results: {}", words));
  }
  for (const std::string& words : fetched.warnings) {
    warn(inputs, "products_missing", words);
  }
  for (const fetch::Advice& later : fetched.better_later) {
    warn(inputs, "better_products_later", later.text);
  }
}

void add_to(LocateArgs& args,
            const fetch::Fetched& fetched,
            FetchedInputs& inputs) {
  for (const fetch::KindFiles& kind : fetched.kinds) {
    std::vector<std::string> paths;
    for (const fetch::FetchedFile& file : kind.files) {
      paths.push_back(file.path.string());
      inputs.files.push_back(file);
    }
    switch (kind.kind) {
      case ProductKind::kOrbits:
        args.orbits = std::move(paths);
        break;
      case ProductKind::kClocks:
        args.clocks = std::move(paths);
        break;
      case ProductKind::kBiases:
        args.biases = std::move(paths);
        break;
      case ProductKind::kAntennas:
        args.antennas = std::move(paths);
        break;
      case ProductKind::kEarth:
        args.earth = paths.front();
        if (paths.size() > 1) {
          warn(inputs,
               "products_missing",
               fmt::format("Earth rotation of the first of {} files is used",
                           paths.size()));
        }
        break;
      case ProductKind::kNavigation:
      case ProductKind::kIonosphere:
        break;  // never asked for
    }
  }
}

void note(const FetchedInputs& inputs, const std::string& cache) {
  const auto kept = std::count_if(inputs.files.begin(),
                                  inputs.files.end(),
                                  [](auto& file) { return file.from_cache; });
  print_note(
      fmt::format("stillpoint: {} product files in {}, {} of them kept "
                  "from before\n",
                  inputs.files.size(),
                  cache,
                  kept));
}

Result<fetch::ArchiveList> read_list(const std::string& path) {
  const auto text = station::read_small_file(path, kMostList);
  if (!text) {
    return fail(text.error());
  }
  return fetch::parse_archives(*text, path);
}

}  // namespace

Result<FetchedInputs> fetch_inputs(LocateArgs& args) {
  auto list = read_list(args.archives);
  if (!list) {
    return fail(std::move(list.error()));
  }
  auto cache = cache_folder(args);
  if (!cache) {
    return fail(std::move(cache.error()));
  }
  FetchedInputs inputs;
  const Wanted wanted = wanted_by(args);
  if (wanted.needed.empty() && wanted.if_there.empty()) {
    return inputs;
  }
  auto credentials = fetch::read_credentials(*list, environment);
  if (!credentials) {
    return fail(std::move(credentials.error()));
  }
  const auto span = span_of(args);
  if (!span) {
    return fail(span.error());
  }
  fetch::CurlOptions options;
  options.credentials = std::move(*credentials);
  options.proxy = list->proxy;
  const auto transfer = fetch::curl_transfer(std::move(options));
  auto fetched =
      Fetching(std::move(*list), *cache, *span, *transfer).run(wanted);
  if (!fetched) {
    return fail(std::move(fetched.error()));
  }
  warn_about(*fetched, inputs);
  warn_mixed(args, *fetched, inputs);
  add_to(args, *fetched, inputs);
  note(inputs, *cache);
  return inputs;
}

Error forget_unreadable(Error error, const FetchedInputs& fetched) {
  for (const fetch::FetchedFile& file : fetched.files) {
    if (!error.where.starts_with(file.path.string())) {
      continue;
    }
    if (const auto gone = fetch::forget(file); !gone) {
      error.remedy = "take this file out of the cache, then start again: " +
                     gone.error().text();
    } else {
      error.remedy = fmt::format(
          "it was taken out of the cache; start again "
          "to fetch it anew from {}",
          file.url);
    }
    break;
  }
  return error;
}

}  // namespace stillpoint::app
