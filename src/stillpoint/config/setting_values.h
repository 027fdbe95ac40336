// Settings of one kind each, as the lists of sections write them.
#pragma once

#include <type_traits>

#include "stillpoint/config/settings.h"

namespace stillpoint::config {

inline constexpr Effect kNow = Effect::kAtOnce;
inline constexpr Effect kLater = Effect::kAfterRestart;

template <class S, auto kMember>
WordValue<S> words(std::span<const std::string_view> all) {
  return {all,
          [](const S& s) { return static_cast<std::size_t>(s.*kMember); },
          [](S& s, std::size_t number) {
            using Enum = std::remove_reference_t<decltype(s.*kMember)>;
            s.*kMember = static_cast<Enum>(number);
          }};
}

template <class S>
TextValue<S> text(std::string S::*at, const TextRule& rule) {
  return {at, &rule};
}
template <class S>
WholeValue<S> whole(std::uint32_t S::*at,
                    std::uint32_t least,
                    std::uint32_t most) {
  return {at, least, most};
}
template <class S>
NumberValue<S> degrees(std::optional<double> S::*at, int most) {
  return {at, -most, most};
}
template <class S>
NumberValue<S> metres(std::optional<double> S::*at, int least, int most) {
  return {at, least, most};
}
template <class S>
ListenValue<S> listen(std::optional<ListenAddress> S::*at) {
  return {at};
}

}  // namespace stillpoint::config
