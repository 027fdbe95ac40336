// Where receiver bytes come from, as people write it:
//
//   serial:/dev/ttyACM0?baud=115200&flow=none|hardware|software
//   tcp://host:port
//   ntrip://user@host:2101/MOUNT?password_file=F  or  password_env=NAME
//   ntrips://…                                     (the same over TLS)
//   file:PATH?speed=N                              (0: as fast as it goes)
//   -                                              (standard input)
//
// Every kind takes ?date=YYYY-MM-DD, the day of the data (for the week); ntrip
// takes version=1|2, ntrips also ca_file=PEM. A port may be left out of
// ntrip:// only (2101). IPv6 hosts stand in brackets. In a user or mount a
// byte may be written %XX. The options of serial: and file: begin at the last
// '?', so that a path with a '?' in it is written with one more at its end.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint::net {

enum class SourceKind : std::uint8_t {
  kSerial,
  kTcp,
  kNtrip,
  kNtrips,
  kFile,
  kStdin,
};

enum class FlowControl : std::uint8_t { kNone, kHardware, kSoftware };

struct SourceAddress {
  SourceKind kind = SourceKind::kStdin;
  std::string text;  // as given; never holds a password
  std::string path;  // device or file
  unsigned baud = 115200;
  FlowControl flow = FlowControl::kNone;
  std::string host;
  std::uint16_t port = 0;
  std::string mount;  // without the slash; empty asks for the source table
  std::string user;
  std::string password_file, password_env;
  int version = 0;   // NTRIP 1 or 2; 0 finds out
  double speed = 0;  // file: 1 is real time, 0 as fast as it goes
  std::string date;  // YYYY-MM-DD, or empty
  // TLS: certificates to trust besides the system's (PEM file), or empty.
  std::string ca_file;
};

//   errors   kUsage with the part that is wrong, what is allowed and the
//            remedy. A password in the text is refused, and never repeated in
//            the error: no part that could be one is.
Result<SourceAddress> parse_source(std::string_view text);

// Says what an environment variable holds. The caller hands it in: nothing
// below the program reads the environment.
using Environment =
    std::function<std::optional<std::string>(const std::string& name)>;

// The password that the address names, without its line end; empty where it
// names none. Never logged, never part of an error.
//
//   errors   kIo (file cannot be read), kUsage (variable not set, or the file
//            holds no password: empty, several lines, over 1024 bytes)
Result<std::string> read_password(const SourceAddress& address,
                                  const Environment& environment);

}  // namespace stillpoint::net
