#include "stillpoint/net/http_tls.h"

#include <openssl/err.h>
#include <openssl/ssl.h>

#include <boost/asio/buffer.hpp>
#include <string>

namespace stillpoint::net {
namespace {

namespace ssl = boost::asio::ssl;
using boost::system::error_code;

}  // namespace

Result<HttpTls> make_http_tls(const HttpCertificate& own) {
  auto context = std::make_shared<ssl::context>(ssl::context::tls_server);
  SSL_CTX* native = context->native_handle();
  if (SSL_CTX_set_min_proto_version(native, TLS1_2_VERSION) != 1 ||
      SSL_CTX_set_cipher_list(native, "ECDHE+AESGCM:ECDHE+CHACHA20") != 1) {
    ERR_clear_error();
    return fail(ErrorCode::kInternal, "TLS could not be set up");
  }
  SSL_CTX_set_options(native,
                      SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_COMPRESSION |
                          SSL_OP_CIPHER_SERVER_PREFERENCE);
  SSL_CTX_set_mode(native, SSL_MODE_RELEASE_BUFFERS);
  // Tickets resume sessions without memory of ours.
  SSL_CTX_set_session_cache_mode(native, SSL_SESS_CACHE_OFF);
  error_code code;
  context->use_certificate_chain(boost::asio::buffer(own.chain), code);
  if (code) {
    return fail(ErrorCode::kConfig, "the certificate is not in PEM form");
  }
  // OpenSSL would ask for a passphrase on the terminal.
  context->set_password_callback(
      [](std::size_t, ssl::context::password_purpose) { return std::string(); },
      code);
  if (!code) {
    context->use_private_key(
        boost::asio::buffer(own.key), ssl::context::pem, code);
  }
  const bool fits = !code && SSL_CTX_check_private_key(native) == 1;
  ERR_clear_error();
  if (!fits) {
    return fail(ErrorCode::kConfig,
                "the private key cannot be read without a passphrase or is "
                "not the certificate's");
  }
  return context;
}

}  // namespace stillpoint::net
