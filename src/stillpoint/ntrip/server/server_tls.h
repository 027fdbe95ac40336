// The server's half of TLS.
#pragma once

#include <openssl/ssl.h>

#include <memory>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::ntrip {

struct ContextFree {
  void operator()(SSL_CTX* context) const { SSL_CTX_free(context); }
};
using ServerContext = std::unique_ptr<SSL_CTX, ContextFree>;

struct SessionFree {
  void operator()(SSL* session) const { SSL_free(session); }
};
using TlsSession = std::unique_ptr<SSL, SessionFree>;

// TLS 1.2 with forward secrecy and authenticated encryption, or 1.3.
//
//   chain, key   PEM text
//   errors       kConfig: not PEM, or the key is not the certificate's
Result<ServerContext> make_server_context(const std::string& chain,
                                          const std::string& key);

// A session on a socket that it does not own. It keeps its context alive, so
// that a new certificate leaves it as it is. Nothing when memory is out.
TlsSession make_server_session(SSL_CTX* context, int fd);

}  // namespace stillpoint::ntrip
