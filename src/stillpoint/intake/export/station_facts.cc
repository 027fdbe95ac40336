#include "stillpoint/intake/export/station_facts.h"

#include <fmt/format.h>

#include <cmath>

#include "stillpoint/geo/coords.h"

namespace stillpoint::intake {
namespace {

constexpr std::size_t kNameColumns = 20;
constexpr std::size_t kModelColumns = 16;
constexpr std::size_t kRadome = 4;
constexpr double kSameM = 0.00005;  // half of what 1006 and a header resolve

// Header text is ASCII: anything else becomes a question mark.
std::string printable(const std::string& bytes) {
  std::string text;
  for (const char c : bytes) {
    text += c >= ' ' && c <= '~' ? c : '?';
  }
  const std::size_t end = text.find_last_not_of(' ');
  text.erase(end == std::string::npos ? 0 : end + 1);
  return text;
}

void take_name(const std::optional<std::string>& bytes,
               std::optional<std::string>& into) {
  if (bytes && !bytes->empty()) {
    into = printable(*bytes);
  }
}

template <class T>
void fill(std::optional<T>& into, const std::optional<T>& later) {
  if (!into) {
    into = later;
  }
}

std::string cut(const std::string& text) {
  return text.substr(0, kNameColumns);
}

std::string chosen(const std::string& own,
                   const std::optional<std::string>& sent) {
  return own.empty() ? cut(sent.value_or("")) : own;
}

void compare_name(const char* what,
                  const std::string& own,
                  const std::optional<std::string>& sent,
                  std::vector<ExportWarning>& warnings) {
  if (!own.empty() && sent && own != *sent) {
    warnings.push_back({"description_differs",
                        fmt::format("{}: the settings say '{}', the receiver "
                                    "sends '{}'; the settings hold",
                                    what,
                                    own,
                                    *sent),
                        std::nullopt,
                        ""});
  }
}

void missing(const char* what,
             const char* key,
             const std::string& own,
             const std::optional<std::string>& sent,
             std::vector<ExportWarning>& warnings) {
  if (own.empty() && !sent) {
    warnings.push_back({"not_described",
                        fmt::format("{} is not known: the receiver does not "
                                    "send it, and {} does not say it",
                                    what,
                                    key),
                        std::nullopt,
                        ""});
  }
}

}  // namespace

void StationFacts::take(const rtcm::StationPosition& position) {
  arp_m = position.arp_m;
  quarter_cycle = position.quarter_cycle;
  // 1005 between two 1006 says nothing about the height.
  if (position.antenna_height_m) {
    antenna_height_m = position.antenna_height_m;
  }
}

void StationFacts::take(const rtcm::AntennaDescription& description) {
  take_name(description.descriptor, antenna);
  take_name(description.serial, antenna_serial);
  take_name(description.receiver_type, receiver);
  take_name(description.receiver_serial, receiver_serial);
  take_name(description.firmware, firmware);
}

void StationFacts::fill_from(const StationFacts& later) {
  if (!arp_m) {
    quarter_cycle = later.quarter_cycle;
  }
  fill(arp_m, later.arp_m);
  fill(antenna_height_m, later.antenna_height_m);
  fill(antenna, later.antenna);
  fill(antenna_serial, later.antenna_serial);
  fill(receiver, later.receiver);
  fill(receiver_serial, later.receiver_serial);
  fill(firmware, later.firmware);
  fill(biases, later.biases);
  fill(leap_seconds, later.leap_seconds);
}

std::string antenna_columns(const std::string& name) {
  const std::size_t last_blank = name.find_last_of(' ');
  if (last_blank == std::string::npos ||
      name.size() - last_blank - 1 != kRadome) {
    return cut(name);
  }
  const std::size_t end = name.find_last_not_of(' ', last_blank);
  std::string model = name.substr(0, end == std::string::npos ? 0 : end + 1);
  if (model.size() >= kModelColumns) {
    return cut(name);
  }
  model.resize(kModelColumns, ' ');
  return model + name.substr(last_blank + 1);
}

void describe_station(const OwnDescription& own,
                      const StationFacts& sent,
                      rinex::ObservationHeader& header) {
  header.marker_number = own.marker_number;
  header.observer = own.observer;
  header.agency = own.agency;
  header.receiver_type = chosen(own.receiver, sent.receiver);
  header.receiver_serial = chosen(own.receiver_serial, sent.receiver_serial);
  header.receiver_version = chosen(own.firmware, sent.firmware);
  header.antenna_type = antenna_columns(
      own.antenna.empty() ? sent.antenna.value_or("") : own.antenna);
  header.antenna_serial = chosen(own.antenna_serial, sent.antenna_serial);
  header.antenna_delta_enu_m = {
      own.east_m.value_or(0),
      own.north_m.value_or(0),
      own.height_m.value_or(sent.antenna_height_m.value_or(0))};
  if (sent.arp_m) {
    const Enu& delta = header.antenna_delta_enu_m;
    header.approx_position_m =
        from_enu({-delta.e_m, -delta.n_m, -delta.u_m}, *sent.arp_m);
  }
  if (sent.biases) {
    constexpr std::array<SignalCode, 4> kSignals = {
        {{'1', 'C'}, {'1', 'P'}, {'2', 'C'}, {'2', 'P'}}};
    for (std::size_t i = 0; i < kSignals.size(); ++i) {
      if (const auto& bias_m = sent.biases->bias_m[i]) {
        header.glonass_bias_m[kSignals[i]] = *bias_m;
      }
    }
  }
}

std::vector<ExportWarning> compare_description(const OwnDescription& own,
                                               const StationFacts& sent) {
  std::vector<ExportWarning> warnings;
  const auto columns_of = [](const std::optional<std::string>& name) {
    return name ? std::optional(antenna_columns(*name)) : std::nullopt;
  };
  compare_name("antenna",
               antenna_columns(own.antenna),
               columns_of(sent.antenna),
               warnings);
  compare_name("the antenna's serial number",
               own.antenna_serial,
               sent.antenna_serial,
               warnings);
  compare_name("receiver", own.receiver, sent.receiver, warnings);
  compare_name("the receiver's serial number",
               own.receiver_serial,
               sent.receiver_serial,
               warnings);
  compare_name("firmware", own.firmware, sent.firmware, warnings);
  if (own.height_m && sent.antenna_height_m) {
    const double apart_m = *own.height_m - *sent.antenna_height_m;
    if (std::abs(apart_m) > kSameM) {
      warnings.push_back(
          {"description_differs",
           fmt::format("height of the antenna: the settings say {:.4f} m, the "
                       "receiver sends {:.4f} m; the settings hold",
                       *own.height_m,
                       *sent.antenna_height_m),
           std::abs(apart_m),
           "m"});
    }
  }
  missing("the antenna's type",
          "'type' of [antenna]",
          own.antenna,
          sent.antenna,
          warnings);
  missing("the receiver's type",
          "'type' of [receiver]",
          own.receiver,
          sent.receiver,
          warnings);
  if (!sent.arp_m) {
    warnings.push_back({"no_position",
                        "the receiver sends no coordinate (1005 or 1006): the "
                        "headers have no position",
                        std::nullopt,
                        ""});
  }
  return warnings;
}

}  // namespace stillpoint::intake
