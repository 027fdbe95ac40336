// Small navigation files of every version, with invented numbers.
#pragma once

#include <string>

namespace stillpoint::rinex::test {

// "text … LABEL" with the label at column 60.
inline std::string header_line(std::string text, const std::string& label) {
  text.resize(60, ' ');
  return text + label + "\n";
}

inline std::string header(const std::string& first,
                          const std::string& more = {}) {
  return header_line(first, "RINEX VERSION / TYPE") + more +
         header_line("", "END OF HEADER");
}

// The seven lines of a Kepler set behind its first one.
inline std::string kepler_lines(const std::string& indent,
                                const std::string& toe,
                                const std::string& last_three) {
  return indent +
         " 4.700000000000E+01-1.250000000000E+01 4.500000000000E-09"
         " 1.250000000000E+00\n" +
         indent +
         "-6.100000000000E-07 1.100000000000E-02 8.200000000000E-06"
         " 5.153700000000E+03\n" +
         indent + toe +
         " 5.500000000000E-08-2.250000000000E+00-1.100000000000E-07\n" +
         indent +
         " 9.600000000000E-01 2.200000000000E+02 7.500000000000E-01"
         "-8.000000000000E-09\n" +
         last_three;
}

// 2005-11-20 02:00:00 GPST is second 7200 of its week.
inline std::string version2_gps() {
  return header(
             "     2.11           N: GPS NAV DATA",
             header_line("    0.1211D-07  0.7451D-08 -0.1192D-06  0.5960D-07",
                         "ION ALPHA") +
                 header_line(
                     "    0.9626D+05  0.3277D+05 -0.1966D+06 -0.5960D+05",
                     "ION BETA") +
                 header_line("    13", "LEAP SECONDS")) +
         " 7 05 11 20  2  0  0.0-1.250000000000D-04-2.500000000000d-12\n" +
         kepler_lines("   ",
                      " 7.200000000000E+03",
                      "    2.000000000000E-10                    "
                      "1.350000000000E+03\n"
                      "    2.000000000000E+00 0.000000000000E+00"
                      "-1.100000000000E-08 4.700000000000E+01\n"
                      "    9.999000000000E+08\n");
}

inline std::string glonass_lines(const std::string& indent) {
  return indent +
         " 1.090894238281E+04 1.407806396484E+00-1.862645149231E-09"
         " 0.000000000000E+00\n" +
         indent +
         "-2.885726074219E+03 2.795855522156E+00 0.000000000000E+00"
         "-4.000000000000E+00\n" +
         indent +
         " 2.288353955078E+04-3.169984817505E-01-2.793967723846E-09"
         " 0.000000000000E+00\n";
}

inline std::string version2_glonass() {
  return header("     2.10           GLONASS NAV DATA") +
         " 3 05 11 20  0 15  0.0 5.000000000000D-05 1.000000000000D-12"
         " 8.700000000000D+02\n" +
         glonass_lines("   ");
}

inline std::string version2_sbas() {
  return header("     2.10           H: GEO NAV MSG DATA") +
         "23 05 11 20  0  0 16.0 1.000000000000D-08 0.000000000000D+00"
         " 4.000000000000D+01\n"
         "    3.594460000000E+04 0.000000000000E+00 0.000000000000E+00"
         " 0.000000000000E+00\n"
         "    2.204414000000E+04 0.000000000000E+00 0.000000000000E+00"
         " 4.000000000000E+00\n"
         "    0.000000000000E+00 0.000000000000E+00 0.000000000000E+00"
         " 9.200000000000E+01\n";
}

// Three systems of version 3.05, with times around the end of a week:
// 2024-11-23 is a Saturday.
inline std::string version3_mixed() {
  const std::string galileo_end =
      "     2.000000000000E-10 2.580000000000E+02 2.341000000000E+03\n"
      "     3.120000000000E+00 0.000000000000E+00-4.000000000000E-09"
      " 0.000000000000E+00\n"
      "     6.046000000000E+05\n";
  const std::string beidou_end =
      "     2.000000000000E-10 0.000000000000E+00 9.850000000000E+02\n"
      "     2.000000000000E+00 0.000000000000E+00 1.400000000000E-08"
      "-9.300000000000E-09\n"
      "    -3.600000000000E+01 1.000000000000E+00\n";
  return header(
             "     3.05           N: GNSS NAV DATA    M: MIXED",
             header_line(
                 "GPSA   4.6566e-09  1.4901e-08 -5.9605e-08 -1.1921E-07",
                 "IONOSPHERIC CORR") +
                 header_line(
                     "GPSB   8.1920e+04  9.8304e+04 -6.5536e+04 -5.2429E+05",
                     "IONOSPHERIC CORR") +
                 header_line(
                     "BDSA   1.1000e-08  0.0000e+00  0.0000e+00  0.0000e+00"
                     " A  8",
                     "IONOSPHERIC CORR") +
                 header_line(
                     "BDSA   1.2000e-08  0.0000e+00  0.0000e+00  0.0000e+00"
                     " M  8",
                     "IONOSPHERIC CORR") +
                 header_line(
                     "BDSB   1.2000e+05  0.0000e+00  0.0000e+00  0.0000e+00"
                     " M  8",
                     "IONOSPHERIC CORR") +
                 header_line("GAL    2.8250e+01  7.8125e-03  1.0071e-02",
                             "IONOSPHERIC CORR") +
                 header_line("     4     4   985     0BDS", "LEAP SECONDS")) +
         "E05 2024 11 23 23 50 00-1.250000000000E-04-2.500000000000E-12"
         " 0.000000000000E+00\n" +
         kepler_lines("    ", " 6.042000000000E+05", galileo_end) +
         "C08 2024 11 24 00 00 00-1.250000000000E-04-2.500000000000E-12"
         " 0.000000000000E+00\n" +
         kepler_lines("    ", " 0.000000000000E+00", beidou_end) +
         "R03 2024 11 23 23 45 00 5.000000000000E-05 1.000000000000E-12"
         " 6.039000000000E+05\n" +
         glonass_lines("    ") +
         "     1.790000000000E+02 8.381903171539E-09 2.000000000000E+00"
         " 3.000000000000E+00\n";
}

inline std::string version4_cnav() {
  return "> EPH G03 CNAV\n"
         "G03 2024 11 23 01 30 00-1.250000000000E-04-2.500000000000E-12"
         " 0.000000000000E+00\n"
         "     1.000000000000E-02-1.250000000000E+01 4.500000000000E-09"
         " 1.250000000000E+00\n"
         "    -6.100000000000E-07 1.100000000000E-02 8.200000000000E-06"
         " 5.153700000000E+03\n"
         "     5.256000000000E+05 5.500000000000E-08-2.250000000000E+00"
         "-1.100000000000E-07\n"
         "     9.600000000000E-01 2.200000000000E+02 7.500000000000E-01"
         "-8.000000000000E-09\n"
         "     2.000000000000E-10-1.000000000000E-13-6.000000000000E+00"
         " 2.000000000000E+00\n"
         "    -1.000000000000E+00 1.000000000000E+00 4.600000000000E-09"
         " 7.000000000000E+00\n"
         "    -3.000000000000E-10-2.500000000000E-09 7.100000000000E-09"
         "-1.192092895508E-07\n"
         "     5.238060000000E+05 2.341000000000E+03\n";
}

inline std::string version4_mixed() {
  return header("     4.02           NAVIGATION DATA     M") +
         "> STO G03 LNAV\n"
         "    2024 11 23 00 00 00 GPUT\n"
         "     5.898240000000E+05-9.313225746155E-10 0.0\n"
         "> ION G03 LNAV\n"
         "    2024 11 23 00 00 00 1.100000000000E-08 1.000000000000E-08"
         " 0.000000000000E+00\n"
         "     0.000000000000E+00 1.000000000000E+05 0.000000000000E+00"
         " 0.000000000000E+00\n"
         "     0.000000000000E+00\n"
         "> ION G03 CNVX\n"
         "    2024 11 23 01 00 00 1.200000000000E-08 1.000000000000E-08"
         " 0.000000000000E+00\n"
         "     3.000000000000E-08 1.200000000000E+05 0.000000000000E+00"
         " 0.000000000000E+00\n"
         "     4.000000000000E+05\n"
         "> ION C20 CNVX\n"
         "    2024 11 23 01 00 00 1.0E+00\n"
         "> ION E05 IFNV\n"
         "    2024 11 23 01 00 00 1.600000000000E+02 3.700000000000E-01"
         " 9.000000000000E-03\n"
         "     0.000000000000E+00\n"
         "> EPH I02 L1NV\n"
         "I02 2024 11 23 01 30 00 1.0E-05\n" +
         version4_cnav();
}

}  // namespace stillpoint::rinex::test
