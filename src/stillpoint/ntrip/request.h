// What a client asks a caster.
//
//   source   RTCM 10410.0 (version 1) and 10410.1 (version 2), from memory;
//            RFC 7617 (Basic), RFC 9112 (HTTP/1.1)
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace stillpoint::ntrip {

// NTRIP over HTTP/1.0 with the answer "ICY 200 OK", or over HTTP/1.1 with
// Ntrip-Version.
enum class Version : std::uint8_t { k1 = 1, k2 = 2 };

struct Request {
  std::string host;  // IPv6 without brackets
  std::uint16_t port = 0;
  std::string mount;           // empty: the source table
  std::string user, password;  // no user: no credentials are sent
  std::string program_version;
  std::string gga;  // $..GGA for Ntrip-GGA (version 2), or empty
};

// The whole head, ready to be sent. What is not fit for a head is made fit:
// control characters become blanks, and %XX in the mountpoint.
std::string build_request(Version version, const Request& request);

// "Basic …".
std::string basic_credentials(std::string_view user, std::string_view password);

// Overwrites a secret before its memory goes back.
void wipe(std::string& secret);

}  // namespace stillpoint::ntrip
