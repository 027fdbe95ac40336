#include "stillpoint/app/demo_settings.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <fstream>
#include <random>
#include <string_view>

#include "stillpoint/core/check.h"
#include "stillpoint/profile/shipped.h"

namespace stillpoint::app {
namespace {

constexpr int kLeastPort = 20'000, kMostPort = 31'999;
constexpr int kTries = 200;

bool is_free(std::uint16_t port) {
  const int number = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (number < 0) {
    return false;
  }
  sockaddr_in at{};
  at.sin_family = AF_INET;
  at.sin_port = htons(port);
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  const bool bound =
      ::bind(number, reinterpret_cast<const sockaddr*>(&at), sizeof(at)) == 0;
  ::close(number);
  return bound;
}

std::string replaced(std::string text,
                     std::string_view old_part,
                     std::string_view new_part) {
  const auto at = text.find(old_part);
  STILLPOINT_CHECK(at != std::string::npos);
  return text.replace(at, old_part.size(), new_part);
}

// The shipped profile of the simulated receiver, but for the interval.
std::string profile_text() {
  const auto shipped = profile::find_shipped_profile("spdemo-r1");
  STILLPOINT_CHECK(shipped.has_value());
  std::string text =
      replaced(std::string(shipped->toml),
               "hex = \"9E C4 10 00 {length} E8 03\"",
               "hex = \"9E C4 10 00 {length} 10 27\"   # 10000 ms");
  text = replaced(text, "an epoch every second", "an epoch every ten seconds");
  return "# Simulated. As the profile spdemo-r1, but slower: two days go by in "
         "a minute.\n" +
         text;
}

// A text of TOML: paths may hold anything.
std::string quoted(std::string_view text) {
  constexpr unsigned kFirstPrintable = 0x20, kDelete = 0x7f;
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (byte < kFirstPrintable || byte == kDelete) {
      out += fmt::format("\\u{:04X}", byte);
    } else {
      out += c;
    }
  }
  return out + "\"";
}

std::string station_text(const DemoFolder& folder,
                         const DemoPorts& ports,
                         const std::string& station,
                         const std::string& date) {
  return fmt::format(
      R"(# Simulated: the station of stillpoint demo, as it was started.
# What is not here has its default (docs/formats/station-toml.md).

[station]
name = {}
state = {}
observer = "simulated"
agency = "simulated"

[receiver]
# The simulated receiver. It sends data of a day that it names.
source = "tcp://127.0.0.1:{}?date={}"
profile = {}
# An epoch every ten seconds.
silence_s = 30

[archive]
commit_s = 1
leave_free_mb = 64

[rovers]
listen = "127.0.0.1:{}"
# A minute of the demo is hours of a station: what waits for a rover for a
# moment is as many times as much.
lag_kb = 8192

[[mountpoint]]
name = "{}"
identifier = "Larch Hollow, simulated"
network = "simulated"

[solve]
# The simulated products: precise orbits, clocks, biases, antennas.
products = {}

[console]
listen = "127.0.0.1:{}"

[health]
listen = "127.0.0.1:{}"
)",
      quoted(station),
      quoted(folder.state()),
      ports.receiver,
      date,
      quoted(folder.profile()),
      ports.rovers,
      kDemoMount,
      quoted(folder.products()),
      ports.console,
      ports.health);
}

Status write(const std::string& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  file.close();
  return file ? ok() : fail(ErrorCode::kIo, "cannot be written", path);
}

}  // namespace

Result<DemoPorts> find_demo_ports(std::uint16_t console) {
  std::mt19937 engine(std::random_device{}());
  std::uniform_int_distribution<int> any(kLeastPort, kMostPort);
  DemoPorts ports;
  ports.console = console;
  std::uint16_t* all[] = {
      &ports.receiver, &ports.rovers, &ports.health, &ports.console};
  for (std::uint16_t* port : all) {
    for (int i = 0; *port == 0 && i < kTries; ++i) {
      const auto one = static_cast<std::uint16_t>(any(engine));
      const bool taken = one == ports.receiver || one == ports.rovers ||
                         one == ports.health || one == ports.console;
      *port = !taken && is_free(one) ? one : *port;
    }
    if (*port == 0) {
      return fail(ErrorCode::kIo,
                  "no port is free",
                  fmt::format("127.0.0.1:{} .. {}", kLeastPort, kMostPort));
    }
  }
  return ports;
}

Status write_demo_settings(const DemoFolder& folder,
                           const DemoPorts& ports,
                           const std::string& station,
                           const std::string& date) {
  Status written = write(folder.profile(), profile_text());
  if (written) {
    written =
        write(folder.config(), station_text(folder, ports, station, date));
  }
  return written;
}

}  // namespace stillpoint::app
