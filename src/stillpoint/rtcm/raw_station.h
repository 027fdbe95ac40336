// Messages about the station and the stream, exactly as on the wire: 1005 to
// 1008, 1013, 1029, 1033, 1230. Which fields a message has follows from its
// number, `type`: read into a new message of the struct that has the number.
//
//   source   RTCM 10403.3; order and widths: shared checks section 5
#pragma once

#include <array>
#include <concepts>
#include <cstddef>
#include <cstdint>
#include <string>
#include <type_traits>
#include <vector>

#include "stillpoint/rtcm/wire.h"

namespace stillpoint::rtcm {

// 1005; 1006 adds the antenna height.
struct RawStationPosition {
  std::uint16_t type = 1005;
  std::uint16_t station_id = 0;
  std::uint8_t itrf_year = 0;        // DF021, reserved: 0 from most
  bool gps = false;                  // DF022
  bool glonass = false;              // DF023
  bool galileo = false;              // DF024
  bool computed = false;             // DF141, not a physical station
  std::int64_t x = 0;                // DF025 [0.0001 m]
  bool single_oscillator = false;    // DF142
  bool reserved = false;             // DF001
  std::int64_t y = 0;                // DF026 [0.0001 m]
  std::uint8_t quarter_cycle = 0;    // DF364
  std::int64_t z = 0;                // DF027 [0.0001 m]
  std::uint16_t antenna_height = 0;  // DF028 [0.0001 m], 1006 alone
  Rest rest;
  friend bool operator==(const RawStationPosition&,
                         const RawStationPosition&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawStationPosition>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);
  io.u(m.station_id, 12);
  io.u(m.itrf_year, 6);
  io.u(m.gps, 1);
  io.u(m.glonass, 1);
  io.u(m.galileo, 1);
  io.u(m.computed, 1);
  io.s(m.x, 38);
  io.u(m.single_oscillator, 1);
  io.u(m.reserved, 1);
  io.s(m.y, 38);
  io.u(m.quarter_cycle, 2);
  io.s(m.z, 38);
  if (m.type == 1006) {
    io.u(m.antenna_height, 16);
  }
  io.rest(m.rest);
}

// 1007: descriptor and setup; 1008 adds the antenna's serial number, 1033 the
// receiver as well.
struct RawAntenna {
  std::uint16_t type = 1007;
  std::uint16_t station_id = 0;
  std::string descriptor;       // DF030
  std::uint8_t setup_id = 0;    // DF031, 0: standard setup
  std::string serial;           // DF033
  std::string receiver_type;    // DF228
  std::string firmware;         // DF230
  std::string receiver_serial;  // DF232
  Rest rest;
  friend bool operator==(const RawAntenna&, const RawAntenna&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawAntenna>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);
  io.u(m.station_id, 12);
  io.text(m.descriptor);
  io.u(m.setup_id, 8);
  if (m.type != 1007) {
    io.text(m.serial);
  }
  if (m.type == 1033) {
    io.text(m.receiver_type);
    io.text(m.firmware);
    io.text(m.receiver_serial);
  }
  io.rest(m.rest);
}

// 1013.
struct RawSystemParameters {
  struct Announcement {
    std::uint16_t message = 0;   // DF055
    bool synchronous = false;    // DF056
    std::uint16_t interval = 0;  // DF057 [0.1 s]
    friend bool operator==(const Announcement&, const Announcement&) = default;
  };
  std::uint16_t type = 1013;
  std::uint16_t station_id = 0;
  std::uint16_t mjd = 0;                    // DF051
  std::uint32_t second_of_day = 0;          // DF052 [s] UTC
  std::uint8_t leap_seconds = 0;            // DF054 [s] GPS - UTC
  std::vector<Announcement> announcements;  // at most 31
  Rest rest;
  friend bool operator==(const RawSystemParameters&,
                         const RawSystemParameters&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawSystemParameters>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);
  io.u(m.station_id, 12);
  io.u(m.mjd, 16);
  io.u(m.second_of_day, 17);
  std::size_t count = m.announcements.size();
  io.u(count, 5);
  io.u(m.leap_seconds, 8);
  io.list(m.announcements, count, [](auto& at, auto& a) {
    at.u(a.message, 12);
    at.u(a.synchronous, 1);
    at.u(a.interval, 16);
  });
  io.rest(m.rest);
}

// 1029.
struct RawText {
  std::uint16_t type = 1029;
  std::uint16_t station_id = 0;
  std::uint16_t mjd = 0;            // DF051
  std::uint32_t second_of_day = 0;  // DF052 [s] UTC
  std::uint8_t characters = 0;      // DF138, as the sender counted them
  std::string bytes;                // DF140, at most 255
  Rest rest;
  friend bool operator==(const RawText&, const RawText&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawText>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);
  io.u(m.station_id, 12);
  io.u(m.mjd, 16);
  io.u(m.second_of_day, 17);
  io.u(m.characters, 7);
  io.text(m.bytes);
  io.rest(m.rest);
}

// 1230. A bias whose mask bit is 0 is not in the message.
struct RawGlonassBiases {
  std::uint16_t type = 1230;
  std::uint16_t station_id = 0;
  bool aligned = false;       // DF421
  std::uint8_t reserved = 0;  // DF001
  std::uint8_t mask = 0;      // DF422, 8: the first of `bias` … 1: the last
  std::array<std::int16_t, 4> bias{};  // DF423 … DF426 [0.02 m]: 1C 1P 2C 2P
  Rest rest;
  friend bool operator==(const RawGlonassBiases&,
                         const RawGlonassBiases&) = default;
};

template <class Io, class Message>
requires std::same_as<std::remove_const_t<Message>, RawGlonassBiases>
void fields(Io& io, Message& m) {
  io.u(m.type, 12);
  io.u(m.station_id, 12);
  io.u(m.aligned, 1);
  io.u(m.reserved, 3);
  io.u(m.mask, 4);
  for (std::size_t i = 0; i < m.bias.size(); ++i) {
    if ((m.mask & (8U >> i)) != 0) {
      io.s(m.bias[i], 16);
    }
  }
  io.rest(m.rest);
}

}  // namespace stillpoint::rtcm
