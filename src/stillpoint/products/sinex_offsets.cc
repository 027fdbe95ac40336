#include "stillpoint/products/sinex_offsets.h"

#include <algorithm>
#include <utility>

#include "stillpoint/products/sp3_fields.h"

namespace stillpoint::products {
namespace {

// Three numbers of six columns, one blank between; nothing where a field is
// not a number, an empty list where all are blank.
std::optional<std::vector<double>> to_three(const SinexLine& line,
                                            std::size_t from) {
  std::vector<double> values;
  std::size_t blank = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    const std::string_view text = line.text(from + 7 * i, from + 7 * i + 6);
    const auto value = to_number(text);
    blank += text.empty() ? 1U : 0U;
    if (value) {
      values.push_back(*value);
    }
  }
  if (values.size() + blank != 3 || (blank != 0 && blank != 3)) {
    return std::nullopt;
  }
  return values;
}

}  // namespace

std::string_view SinexOffsets::take_offsets(const SinexLine& line,
                                            System system,
                                            std::array<int, 2> numbers,
                                            AntennaPattern& into) {
  constexpr std::array<std::size_t, 2> kFrom{28, 49};
  for (std::size_t i = 0; i < 2; ++i) {
    const auto values = to_three(line, kFrom[i]);
    if (!values) {
      return "the offsets of a frequency are not three numbers";
    }
    if (numbers[i] == 0 || values->empty()) {
      continue;
    }
    AntennaFrequency frequency;
    frequency.system = system;
    frequency.number = numbers[i];
    frequency.offset_m = {(*values)[1], (*values)[2], (*values)[0]};
    into.frequencies.push_back(std::move(frequency));
  }
  const std::string_view model = line.text(70, 80);
  if (into.sinex_code.empty()) {
    into.sinex_code = model;
  }
  return {};
}

void SinexOffsets::begin_antenna(const SinexLine& line,
                                 System system,
                                 const std::string& key,
                                 Block& block) {
  const std::size_t nth = block.count[key]++;
  std::vector<std::size_t>& same = receivers_at_[key];
  const auto is_of_system = [system](const AntennaFrequency& f) {
    return f.system == system;
  };
  if (nth < same.size()) {
    const auto& there = receivers_[same[nth]].frequencies;
    if (std::none_of(there.begin(), there.end(), is_of_system)) {
      block.antenna = same[nth];
      return;
    }
  }
  AntennaPattern antenna;
  antenna.type = line.left(1, 21);
  const std::string_view serial = line.text(22, 27);
  antenna.serial = serial == "-----" ? std::string_view() : serial;
  block.antenna = receivers_.size();
  same.push_back(receivers_.size());
  receivers_.push_back(std::move(antenna));
}

std::string_view SinexOffsets::take_gps_antenna(SinexLine line) {
  const std::string key(line.left(1, 27));
  if (line.text(1, 21).empty()) {
    return "the row names no antenna";
  }
  begin_antenna(line, System::kGps, key, gps_);
  return take_offsets(line, System::kGps, {1, 2}, receivers_[gps_.antenna]);
}

std::string_view SinexOffsets::take_galileo_antenna(SinexLine line) {
  constexpr std::array<std::array<int, 2>, 3> kNumbers{
      std::array<int, 2>{1, 5}, {6, 7}, {8, 0}};
  std::string key(line.left(1, 27));
  if (line.text(1, 21).empty()) {
    return "the row names no antenna";
  }
  Block& block = galileo_;
  if (key == block.last_key && block.row + 1 < kNumbers.size()) {
    ++block.row;
  } else {
    begin_antenna(line, System::kGalileo, key, block);
    block.row = 0;
    block.last_key = std::move(key);
  }
  return take_offsets(
      line, System::kGalileo, kNumbers[block.row], receivers_[block.antenna]);
}

std::string_view SinexOffsets::take_satellite_name(SinexLine line) {
  const std::string_view svn = line.text(1, 5);
  if (svn.empty()) {
    return "the row names no satellite";
  }
  SatelliteName row;
  std::string number(1, svn[0]);
  number += line.text(6, 8);
  row.satellite = parse_satellite(number);
  row.cospar = line.text(9, 18);
  if (!line.span(21, row.from, row.until)) {
    return "the row does not hold two instants, the second not before the "
           "first";
  }
  row.type = line.text(47, 67);
  names_[std::string(svn)].push_back(std::move(row));
  return {};
}

std::string_view SinexOffsets::take_satellite(SinexLine line) {
  const std::string_view code = line.text(1, 5);
  if (code.empty()) {
    return "the row names no satellite";
  }
  const auto system = system_from_letter(code[0]);
  if (!system) {
    ++left_out_;
    return {};
  }
  AntennaPattern row;
  row.svn = code;
  row.sinex_code = line.text(52, 62);
  constexpr std::array<std::size_t, 2> kFrom{6, 29};
  for (const std::size_t from : kFrom) {
    const std::string_view number = line.text(from, from + 1);
    const auto values = to_three(line, from + 2);
    if (!values || (number.empty() && !values->empty())) {
      return "the offsets of a frequency are not a digit and three numbers";
    }
    if (values->empty()) {
      continue;
    }
    if (number[0] < '1' || number[0] > '9') {
      return "the frequency is not a digit of 1 to 9";
    }
    AntennaFrequency frequency;
    frequency.system = *system;
    frequency.number = number[0] - '0';
    // Printed in the order Z, X, Y.
    frequency.offset_m = {(*values)[1], (*values)[2], (*values)[0]};
    if (row.frequency(frequency.system, frequency.number) != nullptr) {
      return "the same frequency twice";
    }
    row.frequencies.push_back(std::move(frequency));
  }
  relative_ = relative_ || line.text(63, 64) == "R";
  // Further rows of a satellite hold its further frequencies.
  std::string key(code);
  key += '/';
  key += row.sinex_code;
  const auto [found, is_new] =
      satellites_at_.try_emplace(std::move(key), satellites_.size());
  if (!is_new) {
    AntennaPattern& there = satellites_[found->second];
    const auto is_there = [&there](const AntennaFrequency& f) {
      return there.frequency(f.system, f.number) != nullptr;
    };
    if (std::none_of(
            row.frequencies.begin(), row.frequencies.end(), is_there)) {
      for (AntennaFrequency& f : row.frequencies) {
        there.frequencies.push_back(std::move(f));
      }
      return {};
    }
    found->second = satellites_.size();
  }
  satellites_.push_back(std::move(row));
  return {};
}

void SinexOffsets::add_receivers(SinexProduct& product) {
  // Stations of one antenna type and cut serial number repeat each other.
  constexpr std::size_t kMostCompared = 16;
  std::vector<bool> repeats(receivers_.size(), false);
  for (const auto& [key, same] : receivers_at_) {
    std::vector<std::size_t> kept;
    for (const std::size_t i : same) {
      repeats[i] =
          std::any_of(kept.begin(), kept.end(), [&](std::size_t before) {
            return receivers_[before] == receivers_[i];
          });
      if (!repeats[i] && kept.size() < kMostCompared) {
        kept.push_back(i);
      }
    }
  }
  for (std::size_t i = 0; i < receivers_.size(); ++i) {
    if (!repeats[i]) {
      receivers_[i].agency = product.agency;
      product.offsets.antennas.push_back(std::move(receivers_[i]));
    }
  }
}

bool SinexOffsets::add_satellite(AntennaPattern antenna,
                                 SinexProduct& product) const {
  auto& antennas = product.offsets.antennas;
  antenna.agency = product.agency;
  const std::string code = antenna.svn;
  if (const auto found = names_.find(code); found != names_.end()) {
    const std::vector<SatelliteName>& names = found->second;
    if (antennas.size() + names.size() > kMaxAntennas) {
      return false;
    }
    for (const SatelliteName& name : names) {
      AntennaPattern copy = antenna;
      copy.satellite = name.satellite;
      copy.serial = name.satellite ? name.satellite->text() : std::string();
      copy.cospar = name.cospar;
      copy.type = name.satellite ? name.type : std::string();
      copy.valid_from = name.from;
      copy.valid_until = name.until;
      antennas.push_back(std::move(copy));
    }
    return true;
  }
  antenna.valid_from = product.from;
  antenna.valid_until = product.until;
  if (code.size() == 3) {
    antenna.satellite = parse_satellite(code);
  }
  if (antenna.satellite) {
    antenna.serial = code;
    antenna.svn.clear();
  }
  antennas.push_back(std::move(antenna));
  return antennas.size() <= kMaxAntennas;
}

bool SinexOffsets::finish(SinexProduct& product) {
  product.offsets.source = product.source;
  product.offsets.absolute = !relative_;
  product.records_left_out += left_out_;
  add_receivers(product);
  for (AntennaPattern& antenna : satellites_) {
    if (!add_satellite(std::move(antenna), product)) {
      return false;
    }
  }
  return product.offsets.antennas.size() <= kMaxAntennas;
}

}  // namespace stillpoint::products
