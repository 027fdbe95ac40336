#include "stillpoint/net/self_signed.h"

#include <openssl/ec.h>
#include <openssl/err.h>
#include <openssl/pem.h>
#include <openssl/rand.h>
#include <openssl/x509v3.h>

#include <algorithm>
#include <array>
#include <boost/asio/ip/address.hpp>
#include <cctype>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <memory>

namespace stillpoint::net {
namespace {

struct Free {
  void operator()(X509* certificate) const { X509_free(certificate); }
  void operator()(EVP_PKEY* key) const { EVP_PKEY_free(key); }
  void operator()(BIO* bio) const { BIO_free(bio); }
  void operator()(BIGNUM* number) const { BN_free(number); }
  void operator()(X509_EXTENSION* extension) const {
    X509_EXTENSION_free(extension);
  }
};
template <class T>
using Owned = std::unique_ptr<T, Free>;

constexpr std::int64_t kDayS = 86'400, kHourS = 3600, kMinuteS = 60;
constexpr std::size_t kSha256Bytes = 32;
// What ASN.1 times can say: four digits of the year.
constexpr std::int64_t kLastNow = 221'845'392'000;  // 9000-01-01

// A damaged text may ask for one, and OpenSSL then asks on the terminal.
int no_passphrase(char*, int, int, void*) {
  return -1;
}

Owned<X509> read_certificate(std::string_view pem) {
  if (pem.size() > std::size_t{1} << 20U) {
    return nullptr;
  }
  const Owned<BIO> bio(
      BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size())));
  Owned<X509> certificate(
      PEM_read_bio_X509(bio.get(), nullptr, no_passphrase, nullptr));
  ERR_clear_error();
  return certificate;
}

tl::unexpected<Error> no_certificate() {
  return fail(ErrorCode::kBadFormat, "there is no certificate in PEM form");
}

// Written out because OpenSSL's own call takes a time_t, which need not have
// 64 bits in the library where it has here.
bool set_time(ASN1_TIME* into, std::int64_t unix_s) {
  using std::chrono::days;
  using std::chrono::seconds;
  using std::chrono::sys_seconds;
  const sys_seconds time{seconds{unix_s}};
  const auto day = std::chrono::floor<days>(time);
  const std::chrono::year_month_day date{day};
  const std::chrono::hh_mm_ss clock{time - day};
  std::array<char, 32> text{};
  std::snprintf(text.data(),
                text.size(),
                "%04d%02u%02u%02d%02d%02dZ",
                static_cast<int>(date.year()),
                static_cast<unsigned>(date.month()),
                static_cast<unsigned>(date.day()),
                static_cast<int>(clock.hours().count()),
                static_cast<int>(clock.minutes().count()),
                static_cast<int>(clock.seconds().count()));
  // In the form of RFC 5280: two digits of the year up to 2049.
  return ASN1_TIME_set_string_X509(into, text.data()) == 1;
}

// A host name by letters, digits, hyphens and dots; nothing else can stand in
// the text that the extension is made from.
bool is_host_name(const std::string& name) {
  constexpr std::size_t kLongest = 253;
  return !name.empty() && name.size() <= kLongest && name.front() != '-' &&
         name.front() != '.' &&
         std::all_of(name.begin(), name.end(), [](unsigned char c) {
           return std::isalnum(c) != 0 || c == '-' || c == '.';
         });
}

Result<std::string> alternative_names(std::vector<std::string> names) {
  for (const char* own : {"localhost", "127.0.0.1", "::1"}) {
    if (std::find(names.begin(), names.end(), own) == names.end()) {
      names.emplace_back(own);
    }
  }
  std::string all;
  for (const std::string& name : names) {
    boost::system::error_code not_an_address;
    const auto address = boost::asio::ip::make_address(name, not_an_address);
    const bool is_address =
        !not_an_address &&
        !(address.is_v6() && address.to_v6().scope_id() != 0);
    if (!is_address && !is_host_name(name)) {
      return fail(ErrorCode::kConfig,
                  "a certificate cannot be made for this name",
                  name,
                  "give a host name of letters, digits, hyphens and dots, or a "
                  "numeric address");
    }
    all += (all.empty() ? "" : ",") +
           (is_address ? "IP:" + address.to_string() : "DNS:" + name);
  }
  return all;
}

bool add_extension(X509* to, int kind, const std::string& value) {
  X509V3_CTX context{};
  X509V3_set_ctx(&context, to, to, nullptr, nullptr, 0);
  const Owned<X509_EXTENSION> extension(
      X509V3_EXT_conf_nid(nullptr, &context, kind, value.c_str()));
  return extension && X509_add_ext(to, extension.get(), -1) == 1;
}

// 128 random bits, positive and never 0 (RFC 5280, section 4.1.2.2).
bool set_serial(X509* certificate) {
  std::array<unsigned char, 16> bytes{};
  if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1) {
    return false;
  }
  bytes[0] = static_cast<unsigned char>((bytes[0] & 0x3FU) | 0x40U);
  const Owned<BIGNUM> number(
      BN_bin2bn(bytes.data(), static_cast<int>(bytes.size()), nullptr));
  return number &&
         BN_to_ASN1_INTEGER(number.get(), X509_get_serialNumber(certificate)) !=
             nullptr;
}

bool set_name(X509* certificate) {
  constexpr std::string_view kName = "Stillpoint station";
  X509_NAME* name = X509_get_subject_name(certificate);
  return X509_NAME_add_entry_by_NID(
             name,
             NID_commonName,
             MBSTRING_ASC,
             reinterpret_cast<const unsigned char*>(kName.data()),
             static_cast<int>(kName.size()),
             -1,
             0) == 1 &&
         X509_set_issuer_name(certificate, name) == 1;
}

bool fill(X509* certificate,
          EVP_PKEY* key,
          const std::string& names,
          std::int64_t begin_s) {
  constexpr long kVersion3 = 2;
  // Both ends belong to it (RFC 5280, section 4.1.2.5).
  const std::int64_t end_s = begin_s + kOwnCertificateDays * kDayS - 1;
  return X509_set_version(certificate, kVersion3) == 1 &&
         set_serial(certificate) && set_name(certificate) &&
         set_time(X509_getm_notBefore(certificate), begin_s) &&
         set_time(X509_getm_notAfter(certificate), end_s) &&
         X509_set_pubkey(certificate, key) == 1 &&
         add_extension(
             certificate, NID_basic_constraints, "critical,CA:FALSE") &&
         add_extension(
             certificate, NID_key_usage, "critical,digitalSignature") &&
         add_extension(certificate, NID_ext_key_usage, "serverAuth") &&
         add_extension(certificate, NID_subject_key_identifier, "hash") &&
         add_extension(certificate, NID_subject_alt_name, names) &&
         X509_sign(certificate, key, EVP_sha256()) > 0;
}

std::string text_of(BIO* memory) {
  BUF_MEM* bytes = nullptr;
  BIO_get_mem_ptr(memory, &bytes);
  return {bytes->data, bytes->length};
}

std::string fingerprint_of(const X509* certificate) {
  std::array<unsigned char, kSha256Bytes> digest{};
  unsigned size = 0;
  if (X509_digest(certificate, EVP_sha256(), digest.data(), &size) != 1) {
    return {};
  }
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  std::string text;
  for (const unsigned char byte : digest) {
    text += text.empty() ? "" : ":";
    text += kDigits[byte / 16U];
    text += kDigits[byte % 16U];
  }
  return text;
}

}  // namespace

Result<OwnCertificate> make_own_certificate(
    const std::vector<std::string>& names, std::int64_t now_unix_s) {
  if (now_unix_s < 0 || now_unix_s > kLastNow) {
    return fail(ErrorCode::kOutOfRange,
                "no certificate can be made for this time: " +
                    std::to_string(now_unix_s) + " s since 1970",
                {},
                "set this computer's clock");
  }
  const auto all = alternative_names(names);
  if (!all) {
    return fail(all.error());
  }
  const Owned<EVP_PKEY> key(EVP_EC_gen("P-256"));
  const Owned<X509> certificate(X509_new());
  const Owned<BIO> certificate_text(BIO_new(BIO_s_mem()));
  const Owned<BIO> key_text(BIO_new(BIO_s_secmem()));
  const bool made =
      key && certificate && certificate_text && key_text &&
      fill(certificate.get(), key.get(), *all, now_unix_s - kDayS) &&
      PEM_write_bio_X509(certificate_text.get(), certificate.get()) == 1 &&
      PEM_write_bio_PrivateKey(
          key_text.get(), key.get(), nullptr, nullptr, 0, nullptr, nullptr) ==
          1;
  ERR_clear_error();
  if (!made) {
    return fail(ErrorCode::kInternal, "no certificate could be made");
  }
  return OwnCertificate{text_of(certificate_text.get()),
                        text_of(key_text.get()),
                        fingerprint_of(certificate.get())};
}

Result<std::int64_t> certificate_end_unix_s(std::string_view pem) {
  const auto certificate = read_certificate(pem);
  std::tm end{};
  if (!certificate ||
      ASN1_TIME_to_tm(X509_get0_notAfter(certificate.get()), &end) != 1) {
    ERR_clear_error();
    return no_certificate();
  }
  const std::chrono::year_month_day date{
      std::chrono::year{end.tm_year + 1900},
      std::chrono::month{static_cast<unsigned>(end.tm_mon + 1)},
      std::chrono::day{static_cast<unsigned>(end.tm_mday)}};
  const std::int64_t days =
      std::chrono::sys_days{date}.time_since_epoch().count();
  return days * kDayS + end.tm_hour * kHourS + end.tm_min * kMinuteS +
         end.tm_sec;
}

Result<std::string> certificate_fingerprint(std::string_view pem) {
  const auto certificate = read_certificate(pem);
  if (!certificate) {
    return no_certificate();
  }
  return fingerprint_of(certificate.get());
}

}  // namespace stillpoint::net
