// Test program: what our reader makes of NMEA sentences, one a line, for
// comparison with a general-purpose library.
//
//   dump_nmea [--break-field NAME | --write-gga] FILE
//
// One line a sentence: line number, talker, type, then name=value for each
// field that has a value, in the units of the sentence (degrees, knots, UTC
// seconds of the day, yyyy-mm-dd). A sentence that we refuse: its line number
// and "refused". --break-field alters the first value of that name by its last
// digit. --write-gga writes each GGA anew with format_gga() instead. Exit: 0;
// 2 usage; 3 the file cannot be read.
#include <array>
#include <cstdio>
#include <fstream>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "stillpoint/nmea/format_gga.h"
#include "stillpoint/nmea/sentence.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::nmea;

constexpr double kDegPerRad = 180 / std::numbers::pi;
constexpr double kKnotsPerMps = 3600.0 / 1852;

class Printer {
 public:
  explicit Printer(std::string break_field)
      : break_field_(std::move(break_field)) {}

  void number(const std::string& name,
              const std::optional<double>& value,
              double factor = 1) {
    if (value) {
      // A reader of decimals would be off by a digit of them.
      const double step = name.starts_with("l") ? 1e-8 : 1e-3;
      std::printf(" %s=%.17g",
                  name.c_str(),
                  *value * factor + (breaks(name) ? step : 0));
    }
  }
  void integer(const std::string& name, const std::optional<int>& value) {
    if (value) {
      std::printf(" %s=%d", name.c_str(), *value + (breaks(name) ? 1 : 0));
    }
  }
  void letter(const std::string& name, const std::optional<char>& value) {
    if (value) {
      std::printf(" %s=%c", name.c_str(), *value + (breaks(name) ? 1 : 0));
    }
  }
  void date(const std::string& name, const std::optional<Date>& value) {
    if (value) {
      std::printf(" %s=%04d-%02d-%02d",
                  name.c_str(),
                  value->year,
                  value->month,
                  value->day + (breaks(name) ? 1 : 0));
    }
  }

  template <class Message>
  void place(const Message& m) {
    number("utc_s", m.utc_s);
    number("lat_deg", m.lat_rad, kDegPerRad);
    number("lon_deg", m.lon_rad, kDegPerRad);
  }

  void print(const Gga& m) {
    place(m);
    if (m.quality) {
      integer("quality", static_cast<int>(*m.quality));
    }
    integer("satellites", m.satellites);
    number("hdop", m.hdop);
    number("altitude_m", m.altitude_m);
    number("separation_m", m.geoid_separation_m);
    number("age_s", m.correction_age_s);
    integer("reference", m.reference_id);
  }
  void print(const Rmc& m) {
    place(m);
    date("date", m.date);
    if (m.status) {
      letter("status", static_cast<char>(*m.status));
    }
    number("speed_kn", m.speed_mps, kKnotsPerMps);
    number("course_deg", m.course_rad, kDegPerRad);
    if (m.mode) {
      letter("mode", static_cast<char>(*m.mode));
    }
  }
  void print(const Gst& m) {
    number("utc_s", m.utc_s);
    number("rms_m", m.rms_m);
    number("semi_major_m", m.semi_major_m);
    number("semi_minor_m", m.semi_minor_m);
    number("orientation_deg", m.orientation_rad, kDegPerRad);
    number("sigma_lat_m", m.lat_sigma_m);
    number("sigma_lon_m", m.lon_sigma_m);
    number("sigma_alt_m", m.alt_sigma_m);
  }
  void print(const Gsv& m) {
    integer("total", m.total);
    integer("index", m.index);
    integer("in_view", m.satellites_in_view);
    for (std::size_t k = 0; k < m.satellites.size(); ++k) {
      const SatelliteInView& seen = m.satellites[k];
      const std::string behind = std::to_string(k + 1);
      integer("number" + behind, seen.number);
      number("elevation" + behind, seen.elevation_rad, kDegPerRad);
      number("azimuth" + behind, seen.azimuth_rad, kDegPerRad);
      number("cn0_" + behind, seen.cn0_dbhz);
    }
    integer("signal", m.signal_id);
  }

 private:
  bool breaks(std::string_view name) {
    const bool now = !broken_ && name == break_field_;
    broken_ = broken_ || now;
    return now;
  }

  std::string break_field_;
  bool broken_ = false;
};

template <class Message>
void print_if(const Sentence& sentence, Printer& printer) {
  if (const Message* message = std::get_if<Message>(&sentence.value)) {
    printer.print(*message);
  }
}

void write_gga(const Sentence& sentence) {
  if (const Gga* gga = std::get_if<Gga>(&sentence.value)) {
    const auto text = format_gga(*gga, sentence.talker);
    std::fputs(text ? text->c_str() : "refused\r\n", stdout);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const bool rewrite = argc == 3 && std::string_view(argv[1]) == "--write-gga";
  const bool breaks = argc == 4 && std::string_view(argv[1]) == "--break-field";
  if (argc != 2 && !rewrite && !breaks) {
    std::fputs("usage: dump_nmea [--break-field NAME | --write-gga] FILE\n",
               stderr);
    return 2;
  }
  std::ifstream file(argv[argc - 1], std::ios::binary);
  Printer printer(breaks ? argv[2] : "");
  std::string line;
  for (int number = 1; std::getline(file, line); ++number) {
    const auto sentence = parse_sentence(line);
    if (rewrite) {
      if (sentence) {
        write_gga(*sentence);
      }
      continue;
    }
    if (!sentence) {
      std::printf("%d refused\n", number);
      continue;
    }
    std::printf(
        "%d %s %s", number, sentence->talker.c_str(), sentence->type.c_str());
    print_if<Gga>(*sentence, printer);
    print_if<Rmc>(*sentence, printer);
    print_if<Gst>(*sentence, printer);
    print_if<Gsv>(*sentence, printer);
    std::putchar('\n');
  }
  if (!file.eof()) {
    std::fprintf(stderr, "%s cannot be read\n", argv[argc - 1]);
    return 3;
  }
  return 0;
}
