// Broadcast orbits and clocks: one satellite's set evaluated, and the choice
// among many.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/gnss/orbit_source.h"

namespace stillpoint {

// Evaluates one set at GPST instant t, whatever its age.
//
//   source   IS-GPS-200 20.3.3.3.3 and 20.3.3.4.3; Galileo OS SIS ICD 5.1.1;
//            BDS-SIS-ICD B1I 5.2.4.12 (GEO rotation); IS-QZSS-PNT 5.4
//   accuracy positions to 1 mm against shared checks section 3.2
SatelliteState evaluate(const KeplerEphemeris& e, GnssTime t);

// Fourth-order Runge-Kutta integration from the reference time, steps of at
// most 60 s; luni-solar acceleration as broadcast.
//
//   source   GLONASS ICD L1/L2 (edition 5.1, 2008), appendix 3
SatelliteState evaluate(const StateEphemeris& e, GnssTime t);

// Interpretation of the health word for the system and message.
bool is_healthy(const KeplerEphemeris& e);
bool is_healthy(const StateEphemeris& e);

// How far from its reference time a set may be used [s]: GPS and QZSS half the
// fit interval (2 h), Galileo 4 h after and 1 h before, BeiDou and NavIC 2 h,
// GLONASS 30 min, SBAS 6 min.
double validity_s(const KeplerEphemeris& e);
double validity_s(const StateEphemeris& e);

// False for a set that cannot be an orbit of these systems: damaged numbers.
bool is_plausible(const KeplerEphemeris& e);
bool is_plausible(const StateEphemeris& e);

// Delay of a signal's code behind what the set's clock refers to [s].
//
//   returns   nothing where the set does not say; GPS and QZSS L1 C/A and L2C
//             of LNAV count as L1 P and L2 P (within about 1 m)
//   source    IS-GPS-200 20.3.3.3.3.2 and 30.3.3.3.1.1; IS-GPS-705
//             20.3.3.3.1.2; Galileo OS SIS ICD 5.1.5; BDS-SIS-ICD B1I 5.2.4.10
//             and B1C 7.6; GLONASS ICD 4.4 (tau_n refers to L1); NavIC from
//             memory
std::optional<double> group_delay_s(const KeplerEphemeris& e,
                                    SignalCode signal);
std::optional<double> group_delay_s(const StateEphemeris& e, SignalCode signal);

// Many sets, the right one chosen by time. For Galileo F/NAV is preferred
// for the clock (E1/E5a); I/NAV where there is no F/NAV.
class BroadcastOrbits final : public OrbitSource {
 public:
  BroadcastOrbits();
  ~BroadcastOrbits() override;
  BroadcastOrbits(BroadcastOrbits&&) noexcept;
  BroadcastOrbits& operator=(BroadcastOrbits&&) noexcept;

  // Adds sets; exact duplicates and implausible sets are dropped. Ionosphere
  // parameters already there are kept.
  void add(const NavigationData& data);

  [[nodiscard]] tl::expected<SatelliteState, NoState> state(
      SatId sat, GnssTime t) const override;
  [[nodiscard]] std::optional<double> group_delay_s(
      SatId sat, GnssTime t, SignalCode signal) const override;
  [[nodiscard]] std::optional<int> glonass_channel(SatId sat) const override;
  [[nodiscard]] std::string frame_label() const override { return "WGS84"; }

  [[nodiscard]] const IonosphereParameters& ionosphere() const;
  // Number of distinct satellites of a system with at least one set.
  [[nodiscard]] int satellite_count(System system) const;

 private:
  struct Store;
  std::unique_ptr<Store> store_;
};

}  // namespace stillpoint
