#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "stillpoint/core/check.h"
#include "stillpoint/fetch/fetch.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::fetch {
namespace {

constexpr double kLongestSpanS = 31 * 86400.0;
constexpr double kLongestEdgeS = 2 * 86400.0;
constexpr double kShortestStepS = 900;
// Nobody publishes in less than half of the usual time (common practice, no
// source): until then nobody is asked.
constexpr double kEarliest = 0.5;

bool has(const std::vector<ProductKind>& kinds, ProductKind kind) {
  return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}

std::int64_t ns_of(double s) {
  return std::llround(s * 1e9);
}

// The latest start of a file at or before t. Files start at whole steps from
// midnight, or from the beginning of the week where the step is no part of a
// day; both are whole steps from the first week.
GnssTime start_before(GnssTime t, double every_s) {
  const std::int64_t every = ns_of(every_s);
  return GnssTime::from_ns(t.ns() / every * every);
}

struct Span {
  GnssTime first, last;
};

// Files side by side.
void add_daily(const ProductLine& line,
               Span required,
               Span wanted,
               std::vector<PlannedFile>& files) {
  GnssTime begins = start_before(wanted.first, line.every_s);
  while (begins <= wanted.last) {
    // One that begins where the span ends is of the edges.
    const bool needed = begins + Duration{line.span_s} > required.first &&
                        (begins < required.last || begins <= required.first);
    files.push_back({{begins}, needed});
    begins = begins + Duration{line.every_s};
  }
  // What lies behind the last sample needs the first one of the next file.
  if (wanted.last > begins - Duration{line.sample_s}) {
    files.push_back({{begins}, false});
  }
}

// Files that overlap: a piece that one file covers after the other, each with
// all the files that do.
void add_overlapping(const ProductLine& line,
                     Duration piece,
                     Span required,
                     Span wanted,
                     std::vector<PlannedFile>& files) {
  const Span cover = wanted.last - wanted.first <= piece ? wanted : required;
  GnssTime from = cover.first;
  GnssTime to = from;
  do {
    to = std::min(cover.last, from + piece);
    PlannedFile file;
    GnssTime begins = start_before(from, line.every_s);
    while (begins + Duration{line.span_s - line.sample_s} >= to) {
      file.begins.push_back(begins);
      begins = begins - Duration{line.every_s};
    }
    files.push_back(std::move(file));
    from = to;
  } while (to < cover.last);
}

// When the file that begins then is usually there.
GnssTime published(const ProductLine& line, GnssTime begins, double share) {
  return begins + Duration{line.observed_s} + Duration{share * line.latency_s};
}

PlannedLine planned(const ProductLine& line,
                    const FetchRequest& request,
                    GnssTime now) {
  PlannedLine result;
  result.line = line;
  if (line.span_s <= 0) {
    result.files.push_back({{GnssTime{}}, true});
    // {yyyy} of such a name, where somebody writes it.
    result.files.back().begins.front() = start_before(request.first, 86400.0);
    return result;
  }
  const Span required{request.first, request.last};
  Span wanted = required;
  if (line.kind == ProductKind::kOrbits) {
    wanted = {required.first - Duration{request.edge_s},
              required.last + Duration{request.edge_s}};
  }
  STILLPOINT_CHECK(line.every_s >= kShortestStepS);
  // Wherever a piece of this length begins, one file covers it.
  const Duration piece{line.span_s - line.every_s - line.sample_s};
  if (piece.s >= kShortestStepS) {
    add_overlapping(line, piece, required, wanted, result.files);
  } else {
    add_daily(line, required, wanted, result.files);
  }
  for (const PlannedFile& file : result.files) {
    if (file.required) {
      // Of overlapping files the earliest that would do.
      result.expected =
          std::max(result.expected, published(line, file.begins.back(), 1.0));
      result.too_early = result.too_early ||
                         published(line, file.begins.back(), kEarliest) > now;
    }
  }
  // A file that cannot be there yet is not asked for.
  for (PlannedFile& file : result.files) {
    std::erase_if(file.begins, [&](GnssTime begins) {
      return published(line, begins, kEarliest) > now;
    });
  }
  return result;
}

Status check(const FetchRequest& request) {
  const auto wrong = [](std::string what) {
    return fail(ErrorCode::kUsage, std::move(what));
  };
  if (request.kinds.empty()) {
    return wrong("no kind of product is asked for");
  }
  const double span_s = (request.last - request.first).s;
  if (!(span_s >= 0 && span_s <= kLongestSpanS)) {
    return wrong("products are fetched for spans of 0 to 31 days");
  }
  // A year within the calendar's limits, for edges and overlapping files.
  if (to_calendar(request.first, TimeScale::kGps).year < 1981 ||
      to_calendar(request.last, TimeScale::kGps).year > 2199) {
    return wrong("products are fetched for 1981 to 2199");
  }
  if (!(request.edge_s >= 0 && request.edge_s <= kLongestEdgeS)) {
    return wrong("the edges of orbits have 0 to 2 days");
  }
  return ok();
}

std::vector<PlannedGroup> groups_of(const FetchRequest& request,
                                    const ArchiveList& list,
                                    GnssTime now) {
  std::vector<PlannedGroup> groups;
  for (const ProductLine& line : list.products) {
    if (!goes_together(line.kind) || line.quality > request.worst ||
        (!has(request.kinds, line.kind) && !has(request.if_there, line.kind))) {
      continue;
    }
    const auto same = [&](const PlannedGroup& group) {
      return group.agency == line.agency && group.campaign == line.campaign &&
             group.quality == line.quality;
    };
    auto found = std::find_if(groups.begin(), groups.end(), same);
    if (found == groups.end()) {
      groups.push_back({line.agency, line.campaign, line.quality, {}});
      found = groups.end() - 1;
    }
    found->lines.push_back(planned(line, request, now));
  }
  std::erase_if(groups, [&](const PlannedGroup& group) {
    return std::any_of(
        request.kinds.begin(), request.kinds.end(), [&](ProductKind kind) {
          return goes_together(kind) &&
                 std::none_of(group.lines.begin(),
                              group.lines.end(),
                              [&](auto& one) { return one.line.kind == kind; });
        });
  });
  std::stable_sort(groups.begin(), groups.end(), [](auto& a, auto& b) {
    return a.quality < b.quality;
  });
  return groups;
}

std::string words_of(const std::vector<ProductKind>& kinds) {
  std::vector<std::string> words;
  for (const ProductKind kind : kinds) {
    if (goes_together(kind)) {
      words.emplace_back(kind_word(kind));
    }
  }
  return fmt::format("{}", fmt::join(words, ", "));
}

}  // namespace

Result<FetchPlan> plan(const FetchRequest& request,
                       const ArchiveList& list,
                       GnssTime now) {
  if (auto state = check(request); !state) {
    return fail(std::move(state.error()));
  }
  FetchPlan result;
  result.together = groups_of(request, list, now);
  for (const ProductLine& line : list.products) {
    if (!goes_together(line.kind) && line.quality <= request.worst &&
        (has(request.kinds, line.kind) || has(request.if_there, line.kind))) {
      result.alone.push_back(planned(line, request, now));
    }
  }
  std::stable_sort(
      result.alone.begin(), result.alone.end(), [](auto& a, auto& b) {
        return a.line.quality < b.line.quality;
      });
  for (const ProductKind kind : request.kinds) {
    const bool listed =
        goes_together(kind)
            ? !result.together.empty()
            : std::any_of(result.alone.begin(),
                          result.alone.end(),
                          [&](auto& one) { return one.line.kind == kind; });
    if (!listed) {
      return fail(ErrorCode::kNoData,
                  goes_together(kind)
                      ? fmt::format("no agency of the list has all of: {}",
                                    words_of(request.kinds))
                      : fmt::format("the list has no product of kind {}",
                                    kind_word(kind)),
                  {},
                  "add its [[product]] to archives.toml (docs/fetch.md)");
    }
  }
  return result;
}

}  // namespace stillpoint::fetch
