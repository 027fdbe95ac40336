#include "stillpoint/aids/loading_tides.h"

#include <algorithm>

namespace stillpoint {
namespace {

char upper(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}

bool same_name(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](char x, char y) {
    return upper(x) == upper(y);
  });
}

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool is_letter(char c) {
  return upper(c) >= 'A' && upper(c) <= 'Z';
}

// Four letters or digits, two digits, the country's three letters.
bool is_long_name(std::string_view name) {
  constexpr std::size_t kLength = 9;
  return name.size() == kLength &&
         std::all_of(name.begin(),
                     name.begin() + 4,
                     [](char c) { return is_digit(c) || is_letter(c); }) &&
         is_digit(name[4]) && is_digit(name[5]) &&
         std::all_of(name.begin() + 6, name.end(), is_letter);
}

const LoadingTides* named(const LoadingProduct& product,
                          std::string_view name) {
  const auto found = std::find_if(product.stations.begin(),
                                  product.stations.end(),
                                  [name](const LoadingTides& tides) {
                                    return same_name(tides.station, name);
                                  });
  return found == product.stations.end() ? nullptr : &*found;
}

}  // namespace

const LoadingTides* find_station(const LoadingProduct& product,
                                 std::string_view marker_name) {
  const LoadingTides* const found = named(product, marker_name);
  if (found != nullptr || !is_long_name(marker_name)) {
    return found;
  }
  return named(product, marker_name.substr(0, 4));
}

}  // namespace stillpoint
