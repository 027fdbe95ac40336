#include "stillpoint/rinex/navigation_ionosphere.h"

#include <algorithm>
#include <cmath>

namespace stillpoint::rinex::nav {
namespace {

// `count` numbers of `width` columns; nothing when one is damaged. Blank is 0.
std::optional<std::array<double, 4>> numbers(std::string_view line,
                                             std::size_t first,
                                             std::size_t width,
                                             std::size_t count) {
  std::array<double, 4> values{};
  for (std::size_t i = 0; i < count; ++i) {
    const Number n = parse_number(columns(line, first + i * width, width));
    if (n.kind == Number::Kind::kBad) {
      return std::nullopt;
    }
    values[i] = n.value;
  }
  return values;
}

std::optional<Klobuchar> klobuchar(
    const std::optional<std::array<double, 8>>& values) {
  if (!values) {
    return std::nullopt;
  }
  Klobuchar k;
  std::copy_n(values->begin(), 4, k.alpha.begin());
  std::copy_n(values->begin() + 4, 4, k.beta.begin());
  return k;
}

}  // namespace

void IonosphereCollector::keep(const Entry& entry) {
  if (entries_.size() < kMaxEntries) {
    entries_.push_back(entry);
  }
}

bool IonosphereCollector::add_header_v2(std::string_view line, bool beta) {
  const auto values = numbers(line, 2, 12, 4);
  if (!values) {
    return false;
  }
  Entry entry;
  entry.part = beta ? Part::kBeta : Part::kAlpha;
  std::copy_n(values->begin(), 4, entry.values.begin() + (beta ? 4 : 0));
  keep(entry);
  return true;
}

bool IonosphereCollector::add_header_v3(std::string_view line) {
  struct Row {
    std::string_view label;
    System system;
    Part part;
  };
  constexpr std::array kRows{Row{"GPSA", System::kGps, Part::kAlpha},
                             Row{"GPSB", System::kGps, Part::kBeta},
                             Row{"GAL ", System::kGalileo, Part::kBoth},
                             Row{"BDSA", System::kBeidou, Part::kAlpha},
                             Row{"BDSB", System::kBeidou, Part::kBeta},
                             Row{"QZSA", System::kQzss, Part::kAlpha},
                             Row{"QZSB", System::kQzss, Part::kBeta},
                             Row{"IRNA", System::kNavic, Part::kAlpha},
                             Row{"IRNB", System::kNavic, Part::kBeta}};
  const std::string_view label = columns(line, 0, 4);
  const auto* row =
      std::find_if(kRows.begin(), kRows.end(), [label](const Row& r) {
        return r.label == label;
      });
  if (row == kRows.end()) {
    return true;
  }
  const auto values = numbers(line, 5, 12, row->part == Part::kBoth ? 3 : 4);
  if (!values) {
    return false;
  }
  Entry entry;
  entry.system = row->system;
  entry.part = row->part;
  const std::string_view mark = columns(line, 54, 1);
  entry.mark = mark.empty() ? ' ' : mark.front();
  entry.satellite = parse_whole(columns(line, 56, 2)).value_or(0);
  std::copy_n(values->begin(),
              4,
              entry.values.begin() + (row->part == Part::kBeta ? 4 : 0));
  keep(entry);
  return true;
}

Result<bool> IonosphereCollector::add_record(const RawRecord& record,
                                             double version) {
  const std::string_view head = record.head;
  const auto sat = parse_satellite(columns(head, 6, 3));
  std::string_view kind = columns(head, 10, 4);
  if (!sat) {
    return fail(ErrorCode::kBadFormat,
                "'" + record.head + "' names no satellite");
  }
  const bool nequick = sat->system == System::kGalileo && kind == "IFNV";
  const bool bdgim = sat->system == System::kBeidou && kind == "CNVX";
  const bool klobuchar_kind =
      kind == "LNAV" || kind == "D1D2" || (kind == "CNVX" && !bdgim);
  if (!nequick && !klobuchar_kind) {
    return false;
  }
  const auto table = FieldTable::read(record, nequick ? 2 : 3, version);
  if (!table) {
    return fail(table.error());
  }
  Entry entry;
  entry.system = sat->system;
  if (const auto c = parse_calendar(record.lines[0], version)) {
    if (const auto t = from_calendar(*c, TimeScale::kGps)) {
      entry.time = *t;
    }
  }
  std::size_t i = 0;
  for (std::size_t column = 1; column < 4; ++column) {
    entry.values[i++] = table->at(0, column);
  }
  if (!nequick) {
    for (std::size_t column = 0; column < 4; ++column) {
      entry.values[i++] = table->at(1, column);
    }
    entry.values[i] = table->at(2, 0);
    entry.regional = sat->system == System::kQzss && table->whole(2, 1) == 1;
  }
  keep(entry);
  return true;
}

std::optional<std::array<double, 8>> IonosphereCollector::best(
    System system, GnssTime middle) const {
  const auto distance = [middle](const Entry& e) {
    const double regional = e.regional ? 1e12 : 0;
    if (e.time) {
      return regional + std::abs((*e.time - middle).s);
    }
    // Letter M begins at noon.
    return regional + (e.mark == ' ' ? 0 : std::abs(e.mark - 'M') * 3600.0);
  };
  const Entry* best = nullptr;
  const Entry* best_beta = nullptr;
  for (const Entry& e : entries_) {
    if (e.system != system || e.part == Part::kBeta ||
        (best != nullptr && distance(e) >= distance(*best))) {
      continue;
    }
    const Entry* beta = &e;
    if (e.part == Part::kAlpha) {
      const auto it =
          std::find_if(entries_.begin(), entries_.end(), [&e](const Entry& b) {
            return b.part == Part::kBeta && b.system == e.system &&
                   b.mark == e.mark && b.satellite == e.satellite;
          });
      if (it == entries_.end()) {
        continue;
      }
      beta = &*it;
    }
    best = &e;
    best_beta = beta;
  }
  if (best == nullptr) {
    return std::nullopt;
  }
  std::array<double, 8> values = best->values;
  std::copy_n(best_beta->values.begin() + 4, 4, values.begin() + 4);
  return values;
}

IonosphereParameters IonosphereCollector::pick(GnssTime middle) const {
  IonosphereParameters p;
  p.gps = klobuchar(best(System::kGps, middle));
  p.beidou = klobuchar(best(System::kBeidou, middle));
  p.qzss = klobuchar(best(System::kQzss, middle));
  p.navic = klobuchar(best(System::kNavic, middle));
  if (const auto galileo = best(System::kGalileo, middle)) {
    p.galileo = {(*galileo)[0], (*galileo)[1], (*galileo)[2]};
  }
  return p;
}

}  // namespace stillpoint::rinex::nav
