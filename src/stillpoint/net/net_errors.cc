#include "stillpoint/net/net_errors.h"

#include <grp.h>
#include <sys/stat.h>

#include <array>
#include <boost/asio/error.hpp>
#include <boost/asio/ssl/error.hpp>
#include <cerrno>
#include <optional>
#include <system_error>
#include <utility>

namespace stillpoint::net {
namespace {

namespace error = boost::asio::error;

struct Words {
  const char* what;
  const char* remedy;
};

std::optional<Words> words_for(const boost::system::error_code& code) {
  if (code == error::connection_refused) {
    return Words{"connection refused: nothing listens there",
                 "start what should listen, or correct host and port"};
  }
  if (code == error::host_not_found || code == error::no_data) {
    return Words{"no such name is known",
                 "correct the host's name, or check the name server"};
  }
  if (code == error::host_not_found_try_again) {
    return Words{"the name server does not answer",
                 "check the network and its name server"};
  }
  if (code == error::timed_out) {
    return Words{"no answer",
                 "check that the other side is on and that no firewall stops "
                 "the connection"};
  }
  if (code == error::network_unreachable || code == error::host_unreachable ||
      code == error::network_down) {
    return Words{"no way leads there",
                 "check the network cable, the address and the router"};
  }
  if (code == error::eof || code == error::connection_reset ||
      code == error::broken_pipe || code == error::connection_aborted ||
      code == boost::asio::ssl::error::stream_truncated) {
    return Words{"closed by the other side",
                 "if it happens again and again, look at the other side's log"};
  }
  return std::nullopt;
}

// The group that a device belongs to, where joining it would help.
std::string group_of(const std::string& path) {
  struct stat status {};
  if (stat(path.c_str(), &status) != 0 || (status.st_mode & S_IRGRP) == 0 ||
      status.st_gid == 0) {
    return "dialout";
  }
  std::array<char, 4096> room{};
  group entry{};
  group* found = nullptr;
  if (getgrgid_r(status.st_gid, &entry, room.data(), room.size(), &found) !=
          0 ||
      found == nullptr) {
    return "dialout";
  }
  return found->gr_name;
}

}  // namespace

std::string place_name(std::string_view host, unsigned port) {
  const bool brackets = host.find(':') != std::string_view::npos;
  return (brackets ? "[" : "") + std::string(host) + (brackets ? "]:" : ":") +
         std::to_string(port);
}

Error connection_error(const boost::system::error_code& code,
                       std::string place) {
  if (const auto words = words_for(code)) {
    return {ErrorCode::kIo, words->what, std::move(place), words->remedy};
  }
  return {ErrorCode::kIo,
          "the connection failed: " + code.message(),
          std::move(place),
          "check the network and the other side"};
}

Error open_error(int number, const std::string& path) {
  switch (number) {
    case ENOENT:
    case ENXIO:
    case ENODEV:
      return {ErrorCode::kIo,
              "no such device",
              path,
              "plug it in, or correct the name (ls /dev/serial/by-id shows "
              "what is there)"};
    case EACCES:
    case EPERM:
      return {ErrorCode::kIo,
              "this user may not open " + path,
              path,
              "add it to the group " + group_of(path) +
                  " (usermod -aG) and log in again"};
    case EBUSY:
      return {ErrorCode::kIo,
              "another program has it open",
              path,
              "end that program (fuser names it)"};
    default:
      return {ErrorCode::kIo,
              "it does not open: " + std::generic_category().message(number),
              path,
              "check the device and its cable"};
  }
}

Error device_lost(const boost::system::error_code& code,
                  const std::string& path) {
  // A terminal whose device is gone reads as at its end, or as EIO.
  const bool gone = code == error::eof || code.value() == EIO ||
                    code.value() == ENXIO || code.value() == ENODEV;
  return {ErrorCode::kIo,
          gone ? "the device is gone" : "reading failed: " + code.message(),
          path,
          "plug it in again; it is opened as soon as it is back"};
}

}  // namespace stillpoint::net
