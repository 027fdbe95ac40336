#include <array>
#include <string>

#include "stillpoint/profile/profile_tables.h"

namespace stillpoint::profile {
namespace {

constexpr std::uint64_t kMostBytes = 65535;

// In the order of ChecksumRule.
constexpr std::array<std::string_view, 6> kChecksums = {
    "none", "xor", "fletcher8", "crc16", "crc24q", "crc32"};
constexpr std::array<std::string_view, 2> kOrders = {"little", "big"};

// Keys beside a checksum that does not look at them.
void look_for_idle_keys(TableReader& reader, ChecksumRule rule) {
  const std::string beside =
      "(given); checksum \"" +
      std::string(kChecksums[static_cast<std::size_t>(rule)]) +
      "\" does not look at it";
  const bool has_order = rule == ChecksumRule::kCrc16 ||
                         rule == ChecksumRule::kCrc24q ||
                         rule == ChecksumRule::kCrc32;
  if (!has_order && reader.has("checksum_order")) {
    reader.wrong("checksum_order", beside, "leave it out");
  }
  if (rule != ChecksumRule::kCrc16 && reader.has("checksum_start")) {
    reader.wrong("checksum_start", beside, "leave it out");
  }
  if (rule == ChecksumRule::kNone && reader.has("checksum_from")) {
    reader.wrong("checksum_from", beside, "leave it out");
  }
  if (rule != ChecksumRule::kNone && !reader.has("checksum_from")) {
    reader.wrong(
        "checksum_from",
        "(absent); needed is the first byte that the checksum covers",
        "add a line such as checksum_from = 2, counted from the packet's "
        "first byte, which is number 0");
  }
}

}  // namespace

Checksum read_checksum(TableReader& reader) {
  Checksum checksum;
  const bool given = reader.has("checksum");
  const auto rule = reader.word("checksum", kChecksums);
  checksum.start = static_cast<std::uint32_t>(
      reader.number("checksum_start", 0xFFFF).value_or(0));
  checksum.from = reader.number("checksum_from", kMostBytes).value_or(0);
  checksum.little_endian =
      reader.word("checksum_order", kOrders).value_or(0) == 0;
  if (rule) {
    checksum.rule = static_cast<ChecksumRule>(*rule);
  }
  if (rule || !given) {
    look_for_idle_keys(reader, checksum.rule);
  }
  return checksum;
}

}  // namespace stillpoint::profile
