// The certificate that a station makes for itself, and when any certificate
// ends. Whoever connects compares the fingerprint once; nobody has signed it.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::net {

// 825 days with both ends, since makers of phones and desktops refuse longer
// ones outright, where they only warn of one that nobody has signed (from
// memory). With ten years an unattended station would be asked about less
// often, but could not be reached from those devices at all. The station makes
// a new one in time: certificate_end_unix_s().
inline constexpr int kOwnCertificateDays = 825;

struct OwnCertificate {
  std::string certificate, key;  // PEM
  std::string fingerprint;       // as certificate_fingerprint()
};

// EC P-256, signed by itself with SHA-256, for TLS servers, no authority: who
// trusts it trusts no other certificate with it. Valid from a day before `now`,
// for clients whose clocks are behind. Key and serial number are drawn by
// OpenSSL's own generator.
//
//   names       the station's host names and numeric addresses; localhost,
//               127.0.0.1 and ::1 are added
//   now_unix_s  1970 .. 9000; a wrong clock makes a wrong certificate
//   errors      kOutOfRange for such a time; kConfig for a name that can be
//               neither; kInternal when OpenSSL fails
Result<OwnCertificate> make_own_certificate(
    const std::vector<std::string>& names, std::int64_t now_unix_s);

// The second in which the first certificate of a PEM text ends. Right beyond
// 2038 wherever time_t is short.
//
//   errors   kBadFormat when there is none
Result<std::int64_t> certificate_end_unix_s(std::string_view pem);

// SHA-256 of the first certificate: "5A:0F:…", 32 pairs.
//
//   errors   kBadFormat when there is none
Result<std::string> certificate_fingerprint(std::string_view pem);

}  // namespace stillpoint::net
