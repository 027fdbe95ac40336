#include "stillpoint/gnss/signal.h"

namespace stillpoint {
namespace {

constexpr int kLowestChannel = -7;
constexpr int kHighestChannel = 13;

// Frequencies that several systems share [Hz].
constexpr double kL1Hz = 1575.42e6;
constexpr double kL2Hz = 1227.60e6;
constexpr double kL5Hz = 1176.45e6;
constexpr double kE6Hz = 1278.75e6;
constexpr double kE5bHz = 1207.140e6;
constexpr double kE5abHz = 1191.795e6;

// Attribute letters of a band, in the order of the tables. Shared checks
// section 7, except the letters named in the comments (from memory).
std::string_view gps_attributes(char band) {
  switch (band) {
    case '1':
      return "CSLXPWYMNR";  // R: M code by a regional antenna, from memory
    case '2':
      return "CDSLXPWYMNR";  // R: as above
    case '5':
      return "IQX";
    default:
      return {};
  }
}

std::string_view glonass_attributes(char band) {
  switch (band) {
    case '1':
    case '2':
      return "CP";
    case '3':
      return "IQX";
    case '4':
    case '6':
      return "ABX";
    default:
      return {};
  }
}

std::string_view galileo_attributes(char band) {
  switch (band) {
    case '1':
    case '6':
      return "ABCXZ";
    case '5':
    case '7':
    case '8':
      return "IQX";
    default:
      return {};
  }
}

std::string_view beidou_attributes(char band) {
  switch (band) {
    case '1':
      return "DPXANSLZ";  // B1A: A N until 3.04, S L Z later (from memory)
    case '2':
      return "IQX";
    case '5':
    case '8':
      return "DPX";
    case '6':
    case '7':
      return "IQXDPZ";
    default:
      return {};
  }
}

std::string_view qzss_attributes(char band) {
  switch (band) {
    case '1':
      return "CESLXZB";
    case '2':
      return "SLX";
    case '5':
      return "IQXDPZ";
    case '6':
      return "SLXEZ";
    default:
      return {};
  }
}

std::string_view sbas_attributes(char band) {
  if (band == '1') {
    return "C";
  }
  return band == '5' ? "IQX" : std::string_view{};
}

std::string_view navic_attributes(char band) {
  switch (band) {
    case '1':
      return "DPX";
    case '5':
    case '9':
      return "ABCX";
    default:
      return {};
  }
}

std::string_view attributes(System system, char band) {
  switch (system) {
    case System::kGps:
      return gps_attributes(band);
    case System::kGlonass:
      return glonass_attributes(band);
    case System::kGalileo:
      return galileo_attributes(band);
    case System::kBeidou:
      return beidou_attributes(band);
    case System::kQzss:
      return qzss_attributes(band);
    case System::kSbas:
      return sbas_attributes(band);
    case System::kNavic:
      return navic_attributes(band);
  }
  return {};
}

std::optional<double> fdma_hz(double centre_hz,
                              double step_hz,
                              std::optional<int> channel) {
  if (!channel || *channel < kLowestChannel || *channel > kHighestChannel) {
    return std::nullopt;
  }
  return centre_hz + step_hz * *channel;
}

std::optional<double> gps_hz(char band) {
  switch (band) {
    case '1':
      return kL1Hz;
    case '2':
      return kL2Hz;
    case '5':
      return kL5Hz;
    default:
      return std::nullopt;
  }
}

std::optional<double> glonass_hz(char band, std::optional<int> channel) {
  switch (band) {
    case '1':
      return fdma_hz(1602.0e6, 0.5625e6, channel);
    case '2':
      return fdma_hz(1246.0e6, 0.4375e6, channel);
    case '3':
      return 1202.025e6;
    case '4':
      return 1600.995e6;
    case '6':
      return 1248.06e6;
    default:
      return std::nullopt;
  }
}

std::optional<double> galileo_hz(char band) {
  switch (band) {
    case '1':
      return kL1Hz;
    case '5':
      return kL5Hz;
    case '6':
      return kE6Hz;
    case '7':
      return kE5bHz;
    case '8':
      return kE5abHz;
    default:
      return std::nullopt;
  }
}

std::optional<double> beidou_hz(char band) {
  switch (band) {
    case '1':
      return kL1Hz;
    case '2':
      return 1561.098e6;
    case '5':
      return kL5Hz;
    case '6':
      return 1268.52e6;
    case '7':
      return kE5bHz;
    case '8':
      return kE5abHz;
    default:
      return std::nullopt;
  }
}

std::optional<double> navic_hz(char band) {
  switch (band) {
    case '1':
      return kL1Hz;
    case '5':
      return kL5Hz;
    case '9':
      return 2492.028e6;
    default:
      return std::nullopt;
  }
}

}  // namespace

std::string SignalCode::text() const {
  return empty() ? std::string() : std::string{band, attribute};
}

bool is_known_signal(System system, SignalCode signal) {
  return signal.attribute != 0 &&
         attributes(system, signal.band).find(signal.attribute) !=
             std::string_view::npos;
}

std::optional<double> frequency_hz(System system,
                                   char band,
                                   std::optional<int> glonass_channel) {
  switch (system) {
    case System::kGps:
      return gps_hz(band);
    case System::kGlonass:
      return glonass_hz(band, glonass_channel);
    case System::kGalileo:
      return galileo_hz(band);
    case System::kBeidou:
      return beidou_hz(band);
    case System::kQzss:
      return band == '6' ? std::optional(kE6Hz) : gps_hz(band);
    case System::kSbas:
      return band == '2' ? std::nullopt : gps_hz(band);
    case System::kNavic:
      return navic_hz(band);
  }
  return std::nullopt;
}

}  // namespace stillpoint
