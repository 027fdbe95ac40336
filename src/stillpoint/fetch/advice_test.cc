// When products usually come: the latencies themselves are common practice,
// no source; what is tested is that they are told of the right files.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "stillpoint/fetch/fetch_test_support.h"

namespace stillpoint::fetch {
namespace {

using test::gpst;

std::vector<std::string> texts(const FetchRequest& request, GnssTime now) {
  const auto planned = plan(request, test::two_archives(), now);
  EXPECT_TRUE(planned);
  std::vector<std::string> out;
  for (const Advice& one : when_to_expect(*planned, request, now)) {
    out.push_back(one.text);
  }
  return out;
}

TEST(Advice, OneForEachQualityThatIsToCome) {
  FetchRequest request;
  request.first = gpst("2026-11-20T00:00:00");
  request.last = gpst("2026-11-20T23:59:30");
  request.kinds = {ProductKind::kOrbits};
  const std::string final_text =
      "final orbits of 2026-11-20 come about 13 days later (from about "
      "2026-12-03)";
  const std::string rapid_text =
      "rapid orbits of 2026-11-20 come about 17 hours later (from about "
      "2026-11-21 17:00)";
  EXPECT_EQ(texts(request, gpst("2026-11-21T06:00:00")),
            std::vector<std::string>({rapid_text, final_text}));
  EXPECT_EQ(texts(request, gpst("2026-11-22")),
            std::vector<std::string>({final_text}));
  EXPECT_EQ(texts(request, gpst("2026-12-05")), std::vector<std::string>());
}

TEST(Advice, TheLastDayCounts) {
  FetchRequest request;
  request.first = gpst("2026-11-20T00:00:00");
  request.last = gpst("2026-11-22T00:00:00");
  request.kinds = {ProductKind::kClocks};
  request.worst = Quality::kFinal;
  const auto found = texts(request, gpst("2026-11-23"));
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found.front(),
            "final clocks of 2026-11-20 to 2026-11-21 come about 13 days later "
            "(from about 2026-12-04)");
}

TEST(Advice, UltraRapidFromTheEarliestFileThatCovers) {
  FetchRequest request;
  request.first = gpst("2026-11-20T09:00:00");
  request.last = gpst("2026-11-20T11:00:00");
  request.kinds = {ProductKind::kOrbits};
  request.edge_s = 0;
  const auto planned = plan(request, test::two_archives(), request.first);
  ASSERT_TRUE(planned);
  // From 12:00 of the 18th: a day observed, three hours until it is there.
  EXPECT_EQ(planned->together.back().lines.front().expected,
            gpst("2026-11-19T15:00:00"));
}

}  // namespace
}  // namespace stillpoint::fetch
