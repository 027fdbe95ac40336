#include "stillpoint/products/antex_writer.h"

#include <cmath>
#include <numbers>
#include <span>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/products/fixed_text.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::products {
namespace {

constexpr std::size_t kLabel = 60;
constexpr double kDegPerRad = 180 / std::numbers::pi;
constexpr double kMmPerM = 1e3;

void put_labelled(LineWriter& out, FixedLine line, std::string_view label) {
  line.column(kLabel).text(label, 20);
  out.put(line);
}

void put_validity(LineWriter& out, GnssTime t, std::string_view label) {
  // Rounded to the printed tenth of a microsecond first.
  constexpr std::int64_t kPrinted = 100;
  const std::int64_t whole =
      (t.ns() + (t.ns() < 0 ? -1 : 1) * kPrinted / 2) / kPrinted;
  const Calendar c =
      to_calendar(GnssTime::from_ns(whole * kPrinted), TimeScale::kGps);
  put_labelled(out,
               FixedLine()
                   .integer(c.year, 6)
                   .integer(c.month, 6)
                   .integer(c.day, 6)
                   .integer(c.hour, 6)
                   .integer(c.minute, 6)
                   .fixed(c.second, 13, 7),
               label);
}

void put_values(LineWriter& out, FixedLine line, std::span<const float> row) {
  for (const float value_m : row) {
    line.fixed(static_cast<double>(value_m) * kMmPerM, 8, 2);
  }
  out.put(line);
}

void put_frequency(LineWriter& out,
                   const AntennaPattern& antenna,
                   const AntennaFrequency& frequency) {
  std::string code(1, system_letter(frequency.system));
  code += frequency.number < 10 ? "0" : "";
  code += std::to_string(frequency.number);
  put_labelled(out, FixedLine().blanks(3).text(code, 3), "START OF FREQUENCY");
  put_labelled(out,
               FixedLine()
                   .fixed(frequency.offset_m.north_or_x * kMmPerM, 10, 2)
                   .fixed(frequency.offset_m.east_or_y * kMmPerM, 10, 2)
                   .fixed(frequency.offset_m.up_or_z * kMmPerM, 10, 2),
               "NORTH / EAST / UP");
  const std::size_t width = frequency.by_zenith_m.size();
  put_values(
      out, FixedLine().blanks(3).text("NOAZI", 5), frequency.by_zenith_m);
  const std::span<const float> grid(frequency.by_azimuth_m);
  for (std::size_t i = 0; width > 0 && (i + 1) * width <= grid.size(); ++i) {
    const double azimuth_deg =
        static_cast<double>(i) * antenna.azimuth_step_rad * kDegPerRad;
    put_values(out,
               FixedLine().fixed(azimuth_deg, 8, 1),
               grid.subspan(i * width, width));
  }
  put_labelled(out, FixedLine().blanks(3).text(code, 3), "END OF FREQUENCY");
}

// Whether the grids hold as many values as the angles say.
bool is_consistent(const AntennaPattern& antenna) {
  const double span_rad = antenna.zenith_last_rad - antenna.zenith_first_rad;
  const double zeniths =
      antenna.zenith_step_rad > 0
          ? std::round(span_rad / antenna.zenith_step_rad) + 1
          : 1;
  const double azimuths =
      antenna.azimuth_step_rad > 0
          ? std::round(2 * std::numbers::pi / antenna.azimuth_step_rad) + 1
          : 0;
  for (const AntennaFrequency& f : antenna.frequencies) {
    if (static_cast<double>(f.by_zenith_m.size()) != zeniths ||
        static_cast<double>(f.by_azimuth_m.size()) != zeniths * azimuths) {
      return false;
    }
  }
  return true;
}

void put_comments(LineWriter& out, const std::vector<std::string>& comments) {
  for (const std::string& comment : comments) {
    put_labelled(out, FixedLine().text(comment, kLabel), "COMMENT");
  }
}

void put_antenna(LineWriter& out, const AntennaPattern& antenna) {
  if (!is_consistent(antenna)) {
    out.refuse("the grids of antenna '" + antenna.type +
               "' do not hold as many values as its angles say");
    return;
  }
  put_labelled(out, FixedLine(), "START OF ANTENNA");
  put_labelled(out,
               FixedLine()
                   .text(antenna.type, 20)
                   .text(antenna.serial, 20)
                   .text(antenna.svn, 10)
                   .text(antenna.cospar, 10),
               "TYPE / SERIAL NO");
  put_labelled(out,
               FixedLine()
                   .text(antenna.method, 20)
                   .text(antenna.agency, 20)
                   .integer(antenna.calibrated, 6)
                   .blanks(4)
                   .text(antenna.date, 10),
               "METH / BY / # / DATE");
  const auto angle = [](FixedLine& line, double angle_rad) {
    line.fixed(angle_rad * kDegPerRad, 6, 1);
  };
  FixedLine azimuth;
  azimuth.blanks(2);
  angle(azimuth, antenna.azimuth_step_rad);
  put_labelled(out, azimuth, "DAZI");
  FixedLine zenith;
  zenith.blanks(2);
  angle(zenith, antenna.zenith_first_rad);
  angle(zenith, antenna.zenith_last_rad);
  angle(zenith, antenna.zenith_step_rad);
  put_labelled(out, zenith, "ZEN1 / ZEN2 / DZEN");
  put_labelled(out,
               FixedLine().integer(
                   static_cast<std::int64_t>(antenna.frequencies.size()), 6),
               "# OF FREQUENCIES");
  if (antenna.valid_from) {
    put_validity(out, *antenna.valid_from, "VALID FROM");
  }
  if (antenna.valid_until) {
    put_validity(out, *antenna.valid_until, "VALID UNTIL");
  }
  if (!antenna.sinex_code.empty()) {
    put_labelled(out, FixedLine().text(antenna.sinex_code, 10), "SINEX CODE");
  }
  put_comments(out, antenna.comments);
  for (const AntennaFrequency& frequency : antenna.frequencies) {
    put_frequency(out, antenna, frequency);
  }
  put_labelled(out, FixedLine(), "END OF ANTENNA");
}

}  // namespace

Status write_antex(const AntennaProduct& product, ByteSink& sink) {
  LineWriter out(sink);
  put_labelled(
      out,
      FixedLine().fixed(1.4, 8, 1).column(20).text({&product.system, 1}, 1),
      "ANTEX VERSION / SYST");
  put_labelled(out,
               FixedLine()
                   .text(product.absolute ? "A" : "R", 20)
                   .text(product.reference_type, 20)
                   .text(product.reference_serial, 20),
               "PCV TYPE / REFANT");
  put_comments(out, product.comments);
  put_labelled(out, FixedLine(), "END OF HEADER");
  for (const AntennaPattern& antenna : product.antennas) {
    put_antenna(out, antenna);
  }
  return out.finish();
}

}  // namespace stillpoint::products
