// Broadcast ephemerides and ionosphere parameters, as values in SI units
// (angles in radians), whatever message or file they came in.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

// Stored; never renumber.
enum class NavMessage : std::uint8_t {
  kLnav = 0,  // GPS, QZSS, NavIC
  kCnav = 1,  // GPS, QZSS
  kCnav2 = 2,
  kInav = 3,  // Galileo E1B/E5b
  kFnav = 4,  // Galileo E5a
  kD1 = 5,    // BeiDou MEO/IGSO
  kD2 = 6,    // BeiDou GEO
  kBcnav1 = 7,
  kBcnav2 = 8,
  kBcnav3 = 9,
  kFdma = 10,  // GLONASS
  kSbas = 11,
};
const char* message_name(NavMessage m);  // "LNAV", "CNV1", … as RINEX 4

// Keplerian ephemeris of GPS, Galileo, BeiDou, QZSS, NavIC.
struct KeplerEphemeris {
  SatId sat;
  NavMessage message = NavMessage::kLnav;
  GnssTime toc, toe;
  std::optional<GnssTime> transmitted;

  double af0_s = 0, af1_s_per_s = 0, af2_s_per_s2 = 0;
  double sqrt_a_sqrt_m = 0, eccentricity = 0;
  double m0_rad = 0, delta_n_rad_per_s = 0;
  double omega0_rad = 0, omega_dot_rad_per_s = 0;
  double omega_rad = 0, i0_rad = 0, idot_rad_per_s = 0;
  double cuc_rad = 0, cus_rad = 0, crc_m = 0, crs_m = 0;
  double cic_rad = 0, cis_rad = 0;
  // CNAV and B-CNAV only: rates of the semi-major axis and of delta n.
  double a_dot_m_per_s = 0, delta_n_dot_rad_per_s2 = 0;

  // Issue of data: IODE (GPS, QZSS), IODnav (Galileo), AODE (BeiDou D1/D2),
  // IODE of B-CNAV; iodc: IODC / AODC.
  int iode = 0, iodc = 0;
  // Raw health as broadcast; is_healthy() interprets it for the system.
  std::uint32_t health = 0;
  // Galileo "data sources" word: bit 0 I/NAV E1-B, 1 F/NAV E5a, 2 I/NAV E5b,
  // 8 clock for E5a/E1, 9 clock for E5b/E1.
  std::uint32_t data_sources = 0;
  double accuracy_m = kMissing;  // URA / SISA, metres
  double fit_interval_s = 0;     // 0: the message's usual one

  // Group delays [s] as broadcast:
  //   GPS/QZSS   [0] TGD
  //   Galileo    [0] BGD E5a/E1, [1] BGD E5b/E1 (NaN: F/NAV has none)
  //   BeiDou D1/D2  [0] TGD1 (B1I-B3I), [1] TGD2 (B2I-B3I)
  //   B-CNAV     [0] TGD_B1Cp, [1] TGD_B2ap (CNV3: TGD_B2bI in [0])
  //   NavIC      [0] TGD
  std::array<double, 2> group_delay_s{0, 0};
  // Inter-signal corrections [s], CNAV: L1CA, L2C, L5I5, L5Q5, L1Cd, L1Cp;
  // B-CNAV: [0] ISC_B1Cd, [1] ISC_B2ad. NaN: not broadcast.
  std::array<double, 6> isc_s{
      kMissing, kMissing, kMissing, kMissing, kMissing, kMissing};
};

// Bits of StateEphemeris::health for GLONASS. Bn fills the lowest three; a set
// bit there means unhealthy, whether a source hands on the top bit alone or
// all three. The flags come from RINEX 3.05 and later.
inline constexpr unsigned kGlonassBnMask = 0b111U;
inline constexpr unsigned kGlonassUnhealthyL3 = 0x100U;       // l_n
inline constexpr unsigned kGlonassUnhealthyAlmanac = 0x200U;  // C_n, not used

// State vector ephemeris of GLONASS (PZ-90) and SBAS (ECEF).
struct StateEphemeris {
  SatId sat;
  NavMessage message = NavMessage::kFdma;
  GnssTime toe;  // reference time of state and clock
  std::optional<GnssTime> transmitted;
  Ecef position_m, velocity_mps, acceleration_mps2;
  // Clock offset = clock_s + clock_rate * (t - toe); GLONASS: -tau_n, gamma_n.
  double clock_s = 0, clock_rate = 0;
  int channel = 0;  // GLONASS frequency number, -7 .. 13
  int health = 0;   // 0 good; GLONASS: Bn (and status flags, see is_healthy)
  int issue = 0;    // tb (GLONASS) or IODN (SBAS)
  // GLONASS: delta tau_n, L2 minus L1 transmission delay [s]; NaN unknown.
  double l2_minus_l1_s = kMissing;
  double accuracy_m = kMissing;
};

struct Klobuchar {
  std::array<double, 4> alpha{}, beta{};  // s, s/semicircle, …
};

// What navigation data say besides orbits. Of several broadcast sets the one
// whose time is nearest to the use is taken; files of version 2 and 3 hold
// one.
struct IonosphereParameters {
  std::optional<Klobuchar> gps, beidou, qzss, navic;
  std::optional<std::array<double, 3>> galileo;  // ai0, ai1, ai2 of NeQuick
};

struct NavigationData {
  std::vector<KeplerEphemeris> kepler;
  std::vector<StateEphemeris> state;
  IonosphereParameters ionosphere;
  std::optional<int> leap_seconds;  // GPST - UTC as stated in the file
};

}  // namespace stillpoint
