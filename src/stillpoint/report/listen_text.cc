#include "stillpoint/report/listen_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <numbers>
#include <utility>

#include "stillpoint/report/paragraph.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

constexpr std::size_t kNameWidth = 44;

std::string amount(const intake::SurveyReport& survey) {
  std::string text = fmt::format("{} bytes", survey.bytes);
  if (survey.seconds) {
    text += fmt::format(" in {:.1f} s", *survey.seconds);
  }
  if (survey.bad_crc > 0 || survey.malformed > 0 || survey.skipped_bytes > 0) {
    text += fmt::format(
        "; damaged: {} failed checksums, {} unreadable messages, {} bytes in "
        "no frame",
        survey.bad_crc,
        survey.malformed,
        survey.skipped_bytes);
  }
  return text;
}

// Cut between words where it is too long for its column.
std::string shortened(std::string name) {
  if (name.size() > kNameWidth) {
    name.resize(name.rfind(' ', kNameWidth - 3));
    name += " ..";
  }
  return name;
}

std::string rate(const std::optional<double>& hz) {
  if (!hz) {
    return "";
  }
  return *hz >= 0.95 ? fmt::format("{:.3g} a second", *hz)
                     : fmt::format("every {:.3g} s", 1 / *hz);
}

void messages(std::string& out,
              const intake::SurveyReport& survey,
              const char* (*name_of)(int)) {
  if (survey.messages.empty()) {
    return;
  }
  out += fmt::format("\n  {:>5}  {:<{}} {:>7}  {}\n",
                     "type",
                     "message",
                     kNameWidth,
                     "count",
                     "how often");
  for (const intake::MessageReport& m : survey.messages) {
    const char* known = m.type ? name_of(*m.type) : "empty frame";
    std::string name = known == nullptr ? "not named by the standard" : known;
    if (m.type && !m.decoded) {
      name += " (passed on unread)";
    }
    out += fmt::format("  {:>5}  {:<{}} {:>7}  {}\n",
                       m.type ? std::to_string(*m.type) : "-",
                       shortened(std::move(name)),
                       kNameWidth,
                       m.count,
                       rate(m.rate_hz));
  }
  out += '\n';
}

void satellites(std::string& out, const intake::SurveyReport& survey) {
  for (const System system : kSystems) {
    const auto& seen = survey.systems[static_cast<std::size_t>(system)];
    if (seen) {
      paragraph(
          out,
          system_name(system),
          fmt::format("{} satellite{}, signals {}, ephemerides of {}",
                      seen->satellites,
                      seen->satellites == 1 ? "" : "s",
                      seen->signals.empty()
                          ? std::string("none")
                          : fmt::format("{}", fmt::join(seen->signals, " ")),
                      seen->ephemerides));
    }
  }
}

void station(std::string& out, const intake::StationReport& s) {
  if (s.arp_m) {
    const Geodetic g = to_geodetic(*s.arp_m);
    constexpr double kDeg = 180 / std::numbers::pi;
    std::string text = fmt::format(
        "X {:.4f}  Y {:.4f}  Z {:.4f} m (latitude {:.7f}, longitude {:.7f}, "
        "height {:.3f} m above the ellipsoid), as the sender says",
        s.arp_m->x_m,
        s.arp_m->y_m,
        s.arp_m->z_m,
        g.lat_rad * kDeg,
        g.lon_rad * kDeg,
        g.height_m);
    if (s.antenna_height_m) {
      text += fmt::format("; {:.4f} m above the mark", *s.antenna_height_m);
    }
    paragraph(out, "Coordinate", text);
  }
  if (s.id) {
    paragraph(out, "Station id", std::to_string(*s.id));
  }
  if (s.antenna && !s.antenna->empty()) {
    paragraph(out, "Antenna", *s.antenna);
  }
  if (s.receiver && !s.receiver->empty()) {
    paragraph(out, "Receiver", *s.receiver);
  }
}

void epochs(std::string& out, const intake::EpochsReport& e) {
  if (e.count == 0) {
    return;
  }
  std::string text = std::to_string(e.count);
  if (e.interval_s) {
    text += fmt::format(", one every {:.4g} s", *e.interval_s);
  }
  if (e.first && e.last) {
    text += fmt::format(
        ", from {} to {}", format_utc(*e.first), format_utc(*e.last));
  }
  paragraph(out, "Epochs", text);
}

}  // namespace

std::string listen_text(const intake::SurveyReport& survey,
                        const std::string& source,
                        const char* (*name_of)(int)) {
  std::string out;
  paragraph(out, "Source", source);
  paragraph(out, "Received", amount(survey));
  messages(out, survey, name_of);
  if (!survey.nmea.empty()) {
    std::string text;
    for (const intake::NmeaReport& n : survey.nmea) {
      text += fmt::format("{}{} {}", text.empty() ? "" : ", ", n.count, n.type);
    }
    paragraph(out, "NMEA", text);
  }
  if (survey.maker_packets > 0) {
    paragraph(out, "Maker's", fmt::format("{} packets", survey.maker_packets));
  }
  epochs(out, survey.epochs);
  satellites(out, survey);
  station(out, survey.station);
  if (survey.lacks.empty()) {
    paragraph(out, "Lacks", "nothing that a base needs");
  }
  for (const std::string& lack : survey.lacks) {
    paragraph(out, "Lacks", lack);
  }
  return out;
}

}  // namespace stillpoint::report
