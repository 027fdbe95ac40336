#include <gtest/gtest.h>

#include <optional>
#include <string>
#include <utility>

#include "stillpoint/ntrip/client_source.h"
#include "stillpoint/ntrip/test_caster.h"

namespace stillpoint::ntrip {
namespace {

constexpr const char* kTable = "STR;LHOL00XXX;Seed store\r\nENDSOURCETABLE\r\n";

struct Fetched {
  std::optional<Result<Sourcetable>> result;
  std::vector<std::string> requests;
};

Fetched fetch(std::vector<Script> scripts, double connect_s = 10) {
  net::Loop loop;
  const TestCaster caster(loop, std::move(scripts));
  net::SourceOptions options = quick_options();
  options.connect_s = connect_s;
  Fetched fetched;
  const auto request =
      fetch_sourcetable(loop,
                        address_of(caster),
                        options,
                        test_client(),
                        [&](Result<Sourcetable> table) {
                          EXPECT_FALSE(fetched.result.has_value());
                          fetched.result = std::move(table);
                          loop.stop();
                        });
  EXPECT_TRUE(run(loop));
  fetched.requests = caster.requests();
  return fetched;
}

TEST(TableFetch, EveryForm) {
  for (const std::string& head :
       {std::string("SOURCETABLE 200 OK\r\n\r\n"),
        std::string("HTTP/1.1 200 OK\r\nContent-Type: gnss/sourcetable\r\n"
                    "\r\n")}) {
    const Fetched f = fetch({{{head + kTable}, false}});
    ASSERT_TRUE(f.result && f.result->has_value());
    EXPECT_TRUE((*f.result)->complete);
    EXPECT_EQ((*f.result)->streams().at(0)->mountpoint, "LHOL00XXX");
    EXPECT_TRUE(f.requests.at(0).starts_with("GET / HTTP/1.1\r\n"));
  }
}

TEST(TableFetch, LengthEndsIt) {
  const Fetched f = fetch({{{"SOURCETABLE 200 OK\r\nContent-Length: 12\r\n\r\n"
                             "STR;LHOL;a\r\nSTR;MORE;b\r\n"},
                            false}});
  ASSERT_TRUE(f.result && f.result->has_value());
  EXPECT_FALSE((*f.result)->complete);
  EXPECT_EQ((*f.result)->records.size(), 1U);
}

TEST(TableFetch, ChunkedTable) {
  const Fetched f =
      fetch({{{"HTTP/1.1 200 OK\r\nContent-Type: gnss/sourcetable\r\n"
               "Transfer-Encoding: chunked\r\n\r\n5\r\nSTR;A\r\n3\r\n;b\n\r\n",
               "0\r\n\r\n"},
              false}});
  ASSERT_TRUE(f.result && f.result->has_value());
  EXPECT_EQ((*f.result)->streams().at(0)->mountpoint, "A");
}

TEST(TableFetch, FallsBackToVersion1) {
  const Fetched f = fetch(
      {{{"HTTP/1.0 501 x\r\n\r\n"}}, {{}}, {{"nothing asks a third time"}}});
  ASSERT_TRUE(f.result && !f.result->has_value());
  EXPECT_EQ(f.result->error().code, ErrorCode::kIo);
  ASSERT_EQ(f.requests.size(), 2U);
  EXPECT_TRUE(f.requests[1].starts_with("GET / HTTP/1.0\r\n"));
}

TEST(TableFetch, Refused) {
  const Fetched f = fetch({{{"HTTP/1.1 401 Unauthorized\r\n\r\n"}}});
  ASSERT_TRUE(f.result && !f.result->has_value());
  EXPECT_EQ(f.result->error().code, ErrorCode::kConfig);
}

TEST(TableFetch, StreamWhereTheTableShouldBe) {
  const Fetched f = fetch({{{"ICY 200 OK\r\n\r\n\xD3"}, false}});
  ASSERT_TRUE(f.result && !f.result->has_value());
  EXPECT_EQ(f.result->error().code, ErrorCode::kConfig);
}

TEST(TableFetch, TableThatDoesNotEnd) {
  const Fetched empty = fetch({{{"SOURCETABLE 200 OK\r\n\r\n"}, false}}, 0.05);
  ASSERT_TRUE(empty.result && !empty.result->has_value());
  EXPECT_EQ(empty.result->error().what,
            "the source table does not come to its end");
  const Fetched part =
      fetch({{{"SOURCETABLE 200 OK\r\n\r\nSTR;A;b\r\n"}, false}}, 0.05);
  ASSERT_TRUE(part.result && part.result->has_value());
  EXPECT_FALSE((*part.result)->complete);
}

TEST(TableFetch, DroppedItDoesNotCall) {
  net::Loop loop;
  const TestCaster caster(loop, {{{"SOURCETABLE 200 OK\r\n", kTable}, false}});
  bool called = false;
  auto request =
      fetch_sourcetable(loop,
                        address_of(caster),
                        quick_options(),
                        test_client(),
                        [&](const Result<Sourcetable>&) { called = true; });
  loop.after(std::chrono::nanoseconds(0), [&] {
    request.reset();
    loop.after(std::chrono::milliseconds(1), [&] { loop.stop(); });
  });
  EXPECT_TRUE(run(loop));
  EXPECT_FALSE(called);
}

}  // namespace
}  // namespace stillpoint::ntrip
