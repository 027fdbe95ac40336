// What a rover asks a caster, read as it arrives.
//
//   source   RTCM 10410.0 and 10410.1 from memory; RFC 9112 (grammar of
//            HTTP/1.1), RFC 7617 (Basic)
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "stillpoint/core/bytes.h"
#include "stillpoint/ntrip/request.h"

namespace stillpoint::ntrip {

struct RoverRequest {
  Version version = Version::k1;  // 2 where Ntrip-Version says so
  bool http11 = false;            // chunks are understood
  std::string mount;              // without '/', %XX read; empty: the table
  std::string user, password;
  std::string user_agent;  // as sent
  std::string gga;         // of Ntrip-GGA
};

// However the bytes are split, the result is the same. Lines may end with LF
// alone; header names come in any case; an unknown header is ignored. A damaged
// header is remembered, and the head read to its end: the answer's form depends
// on all of it. A damaged first line ends it at once.
class RequestReader {
 public:
  static constexpr std::size_t kMaxHead = std::size_t{8} * 1024;
  static constexpr std::size_t kMaxHeaders = 64;
  static constexpr std::size_t kMaxMount = 100;  // RTCM 10410.1, from memory

  enum class State : std::uint8_t { kMore, kComplete, kRefused };

  RequestReader() = default;
  ~RequestReader();  // wipes credentials
  RequestReader(const RequestReader&) = delete;
  RequestReader& operator=(const RequestReader&) = delete;

  // Takes bytes off the front of `bytes`; what follows the head stays there.
  State feed(ByteSpan& bytes);

  [[nodiscard]] State state() const { return state_; }
  // Once refused: 400, 405, 431 or 505.
  [[nodiscard]] int status() const { return status_; }
  // Complete or refused; while refused, what had come.
  [[nodiscard]] RoverRequest& request() { return request_; }

 private:
  void end_line(std::string_view line);
  void take_first_line(std::string_view line);
  void take_target(std::string_view target);
  void take_header(std::string_view line);
  void take_known(std::string_view name, std::string_view value);
  void end_head();
  void refuse(int status);
  void remember(int status) { status_ = status_ == 0 ? status : status_; }

  State state_ = State::kMore;
  bool first_ = true;  // the first line is still to come
  int status_ = 0;     // of the first mistake
  std::size_t size_ = 0, headers_ = 0, hosts_ = 0, logins_ = 0;
  bool length_ = false, coding_ = false;
  std::string line_;
  RoverRequest request_;
};

}  // namespace stillpoint::ntrip
