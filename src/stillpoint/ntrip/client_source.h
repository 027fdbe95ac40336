// Streams and source tables of casters: ntrip:// and ntrips:// (over TLS).
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/ntrip/sourcetable.h"

namespace stillpoint::ntrip {

struct ClientOptions {
  // For the name we give: "NTRIP Stillpoint/" and this.
  std::string program_version;
  // Our position as a $..GGA sentence, empty for not now; asked for at every
  // connection and each 10 s. Nothing: the caster is told no position.
  std::function<std::string()> gga;
};

// The stream of a mountpoint. Without a version in the address it asks in
// version 2 and takes an answer in version 1; where the caster does not
// understand (400, 501, 505, or closes without a byte) it asks in version 1.
// Redirects are refused: whoever is there would get the password. The password
// is read at every connection. What ends the source and what it waits out:
// refusal.h and net/retry.h.
//
//   errors   kUsage for another kind of source, or no mountpoint
Result<std::unique_ptr<net::ByteSource>> open_client_source(
    net::Loop& loop,
    const net::SourceAddress& address,
    const net::SourceOptions& options,
    const ClientOptions& client);

// Any kind: the above, or net::open_source.
Result<std::unique_ptr<net::ByteSource>> open_any_source(
    net::Loop& loop,
    const net::SourceAddress& address,
    const net::SourceOptions& options,
    const ClientOptions& client);

// A request for a source table; destroyed it is called off.
class TableRequest {
 public:
  TableRequest() = default;
  TableRequest(const TableRequest&) = delete;
  TableRequest& operator=(const TableRequest&) = delete;
  virtual ~TableRequest() = default;
};

// Asks the caster of the address what it has, whatever its mountpoint, and
// calls `done` once, from run().
//
//   errors   to `done`: what refusal.h says, kIo, kTooLarge
[[nodiscard]] std::unique_ptr<TableRequest> fetch_sourcetable(
    net::Loop& loop,
    const net::SourceAddress& address,
    const net::SourceOptions& options,
    const ClientOptions& client,
    std::function<void(Result<Sourcetable>)> done);

}  // namespace stillpoint::ntrip
