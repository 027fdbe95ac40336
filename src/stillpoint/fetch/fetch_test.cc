// Which files are taken, what is asked for and what is kept, without a network.
#include "stillpoint/fetch/fetch.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "stillpoint/fetch/cache.h"
#include "stillpoint/fetch/fetch_test_support.h"

namespace stillpoint::fetch {
namespace {

using test::gpst;

// 2026-11-20 is day 324 (31+28+31+30+31+30+31+31+30+31+20) of GPS week 2445.
const std::string kFirst = "https://one.example.org/2445/";
const std::string kSecond = "ftp://two.example.org/pub/2026/324/";
const std::string kOrbits = "_20263240000_01D_15M_ORB.SP3.gz";
const std::string kClocks = "_20263240000_01D_30S_CLK.CLK.gz";

class Fetch : public ::testing::Test {
 protected:
  Fetch() {
    request.first = gpst("2026-11-20T00:00:00");
    request.last = gpst("2026-11-20T23:00:00");
    request.kinds = {ProductKind::kOrbits, ProductKind::kClocks};
    request.edge_s = 0;
  }
  Result<Fetched> go(GnssTime now) {
    archives.asked.clear();
    return fetch(request, list, dir.path("cache"), now, archives);
  }
  void has_day(const std::string& place, const std::string& agency) {
    archives.has(place + agency + kOrbits);
    archives.has(place + agency + kClocks);
  }

  test::TempDir dir;
  test::FakeArchives archives;
  ArchiveList list = test::two_archives();
  FetchRequest request;
  GnssTime late = gpst("2026-12-31");
};

TEST_F(Fetch, FinalFilesAreFetchedOnceAndNeverAskedForAgain) {
  has_day(kFirst, "AAA0OPSFIN");
  const auto got = go(late);
  ASSERT_TRUE(got) << got.error().text();
  ASSERT_EQ(got->kinds.size(), 2U);
  EXPECT_EQ(got->of(ProductKind::kOrbits)->quality, Quality::kFinal);
  const FetchedFile& file = got->of(ProductKind::kOrbits)->files.at(0);
  EXPECT_EQ(file.path, dir.path("cache") / "orbits" / ("AAA0OPSFIN" + kOrbits));
  EXPECT_EQ(test::content_of(file.path),
            archives.files[kFirst + "AAA0OPSFIN" + kOrbits]);
  EXPECT_EQ(file.size_bytes, std::filesystem::file_size(file.path));
  EXPECT_FALSE(file.from_cache);
  EXPECT_EQ(archives.asked.size(), 2U);
  EXPECT_TRUE(got->warnings.empty());
  EXPECT_EQ(got->attributions, std::vector<std::string>({"Agency AAA"}));
  EXPECT_TRUE(std::filesystem::is_empty(dir.path("cache") / ".part"));

  const auto again = go(late + Duration{3650 * 86400.0});
  ASSERT_TRUE(again);
  EXPECT_TRUE(archives.asked.empty());
  EXPECT_TRUE(again->of(ProductKind::kClocks)->files.at(0).from_cache);
  EXPECT_EQ(again->of(ProductKind::kOrbits)->files.at(0).sha256, file.sha256);
  EXPECT_EQ(again->attributions, got->attributions);
}

TEST_F(Fetch, TheSecondArchiveIsAskedForWhatTheFirstLacks) {
  archives.has(kFirst + "AAA0OPSFIN" + kOrbits);
  archives.has(kSecond + "AAA0OPSFIN" + kClocks);
  const auto got = go(late);
  ASSERT_TRUE(got) << got.error().text();
  EXPECT_EQ(got->of(ProductKind::kClocks)->files.at(0).url,
            kSecond + "AAA0OPSFIN" + kClocks);
}

TEST_F(Fetch, RapidWhereFinalIsMissingAndAMissIsRememberedForAnHour) {
  has_day(kFirst, "AAA0OPSRAP");
  const GnssTime now = gpst("2026-11-29T12:00:00");
  const auto got = go(now);
  ASSERT_TRUE(got) << got.error().text();
  EXPECT_EQ(got->of(ProductKind::kOrbits)->quality, Quality::kRapid);
  // Final orbits of two agencies at two archives, and the two rapid files.
  EXPECT_EQ(archives.asked.size(), 6U);
  ASSERT_EQ(got->better_later.size(), 2U);
  EXPECT_EQ(got->better_later.front().quality, Quality::kFinal);

  ASSERT_TRUE(go(now + Duration{3599}));
  EXPECT_TRUE(archives.asked.empty());
  ASSERT_TRUE(go(now + Duration{3600}));
  EXPECT_EQ(archives.asked.size(), 4U);

  has_day(kFirst, "AAA0OPSFIN");
  const auto better = go(now + Duration{3 * 3600});
  ASSERT_TRUE(better);
  EXPECT_EQ(better->of(ProductKind::kOrbits)->quality, Quality::kFinal);
  EXPECT_TRUE(better->better_later.empty());
}

TEST_F(Fetch, RapidFilesAreAskedForAgainAfterADay) {
  has_day(kFirst, "AAA0OPSRAP");
  const GnssTime now = gpst("2026-11-22T12:00:00");
  const auto got = go(now);
  ASSERT_TRUE(got) << got.error().text();
  // Half of 13 days is not over: nobody was asked for final files.
  EXPECT_EQ(archives.asked.size(), 2U);
  const std::string orbits = kFirst + "AAA0OPSRAP" + kOrbits;
  archives.files[orbits] = test::gzipped("a new edition");
  ASSERT_TRUE(go(now + Duration{86399}));
  EXPECT_TRUE(archives.asked.empty());
  const auto newer = go(now + Duration{86400});
  ASSERT_TRUE(newer);
  EXPECT_EQ(archives.asked.size(), 2U);
  const FetchedFile& file = newer->of(ProductKind::kOrbits)->files.at(0);
  EXPECT_EQ(test::content_of(file.path), archives.files[orbits]);
  EXPECT_FALSE(file.from_cache);

  // The archives are gone: what is there serves on, with a warning.
  archives.down = {"https://", "ftp://"};
  const auto old = go(now + Duration{2 * 86400.0});
  ASSERT_TRUE(old) << old.error().text();
  EXPECT_TRUE(old->of(ProductKind::kOrbits)->files.at(0).from_cache);
  EXPECT_FALSE(old->warnings.empty());
}

TEST_F(Fetch, OneAgencyForOrbitsClocksAndBiases) {
  // Orbits of AAA, everything of BBB.
  archives.has(kFirst + "AAA0OPSFIN" + kOrbits);
  archives.has(kFirst + "BBB0OPSFIN_20263240000_01D_05M_ORB.SP3.gz");
  archives.has(kFirst + "BBB0OPSFIN" + kClocks);
  archives.has(kFirst + "BBB0OPSFIN_20263240000_01D_01D_OSB.BIA.gz");
  request.kinds.push_back(ProductKind::kBiases);
  const auto got = go(late);
  ASSERT_TRUE(got) << got.error().text();
  ASSERT_EQ(got->kinds.size(), 3U);
  for (const KindFiles& kind : got->kinds) {
    EXPECT_EQ(kind.agency, "BBB");
    EXPECT_EQ(kind.files.size(), 1U);
  }
  // Biases that need not be there do not decide between agencies.
  request.kinds.pop_back();
  request.if_there = {ProductKind::kBiases};
  has_day(kFirst, "AAA0OPSFIN");
  const auto first = go(late + Duration{7200});
  ASSERT_TRUE(first);
  EXPECT_EQ(first->of(ProductKind::kOrbits)->agency, "AAA");
  EXPECT_EQ(first->of(ProductKind::kBiases), nullptr);
  EXPECT_EQ(first->warnings,
            std::vector<std::string>({"no biases of AAA (final)"}));
}

TEST_F(Fetch, EarthRotationOfTheOrbitsAgencyWhereItIs) {
  archives.has(kFirst + "BBB0OPSFIN_20263240000_01D_05M_ORB.SP3.gz");
  archives.has(kFirst + "BBB0OPSFIN" + kClocks);
  archives.has(kFirst + "AAA0OPSFIN_20263240000_01D_01D_ERP.ERP.gz");
  archives.has(kFirst + "BBB0OPSFIN_20263240000_01D_01D_ERP.ERP.gz");
  archives.has(kFirst + "antennas.atx");
  request.kinds.push_back(ProductKind::kEarth);
  request.if_there = {ProductKind::kAntennas};
  const auto got = go(late);
  ASSERT_TRUE(got) << got.error().text();
  EXPECT_EQ(got->of(ProductKind::kEarth)->agency, "BBB");
  EXPECT_EQ(got->of(ProductKind::kAntennas)->files.at(0).name, "antennas.atx");
  archives.files.erase(kFirst + "BBB0OPSFIN_20263240000_01D_01D_ERP.ERP.gz");
  std::filesystem::remove_all(dir.path("cache"));
  const auto other = go(late);
  ASSERT_TRUE(other) << other.error().text();
  EXPECT_EQ(other->of(ProductKind::kEarth)->agency, "AAA");
}

TEST_F(Fetch, AMissingNeighbourIsAWarning) {
  has_day(kFirst, "AAA0OPSFIN");
  request.last = gpst("2026-11-20T23:59:30");
  const auto got = go(late);
  ASSERT_TRUE(got) << got.error().text();
  EXPECT_EQ(got->of(ProductKind::kOrbits)->files.size(), 1U);
  ASSERT_EQ(got->warnings.size(), 1U);
  EXPECT_EQ(got->warnings.front().substr(0, 7), "orbits:");
  archives.has(kFirst + "AAA0OPSFIN_20263250000_01D_15M_ORB.SP3.gz");
  const auto whole = go(late + Duration{7200});
  ASSERT_TRUE(whole);
  EXPECT_EQ(whole->of(ProductKind::kOrbits)->files.size(), 2U);
  EXPECT_TRUE(whole->warnings.empty());
}

TEST_F(Fetch, UltraRapidFilesFromTheNewestThatIsThere) {
  request.kinds = {ProductKind::kOrbits};
  request.first = gpst("2026-11-20T09:00:00");
  request.last = gpst("2026-11-20T11:00:00");
  archives.has(kFirst + "AAA0OPSULT_20263230000_02D_15M_ORB.SP3.gz");
  const auto got = go(gpst("2026-11-20T12:00:00"));
  ASSERT_TRUE(got) << got.error().text();
  EXPECT_EQ(got->of(ProductKind::kOrbits)->quality, Quality::kUltra);
  // That of 06:00 was asked for at both archives before.
  EXPECT_EQ(archives.asked.size(), 3U);
}

TEST_F(Fetch, NothingYetSaysWhenItComes) {
  const auto got = go(gpst("2026-11-21T12:00:00"));
  ASSERT_FALSE(got);
  EXPECT_EQ(got.error().code, ErrorCode::kNoData);
  EXPECT_NE(got.error().remedy.find(
                "rapid orbits of 2026-11-20 come about 17 hours later (from "
                "about 2026-11-21 17:00)"),
            std::string::npos)
      << got.error().remedy;
  EXPECT_NE(got.error().remedy.find("2026-12-03"), std::string::npos);
  const auto old = go(late);
  ASSERT_FALSE(old);
  EXPECT_EQ(old.error().code, ErrorCode::kNoData);
  EXPECT_NE(old.error().remedy.find("archives.toml"), std::string::npos);
}

TEST_F(Fetch, ArchivesThatDoNotAnswerAreNotMissesAndAreLeftAlone) {
  archives.down = {"https://one", "ftp://two"};
  const auto got = go(late);
  ASSERT_FALSE(got);
  EXPECT_EQ(got.error().code, ErrorCode::kIo);
  EXPECT_EQ(got.error().remedy, "wait");
  // Twice each, though four groups were to be asked for.
  EXPECT_EQ(archives.asked.size(), 4U);
  // The second alone does well, and the failure is told.
  archives.down = {"https://one"};
  has_day(kSecond, "AAA0OPSFIN");
  const auto second = go(late);
  ASSERT_TRUE(second) << second.error().text();
  EXPECT_EQ(second->warnings.size(), 2U);
}

TEST_F(Fetch, AWebPageInPlaceOfAFileIsNotKept) {
  archives.files[kFirst + "AAA0OPSFIN" + kOrbits] = "<html>Sign in</html>";
  archives.files[kSecond + "AAA0OPSFIN" + kOrbits] = test::gzipped("good");
  archives.has(kFirst + "AAA0OPSFIN" + kClocks);
  const auto got = go(late);
  ASSERT_TRUE(got) << got.error().text();
  EXPECT_EQ(got->of(ProductKind::kOrbits)->files.at(0).url,
            kSecond + "AAA0OPSFIN" + kOrbits);
  ASSERT_EQ(got->warnings.size(), 1U);
  EXPECT_NE(got->warnings.front().find("web page"), std::string::npos);
  EXPECT_TRUE(std::filesystem::is_empty(dir.path("cache") / ".part"));
}

TEST_F(Fetch, ADamagedOrForgottenFileIsFetchedAgain) {
  has_day(kFirst, "AAA0OPSFIN");
  const auto got = go(late);
  ASSERT_TRUE(got);
  const FetchedFile file = got->of(ProductKind::kOrbits)->files.at(0);
  std::string damaged = test::content_of(file.path);
  damaged.back() = static_cast<char>(damaged.back() ^ 1);
  dir.file("cache/orbits/" + file.name, damaged);
  ASSERT_TRUE(go(late));
  EXPECT_EQ(archives.asked.size(), 1U);
  EXPECT_EQ(test::content_of(file.path), archives.files[file.url]);
  ASSERT_TRUE(forget(file));
  EXPECT_FALSE(std::filesystem::exists(file.path));
  ASSERT_TRUE(go(late));
  EXPECT_EQ(archives.asked.size(), 1U);
  // A side file that is none.
  dir.file("cache/orbits/" + file.name + ".from", "size -1\nasked_ns\n\n x");
  ASSERT_TRUE(go(late));
  EXPECT_EQ(archives.asked.size(), 1U);
}

TEST_F(Fetch, ACacheThatCannotBeWrittenIsSaidAtOnce) {
  const auto under_a_file = dir.file("file", "") / "cache";
  const auto got = fetch(request, list, under_a_file, late, archives);
  ASSERT_FALSE(got);
  EXPECT_EQ(got.error().code, ErrorCode::kIo);
  EXPECT_TRUE(archives.asked.empty());
  // A folder stands where a file would go.
  has_day(kFirst, "AAA0OPSFIN");
  std::filesystem::create_directories(dir.path("cache") / "orbits" /
                                      ("AAA0OPSFIN" + kOrbits) / "x");
  const auto blocked = go(late);
  ASSERT_FALSE(blocked);
  EXPECT_EQ(blocked.error().code, ErrorCode::kIo);
  EXPECT_EQ(archives.asked.size(), 1U);
}

TEST_F(Fetch, OneProcessAtATime) {
  const auto other = Cache::open(dir.path("cache"));
  ASSERT_TRUE(other);
  const auto got = go(late);
  ASSERT_FALSE(got);
  EXPECT_NE(got.error().what.find("another program"), std::string::npos);
}

TEST_F(Fetch, AnAddressWithTheNameBehindAQuestionMark) {
  list.archives = {{"q", "https://q.example.org/get?token=hush&n={file}", ""}};
  const std::string place = "https://q.example.org/get?token=hush&n=";
  has_day(place, "BBB0OPSFIN");
  archives.has(place + "BBB0OPSFIN_20263240000_01D_05M_ORB.SP3.gz");
  const auto got = go(late);
  ASSERT_TRUE(got) << got.error().text();
  const FetchedFile& file = got->of(ProductKind::kOrbits)->files.at(0);
  EXPECT_EQ(file.url, "https://q.example.org/get");
  for (const auto& one :
       std::filesystem::recursive_directory_iterator(dir.path("cache"))) {
    if (one.is_regular_file() && one.path().extension() != ".gz") {
      EXPECT_EQ(test::content_of(one.path()).find("hush"), std::string::npos)
          << one.path();
    }
  }
}

}  // namespace
}  // namespace stillpoint::fetch
