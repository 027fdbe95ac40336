// Any text as a list of archives, and what is accepted as the plan of a span of
// three hours. Oracle: what is refused says where, what and the remedy; what is
// accepted is planned, or refused for want of a product; the files of a plan
// begin in order, the required ones touch the span, and their names and
// addresses leave no placeholder.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/fetch/archives_toml.h"
#include "stillpoint/fetch/fetch.h"
#include "stillpoint/fetch/file_name.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::fetch;

// A day of 2020 and a month later.
const GnssTime kFirst = GnssTime::from_ns(1'277'000'000'000'000'000);
const GnssTime kLast = kFirst + Duration{3 * 3600.0};
const GnssTime kNow = kFirst + Duration{30 * 86400.0};

void check_name(const ArchiveList& list,
                const ProductLine& line,
                GnssTime begins) {
  const std::string name = file_name(line, begins);
  STILLPOINT_CHECK(!name.empty() && name.front() != '.');
  STILLPOINT_CHECK(name.find_first_of("/{}") == std::string::npos);
  for (const Archive& archive : list.archives) {
    const std::string url = file_url(archive, line, begins);
    STILLPOINT_CHECK(url.find_first_of("{}@") == std::string::npos);
    STILLPOINT_CHECK(url.find(name) != std::string::npos);
  }
}

void check_line(const ArchiveList& list, const PlannedLine& planned) {
  const ProductLine& line = planned.line;
  constexpr std::size_t kMostFiles = 1000;  // three hours and edges
  STILLPOINT_CHECK(planned.files.size() <= kMostFiles);
  for (const PlannedFile& file : planned.files) {
    STILLPOINT_CHECK(std::is_sorted(file.begins.rbegin(), file.begins.rend()));
    for (const GnssTime begins : file.begins) {
      check_name(list, line, begins);
      STILLPOINT_CHECK(
          line.span_s <= 0 || !file.required ||
          (begins <= kLast && begins + Duration{line.span_s} > kFirst));
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{16} * 1024;  // bounded time
  if (size > kMaxSize) {
    return 0;
  }
  const std::string text(data, data + size);
  const auto list = parse_archives(text, "fuzz");
  if (!list) {
    const Error& error = list.error();
    STILLPOINT_CHECK(error.code == ErrorCode::kConfig);
    STILLPOINT_CHECK(error.where.starts_with("fuzz:"));
    STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
    return 0;
  }
  FetchRequest request;
  request.first = kFirst;
  request.last = kLast;
  request.kinds = {ProductKind::kOrbits};
  request.if_there = {ProductKind::kClocks,
                      ProductKind::kBiases,
                      ProductKind::kEarth,
                      ProductKind::kAntennas};
  const auto planned = plan(request, *list, kNow);
  if (!planned) {
    STILLPOINT_CHECK(planned.error().code == ErrorCode::kNoData);
    return 0;
  }
  for (const PlannedGroup& group : planned->together) {
    for (const PlannedLine& line : group.lines) {
      check_line(*list, line);
    }
  }
  for (const PlannedLine& line : planned->alone) {
    check_line(*list, line);
  }
  return 0;
}
