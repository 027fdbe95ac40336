// What rovers say first.
#pragma once

#include <fmt/format.h>

#include <cstdint>
#include <string>

namespace stillpoint::bench {

struct Target {
  std::uint16_t port = 2101, tls_port = 0;
  std::string mount = "LHOL00XXX";
  std::string login;  // base64 of user:password; empty: none
};

// Version 1 for even n, version 2 for odd ones.
inline std::string request_of(const Target& target, unsigned n) {
  const std::string login =
      target.login.empty()
          ? ""
          : fmt::format("Authorization: Basic {}\r\n", target.login);
  return n % 2 == 0 ? fmt::format(
                          "GET /{} HTTP/1.0\r\nUser-Agent: NTRIP SPDEMO-R1\r\n"
                          "{}\r\n",
                          target.mount,
                          login)
                    : fmt::format(
                          "GET /{} HTTP/1.1\r\nHost: 127.0.0.1\r\n"
                          "Ntrip-Version: Ntrip/2.0\r\n"
                          "User-Agent: NTRIP SPDEMO-R1\r\n{}\r\n",
                          target.mount,
                          login);
}

// Every fourth rover comes over TLS where there is a port for it.
inline bool over_tls(const Target& target, unsigned n) {
  return target.tls_port != 0 && (target.port == 0 || n % 4 == 3);
}

}  // namespace stillpoint::bench
