// The HTTP server's half of TLS.
#pragma once

#include <boost/asio/ssl/context.hpp>
#include <memory>

#include "stillpoint/core/result.h"
#include "stillpoint/net/http_server.h"

namespace stillpoint::net {

using HttpTls = std::shared_ptr<boost::asio::ssl::context>;

// TLS 1.2 with forward secrecy and authenticated encryption, or 1.3.
//
//   errors   kConfig: not PEM, or the key is not the certificate's
Result<HttpTls> make_http_tls(const HttpCertificate& own);

}  // namespace stillpoint::net
