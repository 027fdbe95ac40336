// The certificate that rovers see under TLS: the owner's files, or one that the
// station makes for itself.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"

namespace stillpoint::station {

struct CertificatePair {
  std::string chain, key;       // PEM
  std::string fingerprint;      // SHA-256 of the first certificate
  std::int64_t end_unix_s = 0;  // when it ends
};

//   errors   kIo: a file cannot be read; kConfig: no certificate, no key, or
//            not of each other
Result<CertificatePair> read_certificate(const std::string& certificate,
                                         const std::string& key);

// The station's own, from the folder; made, or made anew in its last 30 days.
//
//   folder   holds own.crt and own.key
//   names    host names and addresses that it is for
//   errors   kIo, kInternal
Result<CertificatePair> own_certificate(const std::string& folder,
                                        const std::vector<std::string>& names,
                                        std::int64_t now_unix_s);

}  // namespace stillpoint::station
