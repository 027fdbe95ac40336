#include "stillpoint/ntrip/server/server_tls.h"

#include <openssl/err.h>
#include <openssl/pem.h>
#include <sys/socket.h>

#include <cerrno>
#include <cstdint>

namespace stillpoint::ntrip {
namespace {

struct BioFree {
  void operator()(BIO* bio) const { BIO_free(bio); }
};
using Bio = std::unique_ptr<BIO, BioFree>;

Bio reading(const std::string& text) {
  return Bio(BIO_new_mem_buf(text.data(), static_cast<int>(text.size())));
}

// OpenSSL's own socket BIO writes with write(), whose SIGPIPE would end the
// program; this one does not.
int fd_of(BIO* bio) {
  return static_cast<int>(reinterpret_cast<std::intptr_t>(BIO_get_data(bio)));
}

int bio_write(BIO* bio, const char* bytes, int size) {
  BIO_clear_retry_flags(bio);
  const auto sent =
      ::send(fd_of(bio), bytes, static_cast<std::size_t>(size), MSG_NOSIGNAL);
  if (sent < 0 && (errno == EAGAIN || errno == EINTR)) {
    BIO_set_retry_write(bio);
  }
  return static_cast<int>(sent);
}

int bio_read(BIO* bio, char* bytes, int size) {
  BIO_clear_retry_flags(bio);
  const auto got = ::recv(fd_of(bio), bytes, static_cast<std::size_t>(size), 0);
  if (got < 0 && (errno == EAGAIN || errno == EINTR)) {
    BIO_set_retry_read(bio);
  }
  return static_cast<int>(got);
}

long bio_ctrl(BIO*, int command, long, void*) {
  return command == BIO_CTRL_FLUSH ? 1 : 0;
}

struct MethodFree {
  void operator()(BIO_METHOD* method) const { BIO_meth_free(method); }
};

const BIO_METHOD* quiet_socket() {
  static const std::unique_ptr<BIO_METHOD, MethodFree> method = [] {
    std::unique_ptr<BIO_METHOD, MethodFree> made(
        BIO_meth_new(BIO_get_new_index() | BIO_TYPE_SOURCE_SINK, "socket"));
    if (made) {
      BIO_meth_set_write(made.get(), bio_write);
      BIO_meth_set_read(made.get(), bio_read);
      BIO_meth_set_ctrl(made.get(), bio_ctrl);
    }
    return made;
  }();
  return method.get();
}

bool use_chain(SSL_CTX* context, const std::string& chain) {
  const Bio bio = reading(chain);
  X509* own = PEM_read_bio_X509_AUX(bio.get(), nullptr, nullptr, nullptr);
  const bool used =
      own != nullptr && SSL_CTX_use_certificate(context, own) == 1;
  X509_free(own);
  while (used) {
    X509* issuer = PEM_read_bio_X509(bio.get(), nullptr, nullptr, nullptr);
    if (issuer == nullptr) {
      break;
    }
    if (SSL_CTX_add0_chain_cert(context, issuer) != 1) {
      X509_free(issuer);
      return false;
    }
  }
  return used;
}

// A key with a passphrase would ask for it on the terminal.
int no_passphrase(char*, int, int, void*) {
  return -1;
}

bool use_key(SSL_CTX* context, const std::string& key) {
  const Bio bio = reading(key);
  EVP_PKEY* own =
      PEM_read_bio_PrivateKey(bio.get(), nullptr, no_passphrase, nullptr);
  const bool used = own != nullptr && SSL_CTX_use_PrivateKey(context, own) == 1;
  EVP_PKEY_free(own);
  return used && SSL_CTX_check_private_key(context) == 1;
}

}  // namespace

Result<ServerContext> make_server_context(const std::string& chain,
                                          const std::string& key) {
  ServerContext context(SSL_CTX_new(TLS_server_method()));
  if (!context || quiet_socket() == nullptr) {
    return fail(ErrorCode::kInternal, "TLS could not be set up");
  }
  SSL_CTX_set_min_proto_version(context.get(), TLS1_2_VERSION);
  SSL_CTX_set_cipher_list(context.get(), "ECDHE+AESGCM:ECDHE+CHACHA20");
  SSL_CTX_set_options(context.get(),
                      SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_COMPRESSION |
                          SSL_OP_CIPHER_SERVER_PREFERENCE);
  // Chunks are shared and stay where they are, but a retry may join more of
  // them; buffers go back to the heap while nothing moves.
  SSL_CTX_set_mode(context.get(),
                   SSL_MODE_ENABLE_PARTIAL_WRITE |
                       SSL_MODE_ACCEPT_MOVING_WRITE_BUFFER |
                       SSL_MODE_RELEASE_BUFFERS);
  // Tickets resume sessions after a storm without memory of ours.
  SSL_CTX_set_session_cache_mode(context.get(), SSL_SESS_CACHE_OFF);
  const bool fits = use_chain(context.get(), chain);
  const bool complete = fits && use_key(context.get(), key);
  ERR_clear_error();
  if (!fits) {
    return fail(ErrorCode::kConfig, "the certificate is not in PEM form");
  }
  if (!complete) {
    return fail(ErrorCode::kConfig,
                "the private key cannot be read without a passphrase or is "
                "not the certificate's");
  }
  return context;
}

TlsSession make_server_session(SSL_CTX* context, int fd) {
  TlsSession session(SSL_new(context));
  BIO* bio = BIO_new(quiet_socket());
  if (!session || bio == nullptr) {
    BIO_free(bio);
    return nullptr;
  }
  // NOLINTNEXTLINE(performance-no-int-to-ptr): the descriptor is all we keep
  BIO_set_data(bio, reinterpret_cast<void*>(static_cast<std::intptr_t>(fd)));
  BIO_set_init(bio, 1);
  SSL_set_bio(session.get(), bio, bio);
  SSL_set_accept_state(session.get());
  return session;
}

}  // namespace stillpoint::ntrip
