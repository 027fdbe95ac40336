// What a stream and a source table ask for alike.
#pragma once

#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/connection.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/ntrip/exchange.h"
#include "stillpoint/ntrip/request.h"

namespace stillpoint::ntrip {

net::Endpoint endpoint_of(const net::SourceAddress& address,
                          const net::SourceOptions& options);

// The request, with the password read for it and forgotten after.
//
//   errors   of net::read_password; kConfig instead of kIo
Result<std::string> request_of(const net::SourceAddress& address,
                               const net::SourceOptions& options,
                               Version version,
                               const std::string& program_version,
                               std::string gga);

// Which version to ask in: the address's, or 2 and after some answers 1.
class VersionChoice {
 public:
  explicit VersionChoice(int wanted) : wanted_(wanted) { forget(); }

  [[nodiscard]] Version version() const { return version_; }
  // True once where version 1 is still to be tried; then it is version().
  bool fall_back_after(const ResponseHead& head);
  bool fall_back_after(const Ending& ending);
  // A stream came, or none: begin anew next time.
  void keep(Version version) { version_ = version; }
  void forget() { version_ = wanted_ == 1 ? Version::k1 : Version::k2; }

 private:
  bool fall_back(bool sensible);

  int wanted_;
  Version version_ = Version::k2;
};

}  // namespace stillpoint::ntrip
