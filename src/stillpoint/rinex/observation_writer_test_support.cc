#include "stillpoint/rinex/observation_writer_test_support.h"

#include <algorithm>
#include <random>
#include <utility>

#include "stillpoint/rinex/observation_columns.h"

namespace stillpoint::rinex::test {
namespace {

constexpr double kLargest = 9'999'999'999.999;
constexpr double kLeast = -999'999'999.999;

// Own distributions: those of the library differ from one to the next.
class Dice {
 public:
  explicit Dice(std::uint32_t seed) : engine_(seed) {}
  std::uint32_t below(std::uint32_t count) { return draw() % count; }
  bool one_in(std::uint32_t count) { return below(count) == 0; }
  // Thousandths, as files have them; never zero.
  double between(std::int64_t least, std::int64_t most) {
    const auto span = static_cast<std::uint64_t>(most - least) + 1;
    const std::uint64_t drawn = (std::uint64_t{draw()} << 32U | draw()) % span;
    const std::int64_t number = least + static_cast<std::int64_t>(drawn);
    return static_cast<double>(number == 0 ? 1 : number) / 1000.0;
  }

 private:
  std::uint32_t draw() { return static_cast<std::uint32_t>(engine_()); }
  std::mt19937 engine_;
};

struct Sky {
  SatId sat;
  double range_m = 0, rate_mps = 0, begin_cyc = 0;
  bool up = false;
};

double thousandths(double value) {
  const double rounded = std::nearbyint(value * 1000);
  return (rounded == 0 ? 1 : rounded) / 1000.0;
}

void fill(
    Dice& dice, const Sky& sky, Kind kind, double moved_s, Observation& to) {
  if (dice.one_in(9)) {
    return;
  }
  const double range_m = sky.range_m + sky.rate_mps * moved_s;
  const double noise = dice.between(-3000, 3000);
  switch (kind) {
    case Kind::kCode:
      to.code_m = dice.one_in(200) ? kLargest : thousandths(range_m + noise);
      to.code_strength = static_cast<std::uint8_t>(dice.below(10));
      break;
    case Kind::kPhase:
      to.phase_cyc = dice.one_in(200)
                         ? kLeast
                         : thousandths(sky.begin_cyc - range_m * 5.25 + noise);
      to.lli = dice.one_in(5) ? static_cast<std::uint8_t>(dice.below(8)) : 0;
      to.phase_strength = static_cast<std::uint8_t>(dice.below(10));
      break;
    case Kind::kDoppler:
      to.doppler_hz = dice.one_in(4) ? dice.between(-999, 999)
                                     : thousandths(sky.rate_mps * 5 + noise);
      break;
    case Kind::kStrength:
      to.cn0_dbhz = dice.between(15'000, 56'000);
      break;
    case Kind::kOther:
      break;
  }
}

void add_satellite(Dice& dice,
                   const Sky& sky,
                   const std::vector<Column>& columns,
                   double moved_s,
                   Epoch& epoch) {
  std::vector<Observation> rows;
  for (const Column& column : columns) {
    if (rows.empty() || rows.back().signal != column.signal) {
      rows.emplace_back().signal = column.signal;
    }
    fill(dice, sky, column.kind, moved_s, rows.back());
  }
  for (const Observation& row : rows) {
    if (row.any() && !dice.one_in(12)) {
      add_row(epoch, sky.sat, row);
    }
  }
}

std::vector<Sky> make_sky(Dice& dice, const ObservationHeader& header) {
  std::vector<Sky> sky;
  for (const System system : kSystems) {
    if (header.columns[static_cast<std::size_t>(system)].empty()) {
      continue;
    }
    for (int i = 1; i <= (system == System::kGps ? 15 : 4); ++i) {
      Sky one;
      one.sat = {system, static_cast<std::uint8_t>(7 * i % 61 + 1)};
      one.range_m = dice.between(19'000'000'000, 41'000'000'000);
      one.rate_mps = dice.between(-800'000, 800'000);
      one.begin_cyc = dice.one_in(3) ? one.range_m * 5.25 : 0;
      one.up = !dice.one_in(3);
      sky.push_back(one);
    }
  }
  return sky;
}

}  // namespace

ObservationWriterOptions as_they_are(Version version, bool hatanaka) {
  return {version, hatanaka, false};
}

Written write_epochs(const ObservationHeader& header,
                     const std::vector<Epoch>& epochs,
                     ObservationWriterOptions options) {
  Written written;
  auto writer =
      ObservationWriter::begin(header, options, memory_sink(written.text));
  Status status = writer ? ok() : Status(fail(writer.error()));
  for (std::size_t i = 0; status && i < epochs.size(); ++i) {
    status = writer->add(epochs[i]);
  }
  if (status) {
    status = writer->finish();
  }
  if (!status) {
    written.error = status.error();
  }
  if (writer) {
    written.left_out = writer->left_out();
  }
  return written;
}

std::vector<Column> columns_of(System system, std::string_view list) {
  std::vector<Column> columns;
  for (std::size_t at = 0; at < list.size(); at += 4) {
    columns.push_back(column_of_type3(system, list.substr(at, 3), 3.05));
  }
  return columns;
}

std::vector<Column>& of(ObservationHeader& header, System system) {
  return header.columns[static_cast<std::size_t>(system)];
}

GnssTime at(int year, int month, int day, int hour, int minute, double second) {
  return from_calendar({year, month, day, hour, minute, second},
                       TimeScale::kGps)
      .value();
}

ObservationHeader demo_header() {
  ObservationHeader header;
  header.program = "Stillpoint";
  header.run_by = "Larch Hollow";
  header.run_date = "20240301 120000 UTC";
  header.marker_name = "LHOL";
  header.marker_type = "GEODETIC";
  header.observer = "ditch-1";
  header.agency = "Larch Hollow Growers' Cooperative";
  header.receiver_serial = "0001";
  header.receiver_type = "SPDEMO-R1";
  header.receiver_version = "1.0";
  header.antenna_serial = "1";
  header.antenna_type = "SPDEMO-A1       NONE";
  header.approx_position_m = Ecef{4281406.3608, 670450.3441, 4664823.2};
  header.antenna_delta_enu_m = {0.001, -0.002, 0.512};
  header.interval_s = 30;
  header.first_obs = at(2024, 3, 1, 0, 0, 0);
  header.leap_seconds = 18;
  header.comments = {"Larch Hollow is invented; nothing here is a sky"};
  of(header, System::kGps) =
      columns_of(System::kGps,
                 "C1C L1C D1C S1C C1W S1W C2W L2W D2W S2W C2L L2L D2L S2L C5Q "
                 "L5Q");
  of(header, System::kGlonass) =
      columns_of(System::kGlonass, "C1C L1C D1C S1C C2P L2P S2P");
  of(header, System::kGalileo) =
      columns_of(System::kGalileo, "C1X L1X S1X C5X L5X S5X C7X L7X");
  of(header, System::kBeidou) =
      columns_of(System::kBeidou, "C2I L2I S2I C6I L6I S6I");
  of(header, System::kQzss) = columns_of(System::kQzss, "C1C L1C C5Q L5Q");
  of(header, System::kSbas) = columns_of(System::kSbas, "C1C L1C D1C S1C");
  of(header, System::kNavic) = columns_of(System::kNavic, "C5A L5A S5A");
  for (int slot = 1; slot <= 24; ++slot) {
    header
        .glonass_channels[{System::kGlonass, static_cast<std::uint8_t>(slot)}] =
        slot % 14 - 7;
  }
  header.glonass_bias_m = {{{'1', 'C'}, -71.94}, {{'2', 'P'}, -71.25}};
  header.phase_shifts = {{System::kGps, {'2', 'L'}, 0.25, {}},
                         {System::kGlonass,
                          {'2', 'P'},
                          -0.25,
                          {{System::kGlonass, 1}, {System::kGlonass, 24}}}};
  return header;
}

ObservationHeader demo_header2() {
  ObservationHeader header = demo_header();
  header.columns = {};
  of(header, System::kGps) = columns_of(
      System::kGps, "C1C L1C D1C S1C C1W C2X C2W L2W D2W S2W C5X L5X D5X S5X");
  of(header, System::kGlonass) =
      columns_of(System::kGlonass, "C1C L1C D1C S1C C1P C2C C2P L2P D2P S2P");
  of(header, System::kGalileo) = columns_of(
      System::kGalileo, "C1X L1X D1X S1X C5X L5X C7X L7X C8X L8X C6X L6X");
  of(header, System::kSbas) = columns_of(System::kSbas, "C1C L1C C5I L5I S5I");
  return header;
}

std::vector<Epoch> random_epochs(std::uint32_t seed,
                                 int count,
                                 const ObservationHeader& header) {
  Dice dice(seed);
  std::vector<Sky> sky = make_sky(dice, header);
  std::vector<Epoch> epochs;
  const GnssTime start = *header.first_obs;
  GnssTime time = start;
  std::optional<double> clock_s;
  for (int i = 0; i < count; ++i) {
    Epoch& epoch = epochs.emplace_back();
    epoch.time = time;
    epoch.flag = dice.one_in(10) ? EpochFlag::kPowerFailure : EpochFlag::kOk;
    if (dice.one_in(6)) {
      clock_s = clock_s ? std::optional<double>()
                        : dice.between(-9'000'000, 9'000'000) / 1e6;
    }
    if (clock_s) {
      // Nine decimals, as version 2.11 has them.
      clock_s = std::nearbyint(*clock_s * 1e9 + dice.between(0, 3000)) / 1e9;
    }
    epoch.receiver_clock_s = clock_s;
    if (dice.one_in(8)) {
      std::reverse(sky.begin(), sky.end());
    }
    for (Sky& one : sky) {
      one.up = dice.one_in(10) ? !one.up : one.up;
      const auto system = static_cast<std::size_t>(one.sat.system);
      if (one.up) {
        add_satellite(
            dice, one, header.columns[system], (time - start).s, epoch);
      }
    }
    const std::int64_t step_ns =
        dice.one_in(5) ? 100 * (1 + std::int64_t{dice.below(600'000'000)})
                       : 30 * GnssTime::kNsPerS;
    time = GnssTime::from_ns(time.ns() + step_ns);
  }
  return epochs;
}

void add_row(Epoch& epoch, SatId sat, const Observation& row) {
  if (epoch.satellites.empty() || epoch.satellites.back().sat != sat) {
    epoch.satellites.push_back(
        {sat, 0, static_cast<std::uint32_t>(epoch.observations.size())});
  }
  ++epoch.satellites.back().count;
  epoch.observations.push_back(row);
}

Observation row_of(std::string_view signal,
                   double code_m,
                   double phase_cyc,
                   double doppler_hz,
                   double cn0_dbhz) {
  Observation row;
  row.signal = {signal[0], signal[1]};
  row.code_m = code_m;
  row.phase_cyc = phase_cyc;
  row.doppler_hz = doppler_hz;
  row.cn0_dbhz = cn0_dbhz;
  return row;
}

std::string from_line(std::string_view text, std::string_view start) {
  std::string wanted = "\n";
  wanted += start;
  const std::size_t found = text.find(wanted);
  return found == std::string_view::npos ? std::string()
                                         : std::string(text.substr(found + 1));
}

std::string before_label(std::string_view text, std::string_view label) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    if (line.size() > 60 && line.substr(60) == label) {
      std::string content(line.substr(0, 60));
      content.resize(content.find_last_not_of(' ') + 1);
      return content;
    }
    at = end + 1;
  }
  return "-";
}

}  // namespace stillpoint::rinex::test
