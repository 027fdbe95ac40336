// Files over HTTPS, FTP and HTTP through libcurl, in the calling thread.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/fetch/product_line.h"
#include "stillpoint/fetch/transfer.h"
#include "stillpoint/net/source_address.h"

namespace stillpoint::fetch {

// A login with its secret.
struct Credential {
  std::string host, user, password;
};

struct CurlOptions {
  std::vector<Credential> credentials;
  std::string proxy;                       // empty: none
  std::string ca_file;                     // PEM; empty: the system's
  long connect_s = 15;                     // until the connection stands
  long stall_s = 30;                       // under 100 bytes/s for this long
  long whole_s = 3600;                     // for the whole file
  std::uint64_t most_bytes = 500'000'000;  // a larger file is refused
};

// The secrets of the logins, read as those of streams are.
//
//   errors   kIo, kUsage as net::read_password()
Result<std::vector<Credential>> read_credentials(
    const ArchiveList& list, const net::Environment& environment);

// Certificates are verified. At most five redirects, to the same scheme or to
// https. A credential goes to its own host, over https only. Environment
// variables (proxies) and ~/.netrc are not looked at.
std::unique_ptr<Transfer> curl_transfer(CurlOptions options);

}  // namespace stillpoint::fetch
