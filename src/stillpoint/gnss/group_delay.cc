#include "stillpoint/gnss/broadcast.h"

namespace stillpoint {
namespace {

// (f_a / f_b)^2.
constexpr double ratio2(double fa_mhz, double fb_mhz) {
  return (fa_mhz / fb_mhz) * (fa_mhz / fb_mhz);
}
constexpr double kL1OverL2 = ratio2(1575.42, 1227.60);
constexpr double kE1OverE5a = ratio2(1575.42, 1176.45);
constexpr double kE1OverE5b = ratio2(1575.42, 1207.14);
constexpr double kSOverL5 = ratio2(2492.028, 1176.45);

// Places in KeplerEphemeris::isc_s of CNAV.
enum Isc : std::size_t { kL1Ca, kL2c, kL5i, kL5q, kL1Cd, kL1Cp };

// The signal's inter-signal correction; nothing for signals that have none.
std::optional<Isc> gps_isc(SignalCode s) {
  switch (s.band) {
    case '1':
      switch (s.attribute) {
        case 'C':
          return kL1Ca;
        case 'S':
          return kL1Cd;
        case 'L':
        case 'X':
          return kL1Cp;
        default:
          return std::nullopt;
      }
    case '2':
      switch (s.attribute) {
        case 'S':
        case 'L':
        case 'X':
          return kL2c;
        default:
          return std::nullopt;
      }
    case '5':
      return s.attribute == 'I' ? kL5i : kL5q;
    default:
      return std::nullopt;
  }
}

// The clock refers to the ionosphere-free pair of L1 P(Y) and L2 P(Y) (QZSS:
// of L1 C/A and L2C), hence TGD and gamma TGD.
std::optional<double> gps_delay(const KeplerEphemeris& e, SignalCode signal) {
  const double tgd = e.group_delay_s[0];
  if (const std::optional<Isc> isc = gps_isc(signal)) {
    if (is_present(e.isc_s[*isc])) {
      return tgd - e.isc_s[*isc];
    }
  }
  switch (signal.band) {
    case '1':
      return tgd;
    case '2':
      return kL1OverL2 * tgd;
    default:
      return std::nullopt;
  }
}

// F/NAV: the clock refers to E1 and E5a, I/NAV: to E1 and E5b. From the pair's
// delay the one of E1 follows, from that of E1 and the other pair the third.
std::optional<double> galileo_delay(const KeplerEphemeris& e,
                                    SignalCode signal) {
  const double bgd_a = e.group_delay_s[0];
  const double bgd_b = e.group_delay_s[1];
  const double e1 = e.message == NavMessage::kFnav ? bgd_a : bgd_b;
  switch (signal.band) {
    case '1':
      return e1;
    case '5':
      return e1 - (1 - kE1OverE5a) * bgd_a;
    case '7':
      return is_present(bgd_b) ? std::optional(e1 - (1 - kE1OverE5b) * bgd_b)
                               : std::nullopt;
    default:
      return std::nullopt;
  }
}

// Every BeiDou clock refers to B3I.
std::optional<double> beidou_legacy_delay(const KeplerEphemeris& e,
                                          SignalCode s) {
  const bool of_old_signals =
      s.attribute == 'I' || s.attribute == 'Q' || s.attribute == 'X';
  if (!of_old_signals) {
    return std::nullopt;
  }
  switch (s.band) {
    case '2':
      return e.group_delay_s[0];
    case '7':
      return e.group_delay_s[1];
    case '6':
      return 0.0;
    default:
      return std::nullopt;
  }
}

std::optional<double> beidou_modern_delay(const KeplerEphemeris& e,
                                          SignalCode s) {
  if (s.band == '6') {
    return 0.0;
  }
  if (e.message == NavMessage::kBcnav3) {
    return s == SignalCode{'7', 'D'} ? std::optional(e.group_delay_s[0])
                                     : std::nullopt;
  }
  if (s.band != '1' && s.band != '5') {
    return std::nullopt;
  }
  const std::size_t i = s.band == '1' ? 0 : 1;
  const double pilot = e.group_delay_s[i];
  switch (s.attribute) {
    case 'P':
    case 'X':  // both parts; the pilot has most of the power
      return pilot;
    case 'D':
      return is_present(e.isc_s[i]) ? std::optional(pilot + e.isc_s[i])
                                    : std::nullopt;
    default:
      return std::nullopt;
  }
}

// The clock refers to the pair of L5 and S (from memory).
std::optional<double> navic_delay(const KeplerEphemeris& e, SignalCode signal) {
  switch (signal.band) {
    case '9':
      return e.group_delay_s[0];
    case '5':
      return kSOverL5 * e.group_delay_s[0];
    default:
      return std::nullopt;
  }
}

}  // namespace

std::optional<double> group_delay_s(const KeplerEphemeris& e,
                                    SignalCode signal) {
  switch (e.sat.system) {
    case System::kGps:
    case System::kQzss:
      return gps_delay(e, signal);
    case System::kGalileo:
      return galileo_delay(e, signal);
    case System::kBeidou:
      return e.message == NavMessage::kD1 || e.message == NavMessage::kD2
                 ? beidou_legacy_delay(e, signal)
                 : beidou_modern_delay(e, signal);
    case System::kNavic:
      return navic_delay(e, signal);
    default:
      return std::nullopt;
  }
}

std::optional<double> group_delay_s(const StateEphemeris& e,
                                    SignalCode signal) {
  const bool l1 = signal.band == '1';
  if (e.sat.system == System::kSbas) {
    return l1 ? std::optional(0.0) : std::nullopt;
  }
  if (l1) {
    return 0.0;
  }
  if (signal.band == '2') {
    return is_present(e.l2_minus_l1_s) ? e.l2_minus_l1_s : 0.0;
  }
  return std::nullopt;
}

}  // namespace stillpoint
