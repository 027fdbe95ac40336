#include "stillpoint/people/claim_code.h"

#include <sodium.h>

#include <array>
#include <cstdint>

#include "stillpoint/core/text.h"
#include "stillpoint/people/console_people.h"
#include "stillpoint/people/keyed_hash.h"
#include "stillpoint/people/private_file.h"
#include "stillpoint/people/spelled.h"

namespace stillpoint::people {
namespace {

constexpr std::string_view kPurpose = "stillpoint claim code";
constexpr std::size_t kCodeBytes = 8;

using CodeBytes = std::array<std::uint8_t, kCodeBytes>;

std::string hash_of(const CodeBytes& bytes) {
  return hex_of(
      plain_hash({kPurpose,
                  std::string_view(reinterpret_cast<const char*>(bytes.data()),
                                   bytes.size())}));
}

}  // namespace

bool is_claim_code(std::string_view code_hash, std::string_view word) {
  CodeBytes bytes{};
  const bool spelled = read_spelled(trim(word), bytes);
  // What cannot be right is hashed and compared like all else.
  const std::string hash = hash_of(bytes);
  sodium_memzero(bytes.data(), bytes.size());
  const bool same =
      code_hash.size() == hash.size() &&
      sodium_memcmp(code_hash.data(), hash.data(), hash.size()) == 0;
  return same && spelled;
}

bool holds(const ClaimRow& claim, GnssTime now) {
  return now < claim.ends && now >= claim.made - Duration{kClaimHoldsS};
}

Result<ClaimCode> open_claim(Store& store,
                             const std::string& path,
                             const ChangeNote& note) {
  use_sodium();
  CodeBytes bytes{};
  randombytes_buf(bytes.data(), bytes.size());
  ClaimCode code{spell(bytes), note.at + Duration{kClaimHoldsS}};
  const std::string hash = hash_of(bytes);
  sodium_memzero(bytes.data(), bytes.size());
  // The file first: a hash without its word would lock the owner out.
  const Status done =
      replace_private_file(path, code.word + "\n", "the claim code")
          .and_then([&](auto) {
            return store.console_access().open_claim({hash, note.at, code.ends},
                                                     note);
          });
  if (!done) {
    return fail(done.error());
  }
  return code;
}

}  // namespace stillpoint::people
