#include "stillpoint/net/self_signed.h"

#include <gtest/gtest.h>
#include <openssl/pem.h>
#include <openssl/x509v3.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <string>

#include "stillpoint/net/net_test_support.h"
#include "stillpoint/net/tls_test_server.h"

namespace stillpoint::net {
namespace {

// 2026-06-01T00:00:00Z, by `date -u -d 2026-06-01 +%s`.
constexpr std::int64_t kNow = 1'780'272'000;
constexpr std::int64_t kDay = 86'400;

using Certificate = std::unique_ptr<X509, decltype(&X509_free)>;

Certificate parsed(const std::string& pem) {
  BIO* bio = BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size()));
  Certificate certificate(PEM_read_bio_X509(bio, nullptr, nullptr, nullptr),
                          X509_free);
  BIO_free(bio);
  return certificate;
}

// OpenSSL's own verdict on a TLS server with this certificate, trusting it.
int verify(const OwnCertificate& own, const char* host, std::int64_t at) {
  const auto certificate = parsed(own.certificate);
  X509_STORE* store = X509_STORE_new();
  X509_STORE_add_cert(store, certificate.get());
  X509_STORE_CTX* context = X509_STORE_CTX_new();
  X509_STORE_CTX_init(context, store, certificate.get(), nullptr);
  X509_VERIFY_PARAM* wanted = X509_STORE_CTX_get0_param(context);
  X509_VERIFY_PARAM_set_purpose(wanted, X509_PURPOSE_SSL_SERVER);
  X509_VERIFY_PARAM_set_time(wanted, at);
  if (X509_VERIFY_PARAM_set1_ip_asc(wanted, host) != 1) {
    X509_VERIFY_PARAM_set1_host(wanted, host, 0);
  }
  X509_verify_cert(context);
  const int result = X509_STORE_CTX_get_error(context);
  X509_STORE_CTX_free(context);
  X509_STORE_free(store);
  return result;
}

OwnCertificate made(const std::vector<std::string>& names = {}) {
  auto own = make_own_certificate(names, kNow);
  EXPECT_TRUE(own) << own.error().text();
  return std::move(*own);
}

// kind: cross   source: OpenSSL's verification of a server's certificate
// tolerance: 0, a verdict
TEST(OwnCertificate, IsGoodForItsNamesAndItsTime) {
  const auto own = made({"larch.example", "192.0.2.7", "2001:db8::7"});
  for (const char* name : {"larch.example",
                           "192.0.2.7",
                           "2001:db8::7",
                           "localhost",
                           "127.0.0.1",
                           "::1"}) {
    EXPECT_EQ(verify(own, name, kNow), X509_V_OK) << name;
  }
  EXPECT_EQ(verify(own, "other.example", kNow), X509_V_ERR_HOSTNAME_MISMATCH);
  EXPECT_EQ(verify(own, "192.0.2.8", kNow), X509_V_ERR_IP_ADDRESS_MISMATCH);
  EXPECT_EQ(verify(own, "localhost", kNow - kDay), X509_V_OK);
  EXPECT_EQ(verify(own, "localhost", kNow - kDay - 1),
            X509_V_ERR_CERT_NOT_YET_VALID);
  // OpenSSL leaves out the last second itself.
  EXPECT_EQ(verify(own, "localhost", kNow + 824 * kDay - 2), X509_V_OK);
  EXPECT_EQ(verify(own, "localhost", kNow + 824 * kDay),
            X509_V_ERR_CERT_HAS_EXPIRED);
}

TEST(OwnCertificate, IsAStrongKeyThatSignsNoOthers) {
  const auto own = made();
  const auto certificate = parsed(own.certificate);
  ASSERT_NE(certificate, nullptr);
  const EVP_PKEY* key = X509_get0_pubkey(certificate.get());
  EXPECT_EQ(EVP_PKEY_get_base_id(key), EVP_PKEY_EC);
  EXPECT_EQ(EVP_PKEY_get_bits(key), 256);
  EXPECT_EQ(X509_get_signature_nid(certificate.get()), NID_ecdsa_with_SHA256);
  EXPECT_EQ(X509_check_ca(certificate.get()), 0);
  EXPECT_EQ(X509_get_key_usage(certificate.get()),
            static_cast<std::uint32_t>(KU_DIGITAL_SIGNATURE));
  EXPECT_EQ(X509_get_extended_key_usage(certificate.get()),
            static_cast<std::uint32_t>(XKU_SSL_SERVER));
  BIO* bio = BIO_new_mem_buf(own.key.data(), static_cast<int>(own.key.size()));
  EVP_PKEY* secret = PEM_read_bio_PrivateKey(bio, nullptr, nullptr, nullptr);
  EXPECT_EQ(X509_check_private_key(certificate.get(), secret), 1);
  EVP_PKEY_free(secret);
  BIO_free(bio);
}

TEST(OwnCertificate, IsAnotherOneEachTime) {
  const auto one = made();
  const auto two = made();
  EXPECT_NE(one.key, two.key);
  EXPECT_NE(one.fingerprint, two.fingerprint);
  EXPECT_NE(
      ASN1_INTEGER_cmp(X509_get0_serialNumber(parsed(one.certificate).get()),
                       X509_get0_serialNumber(parsed(two.certificate).get())),
      0);
}

TEST(OwnCertificate, NamesThatCannotBeAreRefused) {
  for (const std::string name : {"",
                                 "a b",
                                 "a,DNS:evil.example",
                                 "a\n",
                                 "-a",
                                 "fe80::1%eth0",
                                 "*.example"}) {
    const auto own = make_own_certificate({name}, kNow);
    ASSERT_FALSE(own) << name;
    EXPECT_EQ(own.error().code, ErrorCode::kConfig);
    EXPECT_EQ(own.error().where, name);
  }
  EXPECT_FALSE(make_own_certificate({std::string(254, 'a')}, kNow));
  EXPECT_EQ(make_own_certificate({}, -1).error().code, ErrorCode::kOutOfRange);
}

// kind: cross   source: `date -u -d @...`: 32503680000 is 3000-01-01
// tolerance: 0
TEST(CertificateEnd, IsToldToTheSecondBeyond2038And2049) {
  EXPECT_EQ(certificate_end_unix_s(made().certificate), kNow + 824 * kDay - 1);
  for (const std::int64_t now : {std::int64_t{0},
                                 std::int64_t{2'500'000'000},
                                 std::int64_t{32'503'680'000}}) {
    const auto own = make_own_certificate({}, now);
    ASSERT_TRUE(own) << now;
    EXPECT_EQ(certificate_end_unix_s(own->certificate), now + 824 * kDay - 1);
  }
}

TEST(CertificateEnd, IsThatOfTheFirstOfAChain) {
  const auto later = make_own_certificate({}, kNow + 1000);
  ASSERT_TRUE(later);
  const auto own = made();
  EXPECT_EQ(certificate_end_unix_s("a remark\n" + own.certificate +
                                   later->certificate),
            kNow + 824 * kDay - 1);
  EXPECT_EQ(certificate_fingerprint(own.certificate + later->certificate),
            own.fingerprint);
}

TEST(CertificateEnd, OfSomethingElseIsAnError) {
  const std::string pem = made().certificate;
  for (const std::string& text : {std::string(),
                                  std::string("text"),
                                  made().key,
                                  pem.substr(0, pem.size() / 2)}) {
    EXPECT_EQ(certificate_end_unix_s(text).error().code, ErrorCode::kBadFormat);
    EXPECT_EQ(certificate_fingerprint(text).error().code,
              ErrorCode::kBadFormat);
  }
}

std::string output_of(const std::string& command) {
  std::string text;
  std::array<char, 256> piece{};
  FILE* pipe = ::popen(command.c_str(), "r");
  while (pipe != nullptr && std::fgets(piece.data(), 256, pipe) != nullptr) {
    text += piece.data();
  }
  return pipe != nullptr && ::pclose(pipe) == 0 ? text : "";
}

// kind: cross   source: the program `openssl x509`
// tolerance: 0, the same text
TEST(OwnCertificate, FingerprintAndEndAreThoseOfTheProgramOpenssl) {
  if (output_of("openssl version 2>&1").empty()) {
    GTEST_SKIP() << "skipped: no openssl program";
  }
  const test::TempDir folder;
  const auto own = made({"larch.example"});
  const std::string path = folder.file("own.pem", own.certificate);
  const std::string said =
      output_of("openssl x509 -in " + path +
                " -noout -fingerprint -sha256 -enddate -ext subjectAltName");
  EXPECT_NE(said.find("ingerprint=" + own.fingerprint + "\n"),
            std::string::npos)
      << said;
  // 824 days after 2026-06-01 less a second, by `date`.
  EXPECT_NE(said.find("notAfter=Sep  1 23:59:59 2028 GMT"), std::string::npos)
      << said;
  EXPECT_NE(said.find("DNS:larch.example, DNS:localhost, IP Address:127.0.0.1, "
                      "IP Address:0:0:0:0:0:0:0:1"),
            std::string::npos)
      << said;
  EXPECT_EQ(
      output_of("openssl verify -x509_strict -purpose sslserver -attime " +
                std::to_string(kNow) + " -CAfile " + path + " " + path),
      path + ": OK\n");
}

}  // namespace
}  // namespace stillpoint::net
