// Ionosphere parameters in headers (2.11, 3.05) and in records (4.02).
#include <algorithm>
#include <array>
#include <span>

#include "stillpoint/rinex/navigation_record_parts.h"
#include "stillpoint/rinex/navigation_writer_parts.h"

namespace stillpoint::rinex::nav {
namespace {

constexpr std::string_view kNotAsked = "the file is for another system";

struct Set {
  System system;
  std::string_view label;  // in the header of version 3
  std::string_view kind;   // of the record of version 4
  const std::optional<Klobuchar>& klobuchar;
};

std::array<Set, 4> klobuchar_sets(const IonosphereParameters& i) {
  return {Set{System::kGps, "GPS", "LNAV", i.gps},
          Set{System::kQzss, "QZS", "LNAV", i.qzss},
          Set{System::kBeidou, "BDS", "D1D2", i.beidou},
          Set{System::kNavic, "IRN", "LNAV", i.navic}};
}

void count(System system, std::string_view why, LeftOutValues& left_out) {
  std::string what = "ionosphere parameters of ";
  what += system_name(system);
  what += ": ";
  what += why;
  ++left_out[what];
}

std::string fields12(std::span<const double> values, char letter) {
  std::string text;
  for (const double value : values) {
    text += field12(value, letter);
  }
  return text;
}

std::string line3(std::string_view label, std::span<const double> values) {
  std::string text(label);
  text.resize(5, ' ');
  text += fields12(values, 'E');
  return header_text(text, "IONOSPHERIC CORR");
}

// The first set of a system in time, then in satellites.
struct Sender {
  GnssTime time;
  SatId sat;
  friend auto operator<=>(const Sender&, const Sender&) = default;
};

std::optional<Sender> first_sender(const NavigationData& data, System system) {
  std::optional<Sender> first;
  for (const KeplerEphemeris& e : data.kepler) {
    const Sender sender{e.transmitted.value_or(e.toe), e.sat};
    if (e.sat.system == system && (!first || sender < *first)) {
      first = sender;
    }
  }
  return first;
}

std::optional<std::string> record(const NavigationData& data,
                                  System system,
                                  std::string_view kind,
                                  std::span<const double> values) {
  const auto sender = first_sender(data, system);
  if (!sender) {
    return std::nullopt;
  }
  Calendar time = to_calendar(sender->time, scale_of(system));
  time.second = static_cast<int>(time.second);
  const auto head = record_head("", time, Version::k402);
  RecordText r(values.size() > 3 ? 3 : 2);
  std::size_t i = 0;
  for (const double value : values) {
    // Three numbers stand behind the time.
    r.set((i + 1) / 4, (i + 1) % 4, value);
    ++i;
  }
  if (system == System::kGalileo) {
    r.set(1, 0, 0);  // storm flags
  }
  std::string text = "> ION " + sender->sat.text() + " ";
  text += kind;
  text += '\n';
  return text + r.text(*head, Version::k402);
}

}  // namespace

std::string ionosphere_lines(const IonosphereParameters& ionosphere,
                             Version version,
                             std::optional<System> only,
                             LeftOutValues& left_out) {
  std::string text;
  const bool old = version == Version::k211;
  for (const Set& set : klobuchar_sets(ionosphere)) {
    if (!set.klobuchar) {
      continue;
    }
    if (only && only != set.system) {
      count(set.system, kNotAsked, left_out);
    } else if (old) {
      text +=
          header_text("  " + fields12(set.klobuchar->alpha, 'D'), "ION ALPHA");
      text +=
          header_text("  " + fields12(set.klobuchar->beta, 'D'), "ION BETA");
    } else {
      text += line3(std::string(set.label) + 'A', set.klobuchar->alpha);
      text += line3(std::string(set.label) + 'B', set.klobuchar->beta);
    }
  }
  if (ionosphere.galileo) {
    if (only && only != System::kGalileo) {
      count(System::kGalileo, kNotAsked, left_out);
    } else {
      text += line3("GAL", *ionosphere.galileo);
    }
  }
  return text;
}

std::string ionosphere_records(const NavigationData& data,
                               std::optional<System> only,
                               LeftOutValues& left_out) {
  std::string all;
  const auto add = [&](System system,
                       std::string_view kind,
                       std::span<const double> values) {
    if (only && only != system) {
      count(system, kNotAsked, left_out);
    } else if (const auto text = record(data, system, kind, values)) {
      all += *text;
    } else {
      count(system, "no satellite is at hand that sent them", left_out);
    }
  };
  for (const Set& set : klobuchar_sets(data.ionosphere)) {
    if (set.klobuchar) {
      std::array<double, 8> values{};
      std::copy_n(set.klobuchar->alpha.begin(), 4, values.begin());
      std::copy_n(set.klobuchar->beta.begin(), 4, values.begin() + 4);
      add(set.system, set.kind, values);
    }
  }
  if (data.ionosphere.galileo) {
    add(System::kGalileo, "IFNV", *data.ionosphere.galileo);
  }
  return all;
}

}  // namespace stillpoint::rinex::nav
