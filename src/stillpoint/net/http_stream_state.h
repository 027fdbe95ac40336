// What a stream and its connection share.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "stillpoint/net/http_stream.h"

namespace stillpoint::net {

class HttpConnection;

struct HttpStream::State {
  enum class Phase : std::uint8_t {
    kOpen,
    kEnding,  // when all is written
    kBroken,  // too much waited: at once
    kClosed,
  };

  Phase phase = Phase::kOpen;
  std::string queued;            // not handed to the connection yet
  std::size_t writing = 0;       // handed to it
  std::function<void()> closed;  // the owner's
  std::weak_ptr<HttpConnection> client;
};

}  // namespace stillpoint::net
