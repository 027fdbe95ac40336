#include "stillpoint/net/tls_test_server.h"

#include <gtest/gtest.h>
#include <openssl/ec.h>
#include <openssl/pem.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>

#include <array>
#include <boost/asio/buffer.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/asio/ssl/stream.hpp>
#include <boost/asio/write.hpp>

#include "stillpoint/net/loop_asio.h"

namespace stillpoint::net::test {
namespace {

using boost::asio::ip::tcp;
using boost::system::error_code;
namespace ssl = boost::asio::ssl;

std::string text_of(BIO* memory) {
  BUF_MEM* bytes = nullptr;
  BIO_get_mem_ptr(memory, &bytes);
  return {bytes->data, bytes->length};
}

void add_extension(X509* certificate, int kind, const std::string& value) {
  X509_EXTENSION* extension =
      X509V3_EXT_conf_nid(nullptr, nullptr, kind, value.c_str());
  EXPECT_NE(extension, nullptr) << value;
  X509_add_ext(certificate, extension, -1);
  X509_EXTENSION_free(extension);
}

}  // namespace

TestCertificate make_certificate(const std::string& names, long begins_s) {
  EVP_PKEY* key = EVP_EC_gen("P-256");
  X509* certificate = X509_new();
  X509_set_version(certificate, 2);
  ASN1_INTEGER_set(X509_get_serialNumber(certificate), 1);
  X509_gmtime_adj(X509_getm_notBefore(certificate), begins_s);
  X509_gmtime_adj(X509_getm_notAfter(certificate), begins_s + 3600);
  X509_set_pubkey(certificate, key);
  const std::string subject = "stillpoint test";
  X509_NAME* name = X509_get_subject_name(certificate);
  X509_NAME_add_entry_by_NID(
      name,
      NID_commonName,
      MBSTRING_ASC,
      reinterpret_cast<const unsigned char*>(subject.c_str()),
      -1,
      -1,
      0);
  X509_set_issuer_name(certificate, name);
  add_extension(certificate, NID_basic_constraints, "critical,CA:TRUE");
  add_extension(certificate, NID_subject_alt_name, names);
  EXPECT_GT(X509_sign(certificate, key, EVP_sha256()), 0);

  TestCertificate made;
  BIO* memory = BIO_new(BIO_s_mem());
  PEM_write_bio_X509(memory, certificate);
  made.certificate = text_of(memory);
  BIO_free(memory);
  memory = BIO_new(BIO_s_mem());
  PEM_write_bio_PrivateKey(memory, key, nullptr, nullptr, 0, nullptr, nullptr);
  made.key = text_of(memory);
  BIO_free(memory);
  X509_free(certificate);
  EVP_PKEY_free(key);
  return made;
}

struct TlsEchoServer::State : std::enable_shared_from_this<State> {
  using Stream = ssl::stream<tcp::socket>;

  explicit State(Loop& loop)
      : context(ssl::context::tls_server),
        acceptor(loop.impl().context,
                 tcp::endpoint(boost::asio::ip::address_v4::loopback(), 0)) {}

  void accept() {
    acceptor.async_accept([self = shared_from_this()](const error_code& code,
                                                      tcp::socket socket) {
      if (code) {
        return;
      }
      self->peer = std::make_unique<Stream>(std::move(socket), self->context);
      self->peer->async_handshake(
          ssl::stream_base::server, [self](const error_code& failed) {
            if (!failed) {
              const char* name = SSL_get_servername(self->peer->native_handle(),
                                                    TLSEXT_NAMETYPE_host_name);
              self->asked_for = name != nullptr ? name : "";
              self->echo();
            }
          });
    });
  }

  void echo() {
    peer->async_read_some(
        boost::asio::buffer(bytes),
        [self = shared_from_this()](const error_code& code, std::size_t count) {
          if (code) {
            return;
          }
          boost::asio::async_write(
              *self->peer,
              boost::asio::buffer(self->bytes.data(), count),
              [self](const error_code& failed, std::size_t) {
                if (!failed) {
                  self->echo();
                }
              });
        });
  }

  ssl::context context;
  tcp::acceptor acceptor;
  std::unique_ptr<Stream> peer;
  std::array<char, 4096> bytes{};
  std::string asked_for;
};

TlsEchoServer::TlsEchoServer(Loop& loop, const TestCertificate& certificate)
    : state_(std::make_shared<State>(loop)) {
  state_->context.use_certificate_chain(
      boost::asio::buffer(certificate.certificate));
  state_->context.use_private_key(boost::asio::buffer(certificate.key),
                                  ssl::context::pem);
  state_->accept();
}

TlsEchoServer::~TlsEchoServer() {
  error_code ignored;
  state_->acceptor.close(ignored);
  if (state_->peer) {
    state_->peer->next_layer().close(ignored);
  }
}

std::uint16_t TlsEchoServer::port() const {
  return state_->acceptor.local_endpoint().port();
}

const std::string& TlsEchoServer::asked_for() const {
  return state_->asked_for;
}

}  // namespace stillpoint::net::test
