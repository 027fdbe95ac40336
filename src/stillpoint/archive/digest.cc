#include "stillpoint/archive/digest.h"

#include <openssl/evp.h>

#include "stillpoint/core/check.h"

namespace stillpoint::archive {

namespace {
struct Freed {
  void operator()(EVP_MD_CTX* context) const { EVP_MD_CTX_free(context); }
};
using Context = std::unique_ptr<EVP_MD_CTX, Freed>;
}  // namespace

struct Sha256::State {
  Context context{EVP_MD_CTX_new()};
};

Sha256::Sha256() : state_(std::make_unique<State>()) {
  STILLPOINT_CHECK(
      state_->context != nullptr &&
      EVP_DigestInit_ex(state_->context.get(), EVP_sha256(), nullptr) == 1);
}
Sha256::Sha256(Sha256&&) noexcept = default;
Sha256& Sha256::operator=(Sha256&&) noexcept = default;
Sha256::~Sha256() = default;

void Sha256::add(ByteSpan bytes) {
  STILLPOINT_CHECK(
      EVP_DigestUpdate(state_->context.get(), bytes.data(), bytes.size()) == 1);
}

Digest Sha256::value() const {
  const Context copy(EVP_MD_CTX_new());
  Digest digest{};
  STILLPOINT_CHECK(copy != nullptr &&
                   EVP_MD_CTX_copy_ex(copy.get(), state_->context.get()) == 1 &&
                   EVP_DigestFinal_ex(copy.get(), digest.data(), nullptr) == 1);
  return digest;
}

}  // namespace stillpoint::archive
