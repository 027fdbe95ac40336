#include "stillpoint/rinex/observation_test_support.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstring>
#include <utility>

#include "stillpoint/rinex/hatanaka_text.h"

namespace stillpoint::rinex::test {
namespace {

// Hands out `step` bytes at a time.
class Pieces final : public ByteStream {
 public:
  Pieces(std::string_view text, std::size_t step) : text_(text), step_(step) {}
  Result<std::size_t> read(std::span<char> into) override {
    const std::size_t count = std::min({step_, into.size(), text_.size()});
    std::memcpy(into.data(), text_.data(), count);
    text_.remove_prefix(count);
    return count;
  }
  [[nodiscard]] const std::string& name() const override { return name_; }

 private:
  std::string_view text_;
  std::size_t step_;
  std::string name_ = "test";
};

bool same(double a, double b) {
  return a == b || (!is_present(a) && !is_present(b));
}

bool same_row(const Observation& a, const Observation& b) {
  return same(a.code_m, b.code_m) && same(a.phase_cyc, b.phase_cyc) &&
         same(a.doppler_hz, b.doppler_hz) && same(a.cn0_dbhz, b.cn0_dbhz) &&
         a.signal == b.signal && a.lli == b.lli &&
         a.phase_strength == b.phase_strength &&
         a.code_strength == b.code_strength;
}

std::string trimmed(std::string line) {
  line.resize(line.find_last_not_of(" \r") + 1);
  return line;
}

std::string padded(std::string line, std::size_t size) {
  line.resize(std::max(size, line.size()), ' ');
  return line;
}

}  // namespace

std::string header_line(std::string_view content, std::string_view label) {
  return padded(std::string(content), 60) + std::string(label) + "\n";
}

Reading read_stream(std::unique_ptr<ByteStream> stream) {
  Reading reading;
  auto reader = ObservationReader::open(std::move(stream));
  if (!reader) {
    reading.error = reader.error();
    return reading;
  }
  Epoch epoch;
  for (;;) {
    const auto got = reader->next(epoch);
    if (!got) {
      reading.error = got.error();
    }
    if (!got || !*got) {
      break;
    }
    reading.epochs.push_back(epoch);
  }
  reading.header = reader->header();
  reading.problems = reader->problems();
  reading.events = reader->events();
  return reading;
}

Reading read_text(std::string_view text, std::size_t step) {
  if (step == 0) {
    return read_stream(memory_stream(text, "test"));
  }
  return read_stream(std::make_unique<Pieces>(text, step));
}

bool same_epoch(const Epoch& a, const Epoch& b) {
  bool same = a.time == b.time && a.flag == b.flag &&
              a.receiver_clock_s == b.receiver_clock_s &&
              a.satellites.size() == b.satellites.size() &&
              a.observations.size() == b.observations.size();
  for (std::size_t i = 0; same && i < a.satellites.size(); ++i) {
    same = a.satellites[i].sat == b.satellites[i].sat &&
           a.satellites[i].first == b.satellites[i].first &&
           a.satellites[i].count == b.satellites[i].count;
  }
  for (std::size_t i = 0; same && i < a.observations.size(); ++i) {
    same = same_row(a.observations[i], b.observations[i]);
  }
  return same;
}

int first_difference(const std::vector<Epoch>& a, const std::vector<Epoch>& b) {
  const std::size_t shorter = std::min(a.size(), b.size());
  for (std::size_t i = 0; i < shorter; ++i) {
    if (!same_epoch(a[i], b[i])) {
      return static_cast<int>(i);
    }
  }
  return a.size() == b.size() ? -1 : static_cast<int>(shorter);
}

const Observation* find(const Epoch& epoch,
                        std::string_view sat,
                        std::string_view signal) {
  for (const SatRows& rows : epoch.satellites) {
    if (rows.sat.text() != sat) {
      continue;
    }
    for (const Observation& row : epoch.rows(rows)) {
      if (row.signal.text() == signal) {
        return &row;
      }
    }
  }
  return nullptr;
}

std::string restore(std::string_view compressed, std::string* error) {
  auto text = HatanakaText::open(memory_stream(compressed, "test"));
  std::string out;
  std::string_view line;
  while (text) {
    const auto got = text->next(line);
    if (!got) {
      if (error != nullptr) {
        *error = got.error().text();
      }
      return {};
    }
    if (!*got) {
      return out;
    }
    out += std::string(line) + '\n';
  }
  if (error != nullptr) {
    *error = text.error().text();
  }
  return {};
}

std::string small_file3() {
  return header_line("     3.04           OBSERVATION DATA    M (MIXED)",
                     "RINEX VERSION / TYPE") +
         header_line("LHOL", "MARKER NAME") +
         header_line("G    5 C1C L1C S1C C2W L2W", "SYS / # / OBS TYPES") +
         header_line("R    3 C1C L1C D1C", "SYS / # / OBS TYPES") +
         header_line("  2024     3     1     0     0    0.0000000     GPS",
                     "TIME OF FIRST OBS") +
         header_line("", "END OF HEADER") +
         "> 2024  3  1  0  0  0.0000000  0  3       0.000123456789\n"
         "G05  23439008.766   123172824.42316        40.900    23439013.844"
         "    95978843.135 4\n"
         "G18  21000000.001 7 110000000.002 7        45.000\n"
         "R03  19876543.210   106000000.500       -1234.567\n"
         "> 2024  3  1  0  0 30.0000000  0  2       0.000123456790\n"
         "G05  23419711.125   123071418.674 6        40.800\n"
         "R03  19880000.000   106020000.25016     -1240.001\n"
         "> 2024  3  1  0  1  0.0000000  1  3\n"
         "G05  23400444.188   122970176.577 5        39.800    23400450.777"
         "    95820935.783 4\n"
         "G18  21000900.004 7 110004000.025 7        45.250\n"
         "R03  19883456.789   106040000.125           -.250\n";
}

std::string small_file2() {
  std::string text =
      header_line("     2.11           OBSERVATION DATA    M (MIXED)",
                  "RINEX VERSION / TYPE") +
      header_line("     7    C1    L1    L2    P1    P2    D1    S1",
                  "# / TYPES OF OBSERV") +
      header_line("  1998     3     1     0     0    0.0000000     GPS",
                  "TIME OF FIRST OBS") +
      header_line("", "END OF HEADER");
  for (int k = 0; k < 3; ++k) {
    std::array<char, 400> line{};
    std::snprintf(line.data(),
                  line.size(),
                  " 98  3  1  0  0%11.7f  0 13G01G02G03G 4G05G06G07G08G09G10"
                  "G11R01%12.9f\n%32sR02\n",
                  15.0 * k,
                  1e-4 + k * 1e-9,
                  "");
    text += line.data();
    for (int sat = 0; sat < 13; ++sat) {
      const double range_m = 2.1e7 + sat * 1000.125 + k * 77.5;
      std::snprintf(line.data(),
                    line.size(),
                    "%14.3f  %14.3f%d%d%14.3f %d%14.3f  %14.3f\n%14.3f  %14.3f",
                    range_m,
                    range_m * 5,
                    k == 1 && sat == 2 ? 1 : 0,
                    (sat + k) % 10,
                    range_m * 4,
                    7,
                    range_m + 1.5,
                    range_m + 2.25,
                    sat - 6.5,
                    40.0 + sat);
      text += trimmed(line.data()) + "\n";
    }
  }
  return text;
}

}  // namespace stillpoint::rinex::test
