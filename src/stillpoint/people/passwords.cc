#include <sodium.h>

#include <array>
#include <cerrno>

#include "stillpoint/core/text.h"
#include "stillpoint/people/keyed_hash.h"
#include "stillpoint/people/secrets.h"

namespace stillpoint::people {
namespace {

tl::unexpected<Error> no_memory() {
  return fail(ErrorCode::kIo,
              "there is no memory to check a password",
              "",
              "stop what else takes memory on this computer: one check takes " +
                  std::to_string(kPasswordMemoryBytes >> 20U) + " MiB");
}

// The memory that a hash asks for, as it says itself; the library has found
// its form good.
std::size_t memory_bytes_of(std::string_view hash) {
  constexpr std::string_view kKey = "$m=";
  const std::size_t begin = hash.find(kKey) + kKey.size();
  const auto kib = parse_int(hash.substr(begin, hash.find(',') - begin));
  return static_cast<std::size_t>(kib.value_or(0)) * 1024;
}

}  // namespace

Status check_new_password(std::string_view password) {
  if (password.size() < kLeastPasswordBytes ||
      password.size() > kMostPasswordBytes) {
    return fail(ErrorCode::kOutOfRange,
                "a password has " + std::to_string(kLeastPasswordBytes) +
                    " to " + std::to_string(kMostPasswordBytes) + " bytes",
                "",
                "choose one of that length, such as four words");
  }
  if (password.find_first_of(std::string_view("\n\r\0", 3)) !=
      std::string_view::npos) {
    return fail(ErrorCode::kOutOfRange,
                "a password is one line",
                "",
                "choose one that can be typed into a rover");
  }
  return ok();
}

Result<std::string> hash_password(std::string_view password) {
  const Status good = check_new_password(password);
  if (!good) {
    return fail(good.error());
  }
  use_sodium();
  std::array<char, crypto_pwhash_argon2id_STRBYTES> hash{};
  if (crypto_pwhash_argon2id_str(hash.data(),
                                 password.data(),
                                 password.size(),
                                 kPasswordPasses,
                                 kPasswordMemoryBytes) != 0) {
    return no_memory();
  }
  return std::string(hash.data());
}

Result<bool> verify_password(std::string_view hash, std::string_view password) {
  use_sodium();
  const std::string whole(hash);  // the library wants its end marked
  if (crypto_pwhash_argon2id_str_needs_rehash(
          whole.c_str(), kPasswordPasses, kPasswordMemoryBytes) < 0 ||
      memory_bytes_of(hash) > kMostPasswordMemoryBytes) {
    return fail(ErrorCode::kBadFormat,
                "the stored hash of a password cannot be used",
                "",
                "remove the account and add it anew");
  }
  errno = 0;
  if (crypto_pwhash_argon2id_str_verify(
          whole.c_str(), password.data(), password.size()) == 0) {
    return true;
  }
  if (errno == ENOMEM) {
    return no_memory();
  }
  return false;
}

bool needs_rehash(std::string_view hash) {
  return crypto_pwhash_argon2id_str_needs_rehash(std::string(hash).c_str(),
                                                 kPasswordPasses,
                                                 kPasswordMemoryBytes) != 0;
}

std::string_view decoy_hash() {
  return "$argon2id$v=19$m=12288,t=3,p=1$DLPVQRTqDSHggjAri0BNEw"
         "$QMxKa1p6uTFe3d3zxMCOcP+AOooHAqRSy9FR6TT1VcM";
}

}  // namespace stillpoint::people
