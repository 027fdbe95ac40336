#include "stillpoint/pack/digest.h"

#include <openssl/evp.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>
#include <vector>

namespace stillpoint {
namespace {

struct FileCloser {
  void operator()(std::FILE* f) const { std::fclose(f); }
};
struct ContextCloser {
  void operator()(EVP_MD_CTX* c) const { EVP_MD_CTX_free(c); }
};

std::string hex(const unsigned char* bytes, unsigned size) {
  constexpr char kDigits[] = "0123456789abcdef";
  std::string out;
  for (unsigned i = 0; i < size; ++i) {
    out += kDigits[bytes[i] >> 4];
    out += kDigits[bytes[i] & 15];
  }
  return out;
}

}  // namespace

Result<std::string> sha256_of_file(const std::string& path) {
  const std::unique_ptr<std::FILE, FileCloser> file(
      std::fopen(path.c_str(), "rb"));
  if (!file) {
    return fail(ErrorCode::kIo, std::strerror(errno), path);
  }
  const std::unique_ptr<EVP_MD_CTX, ContextCloser> context(EVP_MD_CTX_new());
  if (!context ||
      EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) != 1) {
    return fail(ErrorCode::kInternal, "no SHA-256 from the crypto library");
  }
  std::vector<unsigned char> buffer(std::size_t{1} << 17);
  std::size_t n = 0;
  while ((n = std::fread(buffer.data(), 1, buffer.size(), file.get())) > 0) {
    EVP_DigestUpdate(context.get(), buffer.data(), n);
  }
  if (std::ferror(file.get()) != 0) {
    return fail(ErrorCode::kIo, std::strerror(errno), path);
  }
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned size = 0;
  EVP_DigestFinal_ex(context.get(), digest.data(), &size);
  return hex(digest.data(), size);
}

Result<std::string> sha256_of_text(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned size = 0;
  if (EVP_Digest(bytes.data(),
                 bytes.size(),
                 digest.data(),
                 &size,
                 EVP_sha256(),
                 nullptr) != 1) {
    return fail(ErrorCode::kInternal, "no SHA-256 from the crypto library");
  }
  return hex(digest.data(), size);
}

}  // namespace stillpoint
