// Source tables. What must hold for any text: a table read, written and read
// again has the same records and no damage in the writing; a line of it is one
// record; the words about a mountpoint that is not there are fit for people.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/ntrip/refusal.h"
#include "stillpoint/ntrip/sourcetable.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  using namespace stillpoint;
  constexpr std::size_t kMaxSize = std::size_t{256} * 1024;  // bounded time
  if (size > kMaxSize) {
    return 0;
  }
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto table = ntrip::parse_sourcetable(text);
  if (!table) {
    STILLPOINT_CHECK(table.error().code == ErrorCode::kTooLarge);
    return 0;
  }
  const auto lines =
      static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 1;
  STILLPOINT_CHECK(table->records.size() <= lines);
  STILLPOINT_CHECK(table->problems.size() <= ntrip::kMaxTableProblems &&
                   table->problems.size() <= table->problem_count);

  const std::string written = ntrip::format_sourcetable(*table);
  STILLPOINT_CHECK(static_cast<std::size_t>(
                       std::count(written.begin(), written.end(), '\n')) ==
                   table->records.size() + 1);
  const auto again = ntrip::parse_sourcetable(written);
  STILLPOINT_CHECK(again.has_value());
  STILLPOINT_CHECK(again->complete && again->records == table->records);
  STILLPOINT_CHECK(ntrip::format_sourcetable(*again) == written);

  net::SourceAddress address;
  address.mount = "LHOL00XXX";
  const Error error = ntrip::no_such_mount(address, *table);
  const std::string said = error.what + error.remedy;
  STILLPOINT_CHECK(!error.what.empty() && !error.remedy.empty());
  STILLPOINT_CHECK(std::none_of(said.begin(), said.end(), [](char c) {
    return (c >= '\0' && c < ' ') || c == '\x7F';
  }));
  return 0;
}
