#include "stillpoint/solve/tie_signals.h"

#include <array>
#include <cstddef>

namespace stillpoint::solve {
namespace {

constexpr std::size_t kMostBands = 3;

struct SignalClass {
  System system;
  char band;
  std::string_view attributes;  // best tracked first
  char name;
};

// Best first within a band.
constexpr std::array kClasses{
    SignalClass{System::kGps, '1', "C", 'C'},
    SignalClass{System::kGps, '1', "WPYM", 'W'},
    SignalClass{System::kGps, '1', "XLS", 'L'},
    SignalClass{System::kGps, '2', "WPYDM", 'W'},
    SignalClass{System::kGps, '2', "XLS", 'L'},
    SignalClass{System::kGps, '2', "C", 'C'},
    SignalClass{System::kGps, '5', "XQI", 'Q'},
    SignalClass{System::kGlonass, '1', "C", 'C'},
    SignalClass{System::kGlonass, '1', "P", 'P'},
    SignalClass{System::kGlonass, '2', "C", 'C'},
    SignalClass{System::kGlonass, '2', "P", 'P'},
    SignalClass{System::kGlonass, '3', "XQI", 'Q'},
    SignalClass{System::kGalileo, '1', "XCB", 'C'},
    SignalClass{System::kGalileo, '1', "Z", 'Z'},
    SignalClass{System::kGalileo, '5', "XQI", 'Q'},
    SignalClass{System::kGalileo, '7', "XQI", 'Q'},
    SignalClass{System::kGalileo, '8', "XQI", 'Q'},
    SignalClass{System::kGalileo, '6', "XCB", 'C'},
    SignalClass{System::kBeidou, '2', "XIQ", 'I'},
    SignalClass{System::kBeidou, '6', "XIQ", 'I'},
    SignalClass{System::kBeidou, '7', "XIQ", 'I'},
    SignalClass{System::kBeidou, '7', "ZDP", 'D'},
    SignalClass{System::kBeidou, '1', "XPD", 'P'},
    SignalClass{System::kBeidou, '5', "XPD", 'P'},
    SignalClass{System::kBeidou, '8', "XPD", 'P'},
    SignalClass{System::kQzss, '1', "C", 'C'},
    SignalClass{System::kQzss, '1', "XLS", 'L'},
    SignalClass{System::kQzss, '1', "Z", 'Z'},
    SignalClass{System::kQzss, '2', "XLS", 'L'},
    SignalClass{System::kQzss, '5', "XQI", 'Q'},
    SignalClass{System::kQzss, '5', "ZPD", 'D'},
};

bool belongs(const SignalClass& c, System system, SignalCode signal) {
  return c.system == system && c.band == signal.band &&
         c.attributes.find(signal.attribute) != std::string_view::npos;
}

// The best tracked observation of a class that has a phase or a code.
const Observation* find(const SignalClass& c,
                        std::span<const Observation> rows,
                        double Observation::*value) {
  const Observation* best = nullptr;
  std::size_t best_rank = c.attributes.size();
  for (const Observation& row : rows) {
    if (row.signal.band != c.band || !is_present(row.*value)) {
      continue;
    }
    const std::size_t rank = c.attributes.find(row.signal.attribute);
    if (rank < best_rank) {
      best = &row;
      best_rank = rank;
    }
  }
  return best;
}

}  // namespace

std::string_view tie_bands(System system) {
  switch (system) {
    case System::kGps:
    case System::kQzss:
      return "125";
    case System::kGlonass:
      return "12";
    case System::kGalileo:
      return "15786";
    case System::kBeidou:
      return "267158";
    default:
      return "";
  }
}

char tie_class(System system, SignalCode signal) {
  for (const SignalClass& c : kClasses) {
    if (belongs(c, system, signal)) {
      return c.name;
    }
  }
  return 0;
}

void match_bands(System system,
                 std::span<const Observation> here,
                 std::span<const Observation> there,
                 std::vector<TieBandPair>& out) {
  out.clear();
  for (const char band : tie_bands(system)) {
    for (const SignalClass& c : kClasses) {
      if (c.system != system || c.band != band) {
        continue;
      }
      TieBandPair pair;
      pair.phase_here = find(c, here, &Observation::phase_cyc);
      pair.phase_there = find(c, there, &Observation::phase_cyc);
      if (pair.phase_here == nullptr || pair.phase_there == nullptr) {
        continue;
      }
      pair.code_here = find(c, here, &Observation::code_m);
      pair.code_there = find(c, there, &Observation::code_m);
      out.push_back(pair);
      break;
    }
    if (out.size() == kMostBands) {
      return;
    }
  }
}

}  // namespace stillpoint::solve
