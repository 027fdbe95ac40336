// Rovers over TLS, and a certificate that changes under them. Keys and
// certificates are made here and forgotten.
#include <gtest/gtest.h>
#include <openssl/ec.h>
#include <openssl/pem.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>

#include <memory>
#include <string>

#include "stillpoint/ntrip/server/fan_test_support.h"

namespace stillpoint::ntrip {
namespace {

using std::chrono::seconds;

struct Identity {
  std::string certificate, key;
};

std::string text_of(BIO* memory) {
  BUF_MEM* bytes = nullptr;
  BIO_get_mem_ptr(memory, &bytes);
  std::string text(bytes->data, bytes->length);
  BIO_free(memory);
  return text;
}

Identity make_identity(long serial) {
  EVP_PKEY* key = EVP_EC_gen("P-256");
  X509* certificate = X509_new();
  X509_set_version(certificate, 2);
  ASN1_INTEGER_set(X509_get_serialNumber(certificate), serial);
  X509_gmtime_adj(X509_getm_notBefore(certificate), -3600);
  X509_gmtime_adj(X509_getm_notAfter(certificate), 3600);
  X509_set_pubkey(certificate, key);
  X509_sign(certificate, key, EVP_sha256());
  Identity made;
  BIO* memory = BIO_new(BIO_s_mem());
  PEM_write_bio_X509(memory, certificate);
  made.certificate = text_of(memory);
  memory = BIO_new(BIO_s_mem());
  PEM_write_bio_PrivateKey(memory, key, nullptr, nullptr, 0, nullptr, nullptr);
  made.key = text_of(memory);
  X509_free(certificate);
  EVP_PKEY_free(key);
  return made;
}

class TlsRover {
 public:
  TlsRover(std::uint16_t port, int version, int receive_buffer = 0)
      : socket_(port, receive_buffer),
        context_(SSL_CTX_new(TLS_client_method()), SSL_CTX_free),
        session_(nullptr, SSL_free) {
    SSL_CTX_set_min_proto_version(context_.get(), version);
    SSL_CTX_set_max_proto_version(context_.get(), version);
    session_.reset(SSL_new(context_.get()));
    SSL_set_fd(session_.get(), socket_.fd());
    agreed_ = SSL_connect(session_.get()) == 1;
  }

  [[nodiscard]] bool agreed() const { return agreed_; }
  void send(const std::string& text) const {
    SSL_write(session_.get(), text.data(), static_cast<int>(text.size()));
  }
  [[nodiscard]] std::string read(std::size_t count) const {
    std::string text(count, '\0');
    std::size_t have = 0;
    while (have < count) {
      std::size_t got = 0;
      if (SSL_read_ex(session_.get(), text.data() + have, count - have, &got) !=
          1) {
        break;
      }
      have += got;
    }
    text.resize(have);
    return text;
  }
  [[nodiscard]] std::string read_head() const {
    std::string head;
    while (!head.ends_with("\r\n\r\n")) {
      const std::string next = read(1);
      if (next.empty()) {
        break;
      }
      head += next;
    }
    return head;
  }
  [[nodiscard]] long serial() const {
    X509* certificate = SSL_get1_peer_certificate(session_.get());
    const long number = ASN1_INTEGER_get(X509_get_serialNumber(certificate));
    X509_free(certificate);
    return number;
  }

 private:
  TestRover socket_;
  std::unique_ptr<SSL_CTX, void (*)(SSL_CTX*)> context_;
  std::unique_ptr<SSL, void (*)(SSL*)> session_;
  bool agreed_ = false;
};

std::uint16_t listen_tls(TestFanOut& fan) {
  const Identity first = make_identity(1);
  EXPECT_TRUE(fan.engine->set_certificate(first.certificate, first.key));
  return fan.engine->listen({.tls = true}).value_or(0);
}

TEST(FanTls, StreamsComeOverBothVersionsAndCertificatesChangeUnderThem) {
  TestFanOut fan;
  const std::uint16_t port = listen_tls(fan);
  const TlsRover modern(port, TLS1_3_VERSION);
  const TlsRover older(port, TLS1_2_VERSION);
  modern.send(request_v2());
  older.send(request_v1());
  EXPECT_TRUE(modern.read_head().starts_with("HTTP/1.1 200 OK\r\n"));
  EXPECT_EQ(older.read_head(), "ICY 200 OK\r\n\r\n");
  EXPECT_EQ(older.serial(), 1);

  const Identity second = make_identity(2);
  EXPECT_EQ(
      fan.engine->set_certificate(second.certificate, make_identity(3).key)
          .error()
          .code,
      ErrorCode::kConfig);
  EXPECT_TRUE(fan.engine->set_certificate(second.certificate, second.key));
  const TlsRover later(port, TLS1_3_VERSION);
  EXPECT_EQ(later.serial(), 2);
  later.send(request_v1());
  EXPECT_EQ(later.read_head(), "ICY 200 OK\r\n\r\n");
  for (int i = 0; i < 100; ++i) {
    const std::string text = chunk_text(i);
    fan.publish(text);
    EXPECT_EQ(older.read(text.size()), text);
    EXPECT_EQ(later.read(text.size()), text);
    const std::string all = modern.read(text.size() + 7);
    EXPECT_EQ(all.substr(5, text.size()), text);
  }
  fan.stop();
  EXPECT_EQ(modern.read(100), "0\r\n\r\n");
  for (const auto& [session, note] : fan.ledger.notes()) {
    EXPECT_TRUE(note.facts.tls);
    EXPECT_EQ(note.disconnects, 1);
  }
}

TEST(FanTls, OldVersionsAndPlainTextAreNotServed) {
  TestFanOut fan;
  const std::uint16_t port = listen_tls(fan);
  EXPECT_FALSE(TlsRover(port, TLS1_1_VERSION).agreed());
  const TestRover plain(port);
  plain.send(request_v1());
  EXPECT_EQ(plain.read_to_end().find("ICY"), std::string::npos);
  // One that says nothing is gone when its time is over.
  const TestRover silent(port);
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.arrived == 3; }));
  fan.advance(seconds{11});
  EXPECT_EQ(silent.read_to_end(), "");
  ASSERT_TRUE(fan.wait([](const auto& c) { return c.connections == 0; }));
  EXPECT_TRUE(fan.ledger.questions().empty());
}

TEST(FanTls, RoverThatWasHeldUpCatchesUpWithoutAGap) {
  FanOutOptions options;
  options.send_buffer_bytes = 16 * 1024;
  options.lag_bytes = std::size_t{1} << 20;
  TestFanOut fan(options);
  const TlsRover late(listen_tls(fan), TLS1_3_VERSION, 16 * 1024);
  late.send(request_v1());
  EXPECT_EQ(late.read_head(), "ICY 200 OK\r\n\r\n");
  const TestRover good(fan.port);
  good.send(request_v1());
  EXPECT_EQ(good.read_head(), "ICY 200 OK\r\n\r\n");
  std::string all;
  for (int i = 0; i < 300; ++i) {
    const std::string text = chunk_text(i);
    fan.publish(text);
    EXPECT_EQ(good.read(text.size()), text);
    all += text;
  }
  EXPECT_EQ(late.read(all.size()), all);
}

}  // namespace
}  // namespace stillpoint::ntrip
