// What the system says about a connection or device, in words for people.
#pragma once

#include <boost/system/error_code.hpp>
#include <string>
#include <string_view>

#include "stillpoint/core/result.h"

namespace stillpoint::net {

// "host:port", an IPv6 host in brackets.
std::string place_name(std::string_view host, unsigned port);

// A name that was not found, a connection that was not made or was lost; kIo.
Error connection_error(const boost::system::error_code& code,
                       std::string place);

// A device, terminal or file that did not open (`number`: errno); kIo.
Error open_error(int number, const std::string& path);

// A device that was lost while open; kIo.
Error device_lost(const boost::system::error_code& code,
                  const std::string& path);

}  // namespace stillpoint::net
