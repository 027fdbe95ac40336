#include "stillpoint/fetch/curl_transfer.h"

namespace stillpoint::fetch {

Result<std::vector<Credential>> read_credentials(
    const ArchiveList& list, const net::Environment& environment) {
  std::vector<Credential> credentials;
  for (const Login& login : list.logins) {
    net::SourceAddress address;
    address.password_file = login.password_file;
    address.password_env = login.password_env;
    auto password = net::read_password(address, environment);
    if (!password) {
      return fail(std::move(password.error()));
    }
    credentials.push_back({login.host, login.user, std::move(*password)});
  }
  return credentials;
}

}  // namespace stillpoint::fetch
