// Systems and satellites as strong ids.
#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint {

// Stored in position records and tables; never renumber.
enum class System : std::uint8_t {
  kGps = 0,
  kGlonass = 1,
  kGalileo = 2,
  kBeidou = 3,
  kQzss = 4,
  kSbas = 5,
  kNavic = 6,
};
inline constexpr int kSystemCount = 7;
inline constexpr std::array<System, kSystemCount> kSystems{System::kGps,
                                                           System::kGlonass,
                                                           System::kGalileo,
                                                           System::kBeidou,
                                                           System::kQzss,
                                                           System::kSbas,
                                                           System::kNavic};

// RINEX letter: G R E C J S I.
char system_letter(System s);
std::optional<System> system_from_letter(char letter);
// "GPS", "GLONASS", "Galileo", "BeiDou", "QZSS", "SBAS", "NavIC".
const char* system_name(System s);

// A satellite by its RINEX number: G 1-63, R 1-63, E 1-63, C 1-63, J 1-10
// (PRN - 192), S 1-99 (PRN - 100), I 1-63.
struct SatId {
  System system = System::kGps;
  std::uint8_t number = 0;

  friend auto operator<=>(const SatId&, const SatId&) = default;

  static constexpr int kIndexCount = kSystemCount * 100;
  // Dense index, [0, kIndexCount), for arrays by satellite.
  [[nodiscard]] constexpr int index() const {
    return static_cast<int>(system) * 100 + number;
  }
  [[nodiscard]] std::string text() const;  // "G07"
};

// "G07", "G 7" or " 7" (`blank` stands for the system of a blank letter).
// Nothing for anything else, numbers 0 and above 99 included.
std::optional<SatId> parse_satellite(std::string_view text,
                                     char blank_letter = 'G');

}  // namespace stillpoint

template <>
struct std::hash<stillpoint::SatId> {
  std::size_t operator()(stillpoint::SatId s) const noexcept {
    return static_cast<std::size_t>(s.index());
  }
};
