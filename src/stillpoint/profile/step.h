// One step of a start-up: what to send to the receiver and what to wait for.
// From the [[step]] tables of a receiver profile (docs/receivers.md).
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/profile/checksum.h"

namespace stillpoint::profile {

// What a step may put into its bytes: the adopted position, as far as there is
// one. ECEF in the frame of the broadcast; degrees because receivers take them.
struct StationValues {
  std::optional<double> x_m{}, y_m{}, z_m{};
  std::optional<double> lat_deg{}, lon_deg{}, ellipsoidal_height_m{};
};

enum class ValueName : std::uint8_t { kX, kY, kZ, kLat, kLon, kHeight };

// The value of that name, and the name as profiles write it: "x_m".
const std::optional<double>& value_of(const StationValues& values,
                                      ValueName name);
const char* name_of(ValueName name);

// A number as bytes. kDecimal is text.
struct NumberForm {
  enum class Kind : std::uint8_t { kDecimal, kSigned, kUnsigned, kFloat };
  Kind kind = Kind::kDecimal;
  unsigned bytes = 0;  // 1, 2, 4, 8; kDecimal: unknown before the value is
  bool little_endian = true;
};

// "{x_m:scale=10000,i64le}": the value times the scale, rounded to a whole
// number (half away from zero) unless it is a float.
struct Placeholder {
  ValueName value = ValueName::kX;
  double scale = 1;
  NumberForm form;
  int decimals = 0;  // kDecimal
};

// Fixed bytes, then a value.
struct Piece {
  std::vector<std::uint8_t> bytes;
  std::optional<Placeholder> value;
};

// What a reply looks like: text that a line begins with, or bytes of which
// some may be anything. One of the two is empty; both: no reply is waited for.
struct ReplyPattern {
  std::string line_begin;
  std::vector<std::optional<std::uint8_t>> bytes;
  [[nodiscard]] bool empty() const {
    return line_begin.empty() && bytes.empty();
  }
};

struct Step {
  std::string name;
  std::string place;  // in the profile: "p.toml:12:1"
  bool is_text = false;
  // Text without its line end, or a packet without its checksum.
  std::vector<Piece> pieces;
  bool is_sentence = false;  // text: '*' and two hex digits follow
  std::string line_end;      // text
  Checksum checksum;         // packet
  ReplyPattern reply, refusal;
  unsigned tries = 1;
  double reply_within_s = 2;  // each try
  double pause_s = 0;         // behind the step, whatever its outcome
  bool optional = false;      // its failure does not end the start-up
};

// Values that a step needs and does not get, by name, each once.
std::vector<std::string> missing_values(const Step& step,
                                        const StationValues& values);

// The bytes that a step sends; no value is missing.
//
//   errors   kOutOfRange at the step's place: a value that its number cannot
//            hold, or that is not finite
Result<std::vector<std::uint8_t>> render(const Step& step,
                                         const StationValues& values);

}  // namespace stillpoint::profile
