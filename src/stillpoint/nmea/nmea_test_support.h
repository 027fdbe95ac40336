// Short ways to a decoded sentence. A sentence without its frame gets one.
#pragma once

#include <gtest/gtest.h>

#include <numbers>
#include <string>
#include <string_view>

#include "stillpoint/nmea/sentence.h"

namespace stillpoint::nmea {

inline constexpr double kDeg = std::numbers::pi / 180;

// The value, which must be of this kind.
template <class T>
T decoded(std::string_view body) {
  const auto sentence = parse_sentence(frame_sentence(body));
  EXPECT_TRUE(sentence.has_value())
      << body << ": " << (sentence ? "" : sentence.error().text());
  const T* value = sentence ? std::get_if<T>(&sentence->value) : nullptr;
  EXPECT_NE(value, nullptr) << body;
  return value != nullptr ? *value : T{};
}

// The error of a sentence with a good checksum.
inline Error refused(std::string_view body) {
  const auto sentence = parse_sentence(frame_sentence(body));
  EXPECT_FALSE(sentence.has_value()) << body;
  return sentence ? Error{} : sentence.error();
}

}  // namespace stillpoint::nmea
