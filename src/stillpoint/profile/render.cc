#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cmath>
#include <limits>
#include <string_view>

#include "stillpoint/core/bytes.h"
#include "stillpoint/profile/step.h"

namespace stillpoint::profile {
namespace {

using Bytes = std::vector<std::uint8_t>;
using Kind = NumberForm::Kind;

constexpr std::array<const char*, 6> kNames = {
    "x_m", "y_m", "z_m", "lat_deg", "lon_deg", "ellipsoidal_height_m"};

// Beyond it a double has no digits behind the point that mean anything, and a
// text would grow.
constexpr double kLargestDecimal = 1e15;

void append_number(std::uint64_t bits, const NumberForm& form, Bytes& out) {
  for (unsigned i = 0; i < form.bytes; ++i) {
    const unsigned shift = 8 * (form.little_endian ? i : form.bytes - 1 - i);
    out.push_back(static_cast<std::uint8_t>(bits >> shift));
  }
}

// Every false is a value that does not fit.
bool append_decimal(double value, int decimals, Bytes& out) {
  if (!(std::fabs(value) < kLargestDecimal)) {
    return false;
  }
  std::array<char, 64> text{};
  const auto done = std::to_chars(text.data(),
                                  text.data() + text.size(),
                                  value,
                                  std::chars_format::fixed,
                                  decimals);
  std::string_view written(text.data(),
                           static_cast<std::size_t>(done.ptr - text.data()));
  // "-0.0000" is 0.
  if (written.find_first_not_of("-0.") == std::string_view::npos) {
    written.remove_prefix(written.starts_with('-') ? 1 : 0);
  }
  out.insert(out.end(), written.begin(), written.end());
  return true;
}

bool append_whole(double value, const NumberForm& form, Bytes& out) {
  const double rounded = std::round(value);
  const int bits = static_cast<int>(8 * form.bytes);
  if (form.kind == Kind::kUnsigned) {
    if (!(rounded >= 0 && rounded < std::ldexp(1, bits))) {
      return false;
    }
    append_number(static_cast<std::uint64_t>(rounded), form, out);
    return true;
  }
  const double limit = std::ldexp(1, bits - 1);
  if (!(rounded >= -limit && rounded < limit)) {
    return false;
  }
  append_number(static_cast<std::uint64_t>(static_cast<std::int64_t>(rounded)),
                form,
                out);
  return true;
}

bool append_float(double value, const NumberForm& form, Bytes& out) {
  if (form.bytes == 8) {
    if (!std::isfinite(value)) {
      return false;
    }
    append_number(std::bit_cast<std::uint64_t>(value), form, out);
    return true;
  }
  constexpr double kLargestFloat = 3.4028234663852886e38;  // of IEEE 754
  if (!(std::fabs(value) <= kLargestFloat)) {
    return false;
  }
  append_number(
      std::bit_cast<std::uint32_t>(static_cast<float>(value)), form, out);
  return true;
}

bool append_value(const Placeholder& placeholder, double value, Bytes& out) {
  const double scaled = value * placeholder.scale;
  switch (placeholder.form.kind) {
    case Kind::kDecimal:
      return append_decimal(scaled, placeholder.decimals, out);
    case Kind::kSigned:
    case Kind::kUnsigned:
      return append_whole(scaled, placeholder.form, out);
    case Kind::kFloat:
      return append_float(scaled, placeholder.form, out);
  }
  return false;
}

void finish_text(const Step& step, Bytes& out) {
  if (step.is_sentence) {
    constexpr std::string_view kDigits = "0123456789ABCDEF";
    const unsigned sum = exclusive_or(ByteSpan(out).subspan(1));
    for (const char c : {'*', kDigits[sum >> 4], kDigits[sum & 0xFU]}) {
      out.push_back(static_cast<std::uint8_t>(c));
    }
  }
  out.insert(out.end(), step.line_end.begin(), step.line_end.end());
}

}  // namespace

const std::optional<double>& value_of(const StationValues& values,
                                      ValueName name) {
  switch (name) {
    case ValueName::kX:
      return values.x_m;
    case ValueName::kY:
      return values.y_m;
    case ValueName::kZ:
      return values.z_m;
    case ValueName::kLat:
      return values.lat_deg;
    case ValueName::kLon:
      return values.lon_deg;
    case ValueName::kHeight:
      break;
  }
  return values.ellipsoidal_height_m;
}

const char* name_of(ValueName name) {
  return kNames[static_cast<std::size_t>(name)];
}

std::vector<std::string> missing_values(const Step& step,
                                        const StationValues& values) {
  std::vector<std::string> names;
  for (const Piece& piece : step.pieces) {
    if (piece.value && !value_of(values, piece.value->value)) {
      const char* name = name_of(piece.value->value);
      if (std::find(names.begin(), names.end(), name) == names.end()) {
        names.emplace_back(name);
      }
    }
  }
  return names;
}

Result<Bytes> render(const Step& step, const StationValues& values) {
  Bytes out;
  for (const Piece& piece : step.pieces) {
    out.insert(out.end(), piece.bytes.begin(), piece.bytes.end());
    if (!piece.value) {
      continue;
    }
    const double value =
        value_of(values, piece.value->value)
            .value_or(std::numeric_limits<double>::quiet_NaN());
    if (!append_value(*piece.value, value, out)) {
      return fail(ErrorCode::kOutOfRange,
                  "step '" + step.name +
                      "': " + std::string(name_of(piece.value->value)) + " = " +
                      std::to_string(value) + ", scaled by " +
                      std::to_string(piece.value->scale) +
                      ", does not fit the number it is sent as",
                  step.place,
                  "give the placeholder a wider number or a smaller scale");
    }
  }
  if (step.is_text) {
    finish_text(step, out);
  } else {
    append_checksum(step.checksum, out);
  }
  return out;
}

}  // namespace stillpoint::profile
