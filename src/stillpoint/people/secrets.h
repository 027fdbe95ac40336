// Secrets of people and of streams: how they are made, kept as hashes and
// checked. A person's password is short and guessable, so its hash is slow
// (Argon2id); a stream's token is 128 random bits, so a fast keyed hash will
// do. No function here logs or repeats a secret.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint::people {

// Overwrites a text that holds a secret, and empties it.
void wipe(std::string& secret);

// A key that is overwritten when it goes.
class SecretKey {
 public:
  static constexpr std::size_t kBytes = 32;

  using Bytes = std::span<const std::uint8_t, kBytes>;

  explicit SecretKey(Bytes bytes);
  static SecretKey random();
  SecretKey(const SecretKey&) = delete;
  SecretKey& operator=(const SecretKey&) = delete;
  SecretKey(SecretKey&& other) noexcept;
  SecretKey& operator=(SecretKey&&) = delete;
  ~SecretKey();

  [[nodiscard]] Bytes bytes() const { return bytes_; }

 private:
  SecretKey() = default;

  std::array<std::uint8_t, kBytes> bytes_{};
};

// What one Argon2id hash costs: 12 MiB, and the time of three passes over them
// (19 ms on a server's core; a board needs several times that). Common practice
// allows no less (from memory), and a board of 512 MB should not give more.
inline constexpr unsigned long long kPasswordPasses = 3;
inline constexpr std::size_t kPasswordMemoryBytes = std::size_t{12} << 20U;
// A stored hash that asks for more is refused: a foreign database must not
// take the station's memory.
inline constexpr std::size_t kMostPasswordMemoryBytes = std::size_t{64} << 20U;

inline constexpr std::size_t kLeastPasswordBytes = 8;
inline constexpr std::size_t kMostPasswordBytes = 1024;

// Whether a password may be given to an account: one line of 8 to 1024 bytes.
//
//   errors   kOutOfRange
//   source   the least length: NIST SP 800-63B section 5.1.1, from memory
Status check_new_password(std::string_view password);

// The hash of a password under a new salt, as "$argon2id$v=19$m=…".
//
//   errors   kOutOfRange as check_new_password(); kIo when there is no memory
//   source   RFC 9106 (libsodium's implementation)
//   threads  pure; takes kPasswordMemoryBytes and tens of milliseconds
Result<std::string> hash_password(std::string_view password);

// Whether this is the password of that hash. Every password costs the same.
//
//   errors   kBadFormat for a text that is no hash of ours; kIo when there is
//            no memory
//   threads  as hash_password()
Result<bool> verify_password(std::string_view hash, std::string_view password);

// Whether a good login is the moment to hash the password anew: its hash was
// made at other costs, or is none.
bool needs_rehash(std::string_view hash);

// A hash at today's costs that belongs to nobody: it is verified in place of
// those that do not exist, so that a refusal takes the same time.
std::string_view decoy_hash();

// A stream's secret. `word` is for its owner, once: 128 random bits as 26
// letters and digits of base32 in lower case, in groups with hyphens. The
// alphabet leaves out i, l, o and u; the word may be typed in capitals, without
// hyphens, and with i or l for 1 and o for 0. `hash` is for the database.
struct NewToken {
  std::string word, hash;
};

//   source   the alphabet: Crockford's base32, from memory
//            the hash: BLAKE2b with a key, RFC 7693 section 2.9
NewToken make_stream_token(const SecretKey& key);

// Whether this is the token of that hash, made under this key. Costs the same
// whatever is asked.
bool verify_stream_token(const SecretKey& key,
                         std::string_view hash,
                         std::string_view word);

}  // namespace stillpoint::people
