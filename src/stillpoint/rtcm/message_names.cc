#include "stillpoint/rtcm/message_names.h"

#include <algorithm>
#include <array>

namespace stillpoint::rtcm {
namespace {

constexpr int kFirstProprietary = 4001;
constexpr int kLastProprietary = 4095;

struct Name {
  int type = 0;
  const char* text = nullptr;
};

constexpr std::array kNames{
    Name{1001, "L1-only GPS RTK observables"},
    Name{1002, "Extended L1-only GPS RTK observables"},
    Name{1003, "L1&L2 GPS RTK observables"},
    Name{1004, "Extended L1&L2 GPS RTK observables"},
    Name{1005, "Stationary RTK reference station ARP"},
    Name{1006, "Stationary RTK reference station ARP with antenna height"},
    Name{1007, "Antenna descriptor"},
    Name{1008, "Antenna descriptor and serial number"},
    Name{1009, "L1-only GLONASS RTK observables"},
    Name{1010, "Extended L1-only GLONASS RTK observables"},
    Name{1011, "L1&L2 GLONASS RTK observables"},
    Name{1012, "Extended L1&L2 GLONASS RTK observables"},
    Name{1013, "System parameters"},
    Name{1014, "Network auxiliary station data"},
    Name{1015, "GPS ionospheric correction differences"},
    Name{1016, "GPS geometric correction differences"},
    Name{1017, "GPS combined geometric and ionospheric correction differences"},
    Name{1019, "GPS ephemerides"},
    Name{1020, "GLONASS ephemerides"},
    Name{1021, "Helmert / abridged Molodenski transformation parameters"},
    Name{1022, "Molodenski-Badekas transformation parameters"},
    Name{1023, "Residuals, ellipsoidal grid representation"},
    Name{1024, "Residuals, plane grid representation"},
    Name{1025, "Projection parameters, other than LCC2SP and OM"},
    Name{1026, "Projection parameters, projection type LCC2SP"},
    Name{1027, "Projection parameters, projection type OM"},
    Name{1029, "Unicode text string"},
    Name{1030, "GPS network RTK residual"},
    Name{1031, "GLONASS network RTK residual"},
    Name{1032, "Physical reference station position"},
    Name{1033, "Receiver and antenna descriptors"},
    Name{1034, "GPS network FKP gradient"},
    Name{1035, "GLONASS network FKP gradient"},
    Name{1037, "GLONASS ionospheric correction differences"},
    Name{1038, "GLONASS geometric correction differences"},
    Name{1039,
         "GLONASS combined geometric and ionospheric correction differences"},
    Name{1041, "NavIC ephemerides"},
    Name{1042, "BeiDou ephemerides"},
    Name{1044, "QZSS ephemerides"},
    Name{1045, "Galileo F/NAV ephemerides"},
    Name{1046, "Galileo I/NAV ephemerides"},
    Name{1057, "SSR GPS orbit correction"},
    Name{1058, "SSR GPS clock correction"},
    Name{1059, "SSR GPS code bias"},
    Name{1060, "SSR GPS combined orbit and clock corrections"},
    Name{1061, "SSR GPS URA"},
    Name{1062, "SSR GPS high rate clock correction"},
    Name{1063, "SSR GLONASS orbit correction"},
    Name{1064, "SSR GLONASS clock correction"},
    Name{1065, "SSR GLONASS code bias"},
    Name{1066, "SSR GLONASS combined orbit and clock corrections"},
    Name{1067, "SSR GLONASS URA"},
    Name{1068, "SSR GLONASS high rate clock correction"},
    Name{1071, "GPS MSM1"},
    Name{1072, "GPS MSM2"},
    Name{1073, "GPS MSM3"},
    Name{1074, "GPS MSM4"},
    Name{1075, "GPS MSM5"},
    Name{1076, "GPS MSM6"},
    Name{1077, "GPS MSM7"},
    Name{1081, "GLONASS MSM1"},
    Name{1082, "GLONASS MSM2"},
    Name{1083, "GLONASS MSM3"},
    Name{1084, "GLONASS MSM4"},
    Name{1085, "GLONASS MSM5"},
    Name{1086, "GLONASS MSM6"},
    Name{1087, "GLONASS MSM7"},
    Name{1091, "Galileo MSM1"},
    Name{1092, "Galileo MSM2"},
    Name{1093, "Galileo MSM3"},
    Name{1094, "Galileo MSM4"},
    Name{1095, "Galileo MSM5"},
    Name{1096, "Galileo MSM6"},
    Name{1097, "Galileo MSM7"},
    Name{1101, "SBAS MSM1"},
    Name{1102, "SBAS MSM2"},
    Name{1103, "SBAS MSM3"},
    Name{1104, "SBAS MSM4"},
    Name{1105, "SBAS MSM5"},
    Name{1106, "SBAS MSM6"},
    Name{1107, "SBAS MSM7"},
    Name{1111, "QZSS MSM1"},
    Name{1112, "QZSS MSM2"},
    Name{1113, "QZSS MSM3"},
    Name{1114, "QZSS MSM4"},
    Name{1115, "QZSS MSM5"},
    Name{1116, "QZSS MSM6"},
    Name{1117, "QZSS MSM7"},
    Name{1121, "BeiDou MSM1"},
    Name{1122, "BeiDou MSM2"},
    Name{1123, "BeiDou MSM3"},
    Name{1124, "BeiDou MSM4"},
    Name{1125, "BeiDou MSM5"},
    Name{1126, "BeiDou MSM6"},
    Name{1127, "BeiDou MSM7"},
    Name{1131, "NavIC MSM1"},
    Name{1132, "NavIC MSM2"},
    Name{1133, "NavIC MSM3"},
    Name{1134, "NavIC MSM4"},
    Name{1135, "NavIC MSM5"},
    Name{1136, "NavIC MSM6"},
    Name{1137, "NavIC MSM7"},
    Name{1230, "GLONASS L1 and L2 code-phase biases"},
    Name{1300, "Service coordinate reference system"},
    Name{1301, "Helmert transformation, service to RTCM CRS"},
    Name{1302, "RTCM coordinate reference system"},
};

constexpr bool is_before(const Name& name, int type) {
  return name.type < type;
}
static_assert(std::is_sorted(kNames.begin(),
                             kNames.end(),
                             [](const Name& a, const Name& b) {
                               return a.type < b.type;
                             }));

}  // namespace

const char* message_name(int type) {
  if (type >= kFirstProprietary && type <= kLastProprietary) {
    return "proprietary";
  }
  const auto found =
      std::lower_bound(kNames.begin(), kNames.end(), type, is_before);
  return found != kNames.end() && found->type == type ? found->text : nullptr;
}

}  // namespace stillpoint::rtcm
