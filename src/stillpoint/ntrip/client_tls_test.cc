// ntrips://: one stream over TLS, and none where the certificate is a
// stranger's. The caster's key and certificate are made here and forgotten.
#include <gtest/gtest.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/x509v3.h>

#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/ssl.hpp>
#include <boost/asio/write.hpp>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <utility>

#include "stillpoint/net/loop_asio.h"
#include "stillpoint/ntrip/client_source.h"
#include "stillpoint/ntrip/test_caster.h"

namespace stillpoint::ntrip {
namespace {

using boost::asio::ip::tcp;
using boost::system::error_code;
using KeyPtr = std::unique_ptr<EVP_PKEY, void (*)(EVP_PKEY*)>;
using CertificatePtr = std::unique_ptr<X509, void (*)(X509*)>;

void add_extension(X509* certificate, int id, const char* value) {
  X509V3_CTX context;
  X509V3_set_ctx(&context, certificate, certificate, nullptr, nullptr, 0);
  X509_EXTENSION* extension = X509V3_EXT_conf_nid(nullptr, &context, id, value);
  ASSERT_NE(extension, nullptr);
  EXPECT_EQ(X509_add_ext(certificate, extension, -1), 1);
  X509_EXTENSION_free(extension);
}

// For 127.0.0.1, signed with its own key, good from yesterday to tomorrow.
CertificatePtr certificate_for(EVP_PKEY* key) {
  constexpr long kDayS = 86400;
  CertificatePtr certificate(X509_new(), &X509_free);
  X509_set_version(certificate.get(), 2);
  ASN1_INTEGER_set(X509_get_serialNumber(certificate.get()), 1);
  X509_gmtime_adj(X509_getm_notBefore(certificate.get()), -kDayS);
  X509_gmtime_adj(X509_getm_notAfter(certificate.get()), kDayS);
  X509_set_pubkey(certificate.get(), key);
  X509_NAME* name = X509_get_subject_name(certificate.get());
  X509_NAME_add_entry_by_txt(
      name,
      "CN",
      MBSTRING_ASC,
      reinterpret_cast<const unsigned char*>("caster.example"),
      -1,
      -1,
      0);
  X509_set_issuer_name(certificate.get(), name);
  add_extension(certificate.get(), NID_basic_constraints, "critical,CA:TRUE");
  add_extension(certificate.get(), NID_subject_alt_name, "IP:127.0.0.1");
  X509_sign(certificate.get(), key, EVP_sha256());
  return certificate;
}

class TlsCaster {
 public:
  TlsCaster(net::Loop& loop, std::string answer)
      : answer_(std::move(answer)),
        key_(EVP_EC_gen("P-256"), &EVP_PKEY_free),
        certificate_(certificate_for(key_.get())),
        tls_(boost::asio::ssl::context::tls_server),
        acceptor_(loop.impl().context,
                  tcp::endpoint(boost::asio::ip::address_v4::loopback(), 0)) {
    SSL_CTX_use_certificate(tls_.native_handle(), certificate_.get());
    SSL_CTX_use_PrivateKey(tls_.native_handle(), key_.get());
    acceptor_.async_accept([this](const error_code& code, tcp::socket socket) {
      if (!code) {
        stream_ = std::make_unique<Stream>(std::move(socket), tls_);
        stream_->async_handshake(
            boost::asio::ssl::stream_base::server,
            [this](const error_code& failed) { begin(failed); });
      }
    });
  }

  [[nodiscard]] std::uint16_t port() const {
    return acceptor_.local_endpoint().port();
  }
  [[nodiscard]] const std::string& request() const { return request_; }

  void write_certificate(const std::string& path) const {
    std::FILE* file = std::fopen(path.c_str(), "wb");
    ASSERT_NE(file, nullptr);
    EXPECT_EQ(PEM_write_X509(file, certificate_.get()), 1);
    EXPECT_EQ(std::fclose(file), 0);
  }

 private:
  using Stream = boost::asio::ssl::stream<tcp::socket>;

  void begin(const error_code& failed) {
    if (!failed) {
      read();
    }
  }

  void read() {
    stream_->async_read_some(boost::asio::buffer(buffer_),
                             [this](const error_code& code, std::size_t count) {
                               request_.append(buffer_.data(), count);
                               if (code) {
                                 return;
                               }
                               if (!request_.ends_with("\r\n\r\n")) {
                                 read();
                                 return;
                               }
                               boost::asio::async_write(
                                   *stream_,
                                   boost::asio::buffer(answer_),
                                   [](const error_code&, std::size_t) {});
                             });
  }

  std::string answer_;
  KeyPtr key_;
  CertificatePtr certificate_;
  boost::asio::ssl::context tls_;
  tcp::acceptor acceptor_;
  std::unique_ptr<Stream> stream_;
  std::array<char, 4096> buffer_{};
  std::string request_;
};

struct TlsVisit {
  TlsVisit() {
    auto parsed = net::parse_source(
        "ntrips://ditch-1@127.0.0.1:" + std::to_string(caster.port()) +
        "/LHOL00XXX?password_env=PASS");
    address = parsed.value();
  }

  void go() {
    auto source =
        open_any_source(loop, address, quick_options(), test_client());
    ASSERT_TRUE(source.has_value());
    (*source)->start(recorder);
    EXPECT_TRUE(run(loop));
  }

  net::Loop loop;
  TlsCaster caster{loop, "ICY 200 OK\r\n\r\n\xD3raw"};
  Recorder recorder{loop};
  net::SourceAddress address;
};

TEST(ClientTls, StreamOverTls) {
  TlsVisit v;
  v.address.ca_file =
      (std::filesystem::temp_directory_path() /
       ("stillpoint-ntrip-" + std::to_string(v.caster.port()) + ".pem"))
          .string();
  v.caster.write_certificate(v.address.ca_file);
  v.recorder.enough = [&v] { return v.recorder.bytes.size() == 4; };
  v.go();
  EXPECT_EQ(v.recorder.bytes, "\xD3raw");
  EXPECT_TRUE(v.caster.request().starts_with("GET /LHOL00XXX HTTP/1.1\r\n"));
  std::filesystem::remove(v.address.ca_file);
}

TEST(ClientTls, StrangerGetsNoPassword) {
  TlsVisit v;
  v.go();
  EXPECT_EQ(v.recorder.states(), "opening ended");
  EXPECT_EQ(v.recorder.why().code, ErrorCode::kConfig);
  EXPECT_TRUE(v.caster.request().empty());
}

}  // namespace
}  // namespace stillpoint::ntrip
