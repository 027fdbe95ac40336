// The client's half of TLS: whom to trust, which name to expect, and what a
// failed handshake means in words.
#pragma once

#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/asio/ssl/stream.hpp>
#include <memory>
#include <string>

#include "stillpoint/core/result.h"

namespace stillpoint::net {

// A TLS stream over a socket that it does not own.
class TlsClient {
 public:
  using Stream = boost::asio::ssl::stream<boost::asio::ip::tcp::socket&>;

  // TLS 1.2 or newer; the chain must lead to the system's certificates or
  // those of `ca_file` (PEM, may be empty), and the certificate must be for
  // `host` (also told to the server).
  //
  //   errors   kConfig when ca_file cannot be used
  static Result<std::unique_ptr<TlsClient>> make(
      boost::asio::ip::tcp::socket& socket,
      const std::string& host,
      const std::string& ca_file);

  Stream& stream() { return stream_; }

  // Why async_handshake() failed.
  //
  //   returns  kConfig: not trusted, another name; kIo: expired, not yet
  //            valid, no TLS spoken there, closed
  Error explain(const boost::system::error_code& code, std::string place);

 private:
  TlsClient(boost::asio::ssl::context context,
            boost::asio::ip::tcp::socket& socket)
      : context_(std::move(context)), stream_(socket, context_) {}

  boost::asio::ssl::context context_;
  Stream stream_;
};

}  // namespace stillpoint::net
