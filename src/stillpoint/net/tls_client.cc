#include "stillpoint/net/tls_client.h"

#include <openssl/ssl.h>
#include <openssl/x509v3.h>

#include <boost/asio/ip/address.hpp>
#include <boost/asio/ssl/error.hpp>
#include <utility>

#include "stillpoint/net/net_errors.h"

namespace stillpoint::net {
namespace {

namespace ssl = boost::asio::ssl;
using boost::system::error_code;

// Names the server that is meant and the name its certificate must bear.
bool expect_host(SSL* session, const std::string& host) {
  error_code not_an_address;
  boost::asio::ip::make_address(host, not_an_address);
  if (!not_an_address) {
    return X509_VERIFY_PARAM_set1_ip_asc(SSL_get0_param(session),
                                         host.c_str()) == 1;
  }
  SSL_set_hostflags(session, X509_CHECK_FLAG_NO_PARTIAL_WILDCARDS);
  // SSL_set_tlsext_host_name is a macro with an old-style cast.
  std::string name = host;
  return SSL_set1_host(session, host.c_str()) == 1 &&
         SSL_ctrl(session,
                  SSL_CTRL_SET_TLSEXT_HOSTNAME,
                  TLSEXT_NAMETYPE_host_name,
                  name.data()) == 1;
}

Error certificate_error(long result, std::string place) {
  switch (result) {
    case X509_V_ERR_HOSTNAME_MISMATCH:
    case X509_V_ERR_IP_ADDRESS_MISMATCH:
      return {ErrorCode::kConfig,
              "its certificate is for another name",
              std::move(place),
              "write the host as the certificate names it"};
    case X509_V_ERR_CERT_HAS_EXPIRED:
      return {ErrorCode::kIo,
              "its certificate has expired",
              std::move(place),
              "tell who runs it; if others can connect, set this computer's "
              "clock"};
    case X509_V_ERR_CERT_NOT_YET_VALID:
      return {ErrorCode::kIo,
              "its certificate is not valid yet",
              std::move(place),
              "set this computer's clock"};
    default:
      return {ErrorCode::kConfig,
              std::string("its certificate is not trusted: ") +
                  X509_verify_cert_error_string(result),
              std::move(place),
              "if it has a certificate of its own, get that from who runs it "
              "and add ca_file=PEM"};
  }
}

}  // namespace

Result<std::unique_ptr<TlsClient>> TlsClient::make(
    boost::asio::ip::tcp::socket& socket,
    const std::string& host,
    const std::string& ca_file) {
  ssl::context context(ssl::context::tls_client);
  SSL_CTX* native = context.native_handle();
  error_code code;
  context.set_verify_mode(ssl::verify_peer, code);
  if (code || SSL_CTX_set_min_proto_version(native, TLS1_2_VERSION) != 1) {
    return fail(ErrorCode::kInternal, "TLS cannot be set up", host);
  }
  // A system without certificates trusts nobody but ca_file.
  context.set_default_verify_paths(code);
  if (!ca_file.empty()) {
    context.load_verify_file(ca_file, code);
    if (code) {
      return fail(ErrorCode::kConfig,
                  "the certificates to trust cannot be used: " + code.message(),
                  ca_file,
                  "give a file of certificates in PEM form that this user may "
                  "read");
    }
  }
  std::unique_ptr<TlsClient> client(new TlsClient(std::move(context), socket));
  if (!expect_host(client->stream_.native_handle(), host)) {
    return fail(ErrorCode::kConfig,
                "this host's name cannot be checked against a certificate",
                host,
                "correct the host's name");
  }
  return client;
}

Error TlsClient::explain(const error_code& code, std::string place) {
  const long result = SSL_get_verify_result(stream_.native_handle());
  if (result != X509_V_OK) {
    return certificate_error(result, std::move(place));
  }
  if (code.category() == boost::asio::error::get_ssl_category()) {
    return {ErrorCode::kIo,
            "no agreement on an encrypted connection: " + code.message(),
            std::move(place),
            "check that this port speaks TLS 1.2 or newer"};
  }
  return connection_error(code, std::move(place));
}

}  // namespace stillpoint::net
