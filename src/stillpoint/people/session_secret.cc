#include "stillpoint/people/session_secret.h"

#include <sodium.h>

#include <vector>

#include "stillpoint/people/keyed_hash.h"

namespace stillpoint::people {
namespace {

constexpr std::string_view kPurpose = "stillpoint console session";
constexpr int kVariant = sodium_base64_VARIANT_URLSAFE_NO_PADDING;

}  // namespace

std::string random_word(std::size_t bytes) {
  use_sodium();
  std::vector<unsigned char> random(bytes);
  randombytes_buf(random.data(), random.size());
  std::string word(sodium_base64_encoded_len(bytes, kVariant), '\0');
  sodium_bin2base64(
      word.data(), word.size(), random.data(), random.size(), kVariant);
  word.pop_back();  // the zero at the end
  sodium_memzero(random.data(), random.size());
  return word;
}

std::string session_hash(std::string_view secret) {
  return hex_of(plain_hash({kPurpose, secret}));
}

bool may_be_session_secret(std::string_view text) {
  return text.size() ==
         sodium_base64_encoded_len(kSessionSecretBytes, kVariant) - 1;
}

}  // namespace stillpoint::people
