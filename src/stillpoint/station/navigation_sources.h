// Sources beside the receiver that bring ephemerides: their bytes go to the
// decoder alone, never to the disk or to rovers.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "stillpoint/core/log.h"
#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/station/byte_queue.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/receiver_link.h"

namespace stillpoint::station {

//   threads  one: that of the loop
class NavigationSources {
 public:
  // `loop` and `decode` outlive it.
  NavigationSources(net::Loop& loop,
                    OpenSource open,
                    ByteQueue& decode,
                    Clocks clocks,
                    Logger log);
  ~NavigationSources();

  // One more, open from now on.
  //
  //   errors   as the opening; the others go on
  Status add(const std::string& source);
  void stop();

 private:
  class One;

  net::Loop& loop_;
  const OpenSource open_;
  ByteQueue& decode_;
  const Clocks clocks_;
  const Logger log_;
  std::vector<std::unique_ptr<One>> sources_;
};

}  // namespace stillpoint::station
