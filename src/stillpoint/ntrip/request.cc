#include "stillpoint/ntrip/request.h"

#include <fmt/format.h>
#include <openssl/crypto.h>
#include <openssl/evp.h>

#include "stillpoint/core/text.h"
#include "stillpoint/ntrip/ascii.h"

namespace stillpoint::ntrip {
namespace {

std::string path_of(std::string_view mount) {
  std::string path = "/";
  for (const char c : mount) {
    if (c > ' ' && is_printable(c)) {
      path += c;
    } else {
      path += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
  }
  return path;
}

std::string host_field(const Request& request) {
  const bool v6 = request.host.find(':') != std::string::npos;
  return fmt::format(
      fmt::runtime(v6 ? "[{}]:{}" : "{}:{}"), request.host, request.port);
}

}  // namespace

std::string basic_credentials(std::string_view user,
                              std::string_view password) {
  std::string plain = fmt::format("{}:{}", user, password);
  // Four letters for every three bytes begun, and the zero that is written.
  std::string coded(4 * ((plain.size() + 2) / 3) + 1, '\0');
  const int length =
      EVP_EncodeBlock(reinterpret_cast<unsigned char*>(coded.data()),
                      reinterpret_cast<const unsigned char*>(plain.data()),
                      static_cast<int>(plain.size()));
  std::string credentials = "Basic ";
  credentials.append(coded, 0, static_cast<std::size_t>(length));
  wipe(plain);
  wipe(coded);
  return credentials;
}

std::string build_request(Version version, const Request& request) {
  const bool second = version == Version::k2;
  std::string head;
  // Room for all of it: a string that grows would leave copies of the
  // credentials behind.
  head.reserve(1024 + 2 * (request.user.size() + request.password.size()) +
               3 * request.mount.size() + request.gga.size());
  const auto line = [&head](std::string_view name, std::string_view value) {
    head += name;
    head += one_line(value);
    head += "\r\n";
  };
  line("GET ", path_of(request.mount) + (second ? " HTTP/1.1" : " HTTP/1.0"));
  if (second) {
    line("Host: ", host_field(request));
    line("Ntrip-Version: ", "Ntrip/2.0");
  }
  line("User-Agent: ", "NTRIP Stillpoint/" + request.program_version);
  if (!request.user.empty()) {
    std::string credentials = basic_credentials(request.user, request.password);
    head += "Authorization: ";
    head += credentials;
    head += "\r\n";
    wipe(credentials);
  }
  if (second) {
    const std::string_view gga = trim(request.gga);
    if (!gga.empty()) {
      line("Ntrip-GGA: ", gga);
    }
    line("Connection: ", "close");
  }
  head += "\r\n";
  return head;
}

void wipe(std::string& secret) {
  OPENSSL_cleanse(secret.data(), secret.size());
  secret.clear();
}

}  // namespace stillpoint::ntrip
