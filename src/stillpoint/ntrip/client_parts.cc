#include "stillpoint/ntrip/client_parts.h"

#include <utility>

#include "stillpoint/ntrip/refusal.h"

namespace stillpoint::ntrip {

net::Endpoint endpoint_of(const net::SourceAddress& address,
                          const net::SourceOptions& options) {
  net::Endpoint endpoint;
  endpoint.host = address.host;
  endpoint.port = address.port;
  endpoint.tls = address.kind == net::SourceKind::kNtrips;
  endpoint.ca_file = address.ca_file;
  endpoint.connect_s = options.connect_s;
  endpoint.silence_s = options.silence_s;
  return endpoint;
}

Result<std::string> request_of(const net::SourceAddress& address,
                               const net::SourceOptions& options,
                               Version version,
                               const std::string& program_version,
                               std::string gga) {
  auto password = net::read_password(address, options.environment);
  if (!password) {
    Error error = std::move(password.error());
    if (error.code == ErrorCode::kIo) {
      error.code = ErrorCode::kConfig;  // waiting brings no file
      error.remedy = "correct the path, or let this user read the file";
    }
    return fail(std::move(error));
  }
  Request request;
  request.host = address.host;
  request.port = address.port;
  request.mount = address.mount;
  request.user = address.user;
  request.password = std::move(*password);
  request.program_version = program_version;
  request.gga = std::move(gga);
  std::string head = build_request(version, request);
  wipe(request.password);
  return head;
}

bool VersionChoice::fall_back_after(const ResponseHead& head) {
  return fall_back(suggests_version_1(head));
}

bool VersionChoice::fall_back_after(const Ending& ending) {
  return fall_back(ending.silent);
}

bool VersionChoice::fall_back(bool sensible) {
  if (!sensible || wanted_ != 0 || version_ == Version::k1) {
    return false;
  }
  version_ = Version::k1;
  return true;
}

}  // namespace stillpoint::ntrip
