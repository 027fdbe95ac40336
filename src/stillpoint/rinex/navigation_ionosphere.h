// Gathers the ionosphere parameters of a navigation file's header or records
// and picks one set of each kind. Inside this module only.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/rinex/navigation_fields.h"

namespace stillpoint::rinex::nav {

class IonosphereCollector {
 public:
  // A header line of versions 2 (ION ALPHA, ION BETA) and 3 (IONOSPHERIC
  // CORR); false when it is not readable. Labels we do not know are fine.
  bool add_header_v2(std::string_view line, bool beta);
  bool add_header_v3(std::string_view line);

  // A version 4 record "> ION G21 LNAV".
  //
  //   returns  false for kinds that are not used (BDGIM of BeiDou CNVX)
  //   errors   kTruncated, kBadFormat
  Result<bool> add_record(const RawRecord& record, double version);

  // Of several sets the one nearest to `middle`; without a time, the letter
  // nearest to noon of the header's day.
  [[nodiscard]] IonosphereParameters pick(GnssTime middle) const;

 private:
  enum class Part { kAlpha, kBeta, kBoth };
  // One set, of a satellite system (Klobuchar) or of Galileo (NeQuick).
  struct Entry {
    System system = System::kGps;
    Part part = Part::kBoth;
    char mark = ' ';  // 'A' .. 'X': hours of the day, header of version 3
    int satellite = 0;
    bool regional = false;  // QZSS: for Japan only
    std::optional<GnssTime> time;
    std::array<double, 8> values{};
  };
  static constexpr std::size_t kMaxEntries = 20'000;

  void keep(const Entry& entry);
  [[nodiscard]] std::optional<std::array<double, 8>> best(
      System system, GnssTime middle) const;

  std::vector<Entry> entries_;
};

}  // namespace stillpoint::rinex::nav
