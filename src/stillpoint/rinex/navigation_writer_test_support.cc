#include "stillpoint/rinex/navigation_writer_test_support.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "stillpoint/time/scales.h"

namespace stillpoint::rinex::test {
namespace {

// Saturday evening: the week ends within the sets.
const GnssTime kToc =
    GnssTime::from_gps_week(2341, 604'800 - 600);  // 2024-11-23 23:50 GPST

KeplerEphemeris kepler(SatId sat, NavMessage message, int n) {
  const double x = 1 + n / 7.0;  // no two sets are alike
  KeplerEphemeris e;
  e.sat = sat;
  e.message = message;
  e.toc = kToc + Duration{sat.system == System::kBeidou ? 14.0 : 0};
  e.toe = e.toc + Duration{sat.system == System::kGalileo ? 600.0 : 0};
  e.transmitted = e.toe + Duration{n % 2 == 0 ? -1218.0 : 1218.0};
  e.af0_s = -1.2345678901234e-4 * x;
  e.af1_s_per_s = -2.3456789012345e-12 * x;
  e.af2_s_per_s2 = n % 3 == 0 ? 0 : 3.4567890123456e-20;
  e.sqrt_a_sqrt_m = 5153.71234567891 + n;
  e.eccentricity = 1.1111111111111e-2 * x;
  e.m0_rad = 1.2222222222222 / x;
  e.delta_n_rad_per_s = 4.4444444444444e-9 * x;
  e.omega0_rad = -2.2555555555555 / x;
  e.omega_dot_rad_per_s = -8.0123456789012e-9 * x;
  e.omega_rad = 0.7512345678901 * x;
  e.i0_rad = 0.9612345678901 / x;
  e.idot_rad_per_s = 2.0123456789012e-10 * x;
  e.cuc_rad = -6.1234567890123e-7 * x;
  e.cus_rad = 8.2345678901234e-6 * x;
  e.crc_m = 220.12345678901 * x;
  e.crs_m = -12.512345678901 * x;
  e.cic_rad = 5.5123456789012e-8 * x;
  e.cis_rad = -1.1123456789012e-7 * x;
  e.iode = 47 + n;
  e.health = static_cast<std::uint32_t>(n % 4);
  e.accuracy_m = 2.8;
  e.group_delay_s = {-1.1123456789012e-8 * x, 0};
  return e;
}

KeplerEphemeris cnav(SatId sat, NavMessage message, int n) {
  KeplerEphemeris e = kepler(sat, message, n);
  e.a_dot_m_per_s = 0.010123456789012;
  e.delta_n_dot_rad_per_s2 = -1.0123456789012e-13;
  e.iode = e.iodc = 0;
  // Indices ED 3 and NED0 -6: squares 32 and 1/16.
  e.accuracy_m = std::hypot(std::exp2(2.5), std::exp2(-2.0));
  e.isc_s = {1.1123456789012e-9,
             kMissing,
             -3.3123456789012e-9,
             4.4e-9,
             kMissing,
             kMissing};
  if (message == NavMessage::kCnav2) {
    e.isc_s[5] = 6.6123456789012e-9;
  }
  return e;
}

KeplerEphemeris bcnav(std::uint8_t number, NavMessage message, int n) {
  KeplerEphemeris e = kepler({System::kBeidou, number}, message, n);
  e.a_dot_m_per_s = -0.020123456789012;
  e.delta_n_dot_rad_per_s2 = 2.0123456789012e-13;
  e.accuracy_m = kMissing;
  if (message == NavMessage::kBcnav3) {
    e.iode = e.iodc = 0;
    return e;
  }
  e.iodc = 512 + n;
  e.group_delay_s[1] = -5.8123456789012e-9;
  e.isc_s[message == NavMessage::kBcnav1 ? 0 : 1] = -8.7123456789012e-10;
  return e;
}

StateEphemeris state(SatId sat, NavMessage message) {
  StateEphemeris e;
  e.sat = sat;
  e.message = message;
  e.position_m = {1.0908942382811e7, -2.8857260742191e6, 2.2883539550781e7};
  e.velocity_mps = {1407.8063964841, 2795.8555221561, -316.99848175051};
  e.acceleration_mps2 = {-1.8626451492311e-6, 0, -2.7939677238461e-6};
  e.clock_s = 5.0123456789012e-5;
  e.clock_rate = 1.0123456789012e-12;
  return e;
}

NavigationData with_ionosphere() {
  NavigationData data;
  const Klobuchar k{{1.1123456789012e-8, 0, -5.9604644775391e-8, 1.2e-7},
                    {1.2902412345678e5, -6.5536e4, 0, 1.9660812345678e5}};
  data.ionosphere.gps = data.ionosphere.beidou = k;
  data.ionosphere.beidou->alpha[0] = 2e-8;
  data.ionosphere.qzss = data.ionosphere.navic = k;
  data.ionosphere.qzss->beta[3] = -1;
  data.ionosphere.navic->beta[0] = 3e5;
  data.ionosphere.galileo = {160.75123456789, 0.37109375, 9.063720703125e-3};
  data.leap_seconds = 18;
  return data;
}

// How far apart two numbers may be.
class Near {
 public:
  explicit Near(double relative) : relative_(relative) {}
  void operator()(double a, double b, const char* what) const {
    const bool near =
        std::isnan(a)
            ? std::isnan(b)
            : std::abs(a - b) <= relative_ * std::max(std::abs(a), std::abs(b));
    if (!near) {
      ADD_FAILURE() << what << " " << a << " " << b;
    }
  }

 private:
  double relative_;
};

template <class T>
void equal(const T& a, const T& b, const char* what) {
  if (!(a == b)) {
    ADD_FAILURE() << what;
  }
}

void compare(const KeplerEphemeris& a, const KeplerEphemeris& b, Near near) {
  SCOPED_TRACE(a.sat.text() + " " + message_name(a.message) + " " +
               format_gpst(a.toc));
  equal(a.sat, b.sat, "sat");
  equal(a.message, b.message, "message");
  equal(a.toc, b.toc, "toc");
  equal(a.toe, b.toe, "toe");
  equal(a.transmitted, b.transmitted, "transmitted");
  near(a.af0_s, b.af0_s, "af0");
  near(a.af1_s_per_s, b.af1_s_per_s, "af1");
  near(a.af2_s_per_s2, b.af2_s_per_s2, "af2");
  near(a.sqrt_a_sqrt_m, b.sqrt_a_sqrt_m, "sqrt_a");
  near(a.eccentricity, b.eccentricity, "eccentricity");
  near(a.m0_rad, b.m0_rad, "m0");
  near(a.delta_n_rad_per_s, b.delta_n_rad_per_s, "delta_n");
  near(a.omega0_rad, b.omega0_rad, "omega0");
  near(a.omega_dot_rad_per_s, b.omega_dot_rad_per_s, "omega_dot");
  near(a.omega_rad, b.omega_rad, "omega");
  near(a.i0_rad, b.i0_rad, "i0");
  near(a.idot_rad_per_s, b.idot_rad_per_s, "idot");
  near(a.cuc_rad, b.cuc_rad, "cuc");
  near(a.cus_rad, b.cus_rad, "cus");
  near(a.crc_m, b.crc_m, "crc");
  near(a.crs_m, b.crs_m, "crs");
  near(a.cic_rad, b.cic_rad, "cic");
  near(a.cis_rad, b.cis_rad, "cis");
  near(a.a_dot_m_per_s, b.a_dot_m_per_s, "a_dot");
  near(a.delta_n_dot_rad_per_s2, b.delta_n_dot_rad_per_s2, "delta_n_dot");
  equal(a.iode, b.iode, "iode");
  equal(a.iodc, b.iodc, "iodc");
  equal(a.health, b.health, "health");
  equal(a.data_sources, b.data_sources, "data_sources");
  near(a.accuracy_m, b.accuracy_m, "accuracy");
  near(a.fit_interval_s, b.fit_interval_s, "fit interval");
  near(a.group_delay_s[0], b.group_delay_s[0], "group delay 0");
  near(a.group_delay_s[1], b.group_delay_s[1], "group delay 1");
  for (std::size_t i = 0; i < a.isc_s.size(); ++i) {
    near(a.isc_s[i], b.isc_s[i], "isc");
  }
}

void compare(const StateEphemeris& a, const StateEphemeris& b, Near near) {
  SCOPED_TRACE(a.sat.text() + " " + format_gpst(a.toe));
  equal(a.sat, b.sat, "sat");
  equal(a.message, b.message, "message");
  equal(a.toe, b.toe, "toe");
  equal(a.transmitted, b.transmitted, "transmitted");
  const auto vectors = [&near](Ecef u, Ecef v, const char* what) {
    near(u.x_m, v.x_m, what);
    near(u.y_m, v.y_m, what);
    near(u.z_m, v.z_m, what);
  };
  vectors(a.position_m, b.position_m, "position");
  vectors(a.velocity_mps, b.velocity_mps, "velocity");
  vectors(a.acceleration_mps2, b.acceleration_mps2, "acceleration");
  near(a.clock_s, b.clock_s, "clock");
  near(a.clock_rate, b.clock_rate, "clock rate");
  equal(a.channel, b.channel, "channel");
  equal(a.health, b.health, "health");
  equal(a.issue, b.issue, "issue");
  near(a.l2_minus_l1_s, b.l2_minus_l1_s, "L2 - L1");
  near(a.accuracy_m, b.accuracy_m, "accuracy");
}

void compare(const std::optional<Klobuchar>& a,
             const std::optional<Klobuchar>& b,
             const Near& near) {
  ASSERT_EQ(a.has_value(), b.has_value());
  for (std::size_t i = 0; a && i < 4; ++i) {
    near(a->alpha[i], b->alpha[i], "alpha");
    near(a->beta[i], b->beta[i], "beta");
  }
}

}  // namespace

std::string written(const NavigationData& data,
                    const NavigationWriterOptions& options,
                    LeftOutValues* left_out) {
  std::string text;
  LeftOutValues unasked;
  const auto sink = memory_sink(text);
  const Status status = write_navigation(
      data, options, *sink, left_out != nullptr ? *left_out : unasked);
  EXPECT_TRUE(status) << status.error().text();
  EXPECT_TRUE(sink->close());
  return text;
}

NavigationData read_back(const std::string& text) {
  auto file = read_navigation(memory_stream(text, "written.rnx"));
  EXPECT_TRUE(file) << file.error().text();
  if (!file) {
    return {};
  }
  EXPECT_EQ(file->problem_count, 0U)
      << (file->problems.empty() ? "" : file->problems[0].what);
  EXPECT_EQ(file->skipped, 0U);
  return std::move(file->data);
}

NavigationData every_message() {
  NavigationData data = with_ionosphere();
  auto& k = data.kepler;
  k.push_back(kepler({System::kGps, 7}, NavMessage::kLnav, 0));
  k.back().iodc = 512 + k.back().iode;
  k.back().fit_interval_s = 6 * 3600;
  k.push_back(kepler({System::kQzss, 2}, NavMessage::kLnav, 1));
  k.back().iodc = 3;
  k.push_back(kepler({System::kNavic, 9}, NavMessage::kLnav, 2));
  k.push_back(cnav({System::kGps, 7}, NavMessage::kCnav, 3));
  k.push_back(cnav({System::kQzss, 2}, NavMessage::kCnav2, 4));
  k.push_back(cnav({System::kGps, 8}, NavMessage::kCnav2, 5));
  k.push_back(kepler({System::kGalileo, 5}, NavMessage::kInav, 6));
  k.back().data_sources = 517;
  k.back().group_delay_s[1] = -4.1234567890123e-9;
  k.push_back(kepler({System::kGalileo, 5}, NavMessage::kFnav, 7));
  k.back().data_sources = 258;
  k.back().group_delay_s[1] = kMissing;
  k.back().accuracy_m = kMissing;
  k.push_back(kepler({System::kBeidou, 8}, NavMessage::kD1, 8));
  k.back().group_delay_s[1] = -9.3123456789012e-9;
  k.back().iodc = 1;
  k.push_back(kepler({System::kBeidou, 3}, NavMessage::kD2, 9));
  k.back().transmitted.reset();
  k.push_back(bcnav(20, NavMessage::kBcnav1, 10));
  k.push_back(bcnav(20, NavMessage::kBcnav2, 11));
  k.push_back(bcnav(21, NavMessage::kBcnav3, 12));
  // 23:45 UTC of Saturday, Sunday 02:45 in Moscow: tb 11.
  data.state.push_back(state({System::kGlonass, 3}, NavMessage::kFdma));
  StateEphemeris& r = data.state.back();
  r.toe = kToc + Duration{-300 + 18};
  r.transmitted = r.toe + Duration{-870};
  r.channel = -4;
  r.issue = 11;
  r.health = static_cast<int>(4U | kGlonassUnhealthyL3);
  r.l2_minus_l1_s = 8.3819031715391e-9;
  r.accuracy_m = 2.5;
  data.state.push_back(state({System::kSbas, 23}, NavMessage::kSbas));
  StateEphemeris& s = data.state.back();
  s.toe = kToc + Duration{592};
  s.transmitted = s.toe + Duration{40};  // in the next week
  s.issue = 92;
  s.health = 49;
  s.accuracy_m = 4;
  return data;
}

void sort_as_written(NavigationData& data) {
  std::stable_sort(data.kepler.begin(),
                   data.kepler.end(),
                   [](const KeplerEphemeris& a, const KeplerEphemeris& b) {
                     return std::tie(a.toc, a.sat, a.message) <
                            std::tie(b.toc, b.sat, b.message);
                   });
  std::stable_sort(data.state.begin(),
                   data.state.end(),
                   [](const StateEphemeris& a, const StateEphemeris& b) {
                     return std::tie(a.toe, a.sat) < std::tie(b.toe, b.sat);
                   });
}

void expect_same(const NavigationData& a,
                 const NavigationData& b,
                 double relative) {
  const Near near(relative);
  ASSERT_EQ(a.kepler.size(), b.kepler.size());
  for (std::size_t i = 0; i < a.kepler.size(); ++i) {
    compare(a.kepler[i], b.kepler[i], near);
  }
  ASSERT_EQ(a.state.size(), b.state.size());
  for (std::size_t i = 0; i < a.state.size(); ++i) {
    compare(a.state[i], b.state[i], near);
  }
  compare(a.ionosphere.gps, b.ionosphere.gps, near);
  compare(a.ionosphere.beidou, b.ionosphere.beidou, near);
  compare(a.ionosphere.qzss, b.ionosphere.qzss, near);
  compare(a.ionosphere.navic, b.ionosphere.navic, near);
  ASSERT_EQ(a.ionosphere.galileo.has_value(), b.ionosphere.galileo.has_value());
  for (std::size_t i = 0; a.ionosphere.galileo && i < 3; ++i) {
    near((*a.ionosphere.galileo)[i], (*b.ionosphere.galileo)[i], "NeQuick");
  }
  EXPECT_EQ(a.leap_seconds, b.leap_seconds);
}

}  // namespace stillpoint::rinex::test
