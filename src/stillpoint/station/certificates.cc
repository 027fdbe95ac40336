#include "stillpoint/station/certificates.h"

#include <openssl/bio.h>
#include <openssl/pem.h>
#include <openssl/x509.h>

#include <memory>

#include "stillpoint/net/self_signed.h"
#include "stillpoint/station/small_file.h"

namespace stillpoint::station {
namespace {

constexpr std::size_t kMostBytes = std::size_t{256} * 1024;
constexpr std::int64_t kRenewBeforeS = std::int64_t{30} * 86'400;

struct Free {
  void operator()(BIO* bio) const { BIO_free(bio); }
  void operator()(X509* certificate) const { X509_free(certificate); }
  void operator()(EVP_PKEY* key) const { EVP_PKEY_free(key); }
};

std::unique_ptr<BIO, Free> memory(const std::string& text) {
  return std::unique_ptr<BIO, Free>(
      BIO_new_mem_buf(text.data(), static_cast<int>(text.size())));
}

// A key under a password would wait for somebody to type it.
int no_password(char* /*into*/, int /*size*/, int /*writing*/, void* /*own*/) {
  return -1;
}

Status check_pair(const CertificatePair& pair,
                  const std::string& certificate_path,
                  const std::string& key_path) {
  const auto chain = memory(pair.chain);
  const std::unique_ptr<X509, Free> first(
      PEM_read_bio_X509(chain.get(), nullptr, no_password, nullptr));
  if (!first) {
    return fail(ErrorCode::kConfig,
                "holds no certificate",
                certificate_path,
                "give a PEM file, the station's certificate first, then those "
                "that lead from it to the authority");
  }
  const auto text = memory(pair.key);
  const std::unique_ptr<EVP_PKEY, Free> key(
      PEM_read_bio_PrivateKey(text.get(), nullptr, no_password, nullptr));
  if (!key) {
    return fail(ErrorCode::kConfig,
                "holds no key that can be read without a password",
                key_path,
                "give the key's PEM file without a password on it, readable "
                "for the station alone");
  }
  if (X509_check_private_key(first.get(), key.get()) != 1) {
    return fail(ErrorCode::kConfig,
                "is not the key of the certificate in " + certificate_path,
                key_path,
                "give the two files that were made together");
  }
  return ok();
}

Result<CertificatePair> complete(CertificatePair pair,
                                 const std::string& certificate_path,
                                 const std::string& key_path) {
  if (auto good = check_pair(pair, certificate_path, key_path); !good) {
    return fail(std::move(good.error()));
  }
  auto fingerprint = net::certificate_fingerprint(pair.chain);
  auto end = net::certificate_end_unix_s(pair.chain);
  if (!fingerprint || !end) {
    return fail(ErrorCode::kConfig, "holds no certificate", certificate_path);
  }
  pair.fingerprint = std::move(*fingerprint);
  pair.end_unix_s = *end;
  return pair;
}

}  // namespace

Result<CertificatePair> read_certificate(const std::string& certificate,
                                         const std::string& key) {
  auto chain = read_small_file(certificate, kMostBytes);
  if (!chain) {
    return fail(std::move(chain.error()));
  }
  auto secret = read_small_file(key, kMostBytes);
  if (!secret) {
    return fail(std::move(secret.error()));
  }
  return complete(
      {std::move(*chain), std::move(*secret), {}, 0}, certificate, key);
}

Result<CertificatePair> own_certificate(const std::string& folder,
                                        const std::vector<std::string>& names,
                                        std::int64_t now_unix_s) {
  const std::string chain_path = folder + "/own.crt";
  const std::string key_path = folder + "/own.key";
  if (auto kept = read_certificate(chain_path, key_path);
      kept && kept->end_unix_s - now_unix_s > kRenewBeforeS) {
    return kept;
  }
  auto made = net::make_own_certificate(names, now_unix_s);
  if (!made) {
    return fail(std::move(made.error()));
  }
  // The key first: a certificate without its key would be made anew.
  if (auto written = write_private_file(key_path, made->key); !written) {
    return fail(std::move(written.error()));
  }
  if (auto written = write_private_file(chain_path, made->certificate);
      !written) {
    return fail(std::move(written.error()));
  }
  return complete({made->certificate, made->key, {}, 0}, chain_path, key_path);
}

}  // namespace stillpoint::station
