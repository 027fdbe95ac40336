// What the composer wants to know of a frame without decoding it, and the two
// things that it may change in a receiver's frame. Internal.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/gnss/satellite.h"

namespace stillpoint::compose {

struct FrameFacts {
  int type = 0;  // 0: too short for a number
  // The stream's station id (DF003), of messages that carry one.
  std::optional<int> station_id;
  // Of observation messages: MSM, 1001 to 1004, 1009 to 1012.
  struct Observation {
    System system = System::kGps;
    std::uint32_t epoch = 0;    // as on the wire, by system
    bool more_follows = false;  // DF393 or DF005: of the same epoch
    std::size_t more_bit = 0;   // where that stands in the payload
  };
  std::optional<Observation> observation;
  // Says where the antenna is: 1005, 1006, and 1032 of the physical station.
  bool position = false;
};

// MSM, 1001 to 1004, 1009 to 1012.
bool is_observation_type(int type);

//   threads  pure
FrameFacts frame_facts(ByteSpan frame);

// What is to be written into a frame.
struct FrameChange {
  std::optional<int> station_id{};  // 0 .. 4095
  bool ends_epoch = false;          // clear the bit that says more_follows
};

// The frame with the change and the checksum of that; what the frame has no
// place for is left out.
//
//   frame  whole and good, and `facts` are its own
std::vector<std::uint8_t> changed_frame(ByteSpan frame,
                                        const FrameFacts& facts,
                                        const FrameChange& change);

}  // namespace stillpoint::compose
