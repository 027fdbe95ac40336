// Prints what the signals of a session were like, as Markdown tables, to
// compare antennas, receivers and sites:
//   build/release/tests/signal_scoreboard
//       AJAC and ESBC of the data folder
//   build/release/tests/signal_scoreboard OBS NAV… [-- OBS NAV…]…
//       sessions of your own, each with its navigation files
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string_view>

#include "tests/validation/signal_session.h"

namespace stillpoint::test {
namespace {

// Elevation bins that the tables show.
constexpr std::array<std::size_t, 3> kShown{1, 4, 7};

std::string number(double v, int digits) {
  return std::isfinite(v) ? fmt::format("{:.{}f}", v, digits) : "-";
}

std::string percent(const quality::Completeness& c) {
  const auto share = c.share();
  return share ? fmt::format("{:.2f}", 100 * *share) : "-";
}

std::string signal_name(const quality::SignalId& id) {
  return fmt::format("{} {}", system_letter(id.system), id.code.text());
}

std::string three_rms(const quality::ByElevation<quality::SquareSum>& bins) {
  std::string out;
  for (const std::size_t place : kShown) {
    out += fmt::format(" {} |", number(bins.at(place).rms(), 2));
  }
  return out;
}

void strengths(const quality::SignalReport& report) {
  fmt::print(
      "\nC/N0, dB-Hz: mean (5 % to 95 %) by elevation in degrees\n\n"
      "| signal | satellites | 10-20 | 40-50 | 70-80 | unknown elevation |\n"
      "| --- | --- | --- | --- | --- | --- |\n");
  for (const auto& s : report.signals) {
    std::string row;
    for (const std::size_t place :
         {kShown[0], kShown[1], kShown[2], quality::kUnknownElevation}) {
      const auto& f = s.strength.at(place);
      row += f.count == 0 ? std::string(" - |")
                          : fmt::format(" {:.1f} ({:.1f} to {:.1f}) |",
                                        f.mean_dbhz,
                                        f.p05_dbhz,
                                        f.p95_dbhz);
    }
    fmt::print("| {} | {} |{}\n", signal_name(s.id), s.satellites, row);
  }
}

void codes(const quality::SignalReport& report) {
  fmt::print(
      "\nCode, RMS in m by elevation in degrees: multipath with noise (arc "
      "means removed; repeats: share of its variance still there after 30 s "
      "and 300 s), and noise of one epoch\n\n"
      "| signal | arcs | MP 10-20 | MP 40-50 | MP 70-80 | MP all | repeats | "
      "noise 10-20 | noise 40-50 | noise 70-80 | noise all |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- "
      "|\n");
  for (const auto& s : report.signals) {
    const auto repeats = s.multipath.correlation();
    fmt::print("| {} | {} |{} {} | {} {} |{} {} |\n",
               signal_name(s.id),
               s.multipath.arcs,
               three_rms(s.multipath.by_elevation),
               number(s.multipath.total().rms(), 2),
               number(repeats.front(), 2),
               number(repeats.back(), 2),
               three_rms(s.noise.by_elevation),
               number(s.noise.total().rms(), 2));
  }
}

void phases(const quality::SignalReport& report) {
  fmt::print(
      "\nPhases, and what came of what was expected above 10 degrees (of "
      "satellites seen with the signal)\n\n"
      "| signal | phases | checked, % | slips | of them flagged | slips per "
      "1000 | half cycles open | complete, % |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- |\n");
  for (const auto& s : report.signals) {
    const auto& slips = s.slips;
    const auto phases = static_cast<double>(slips.phases);
    fmt::print("| {} | {} | {} | {} | {} | {} | {} | {} |\n",
               signal_name(s.id),
               slips.phases,
               number(100 * static_cast<double>(slips.checked) / phases, 1),
               slips.slips,
               slips.flagged,
               number(1000 * static_cast<double>(slips.slips) / phases, 2),
               slips.half_cycles,
               percent(s.completeness));
  }
  fmt::print(
      "\n| system | satellites seen | expected | complete, % | on two bands, "
      "% |\n| --- | --- | --- | --- | --- |\n");
  for (const auto& s : report.systems) {
    fmt::print("| {} | {} | {} | {} | {} |\n",
               system_name(s.system),
               s.satellites_seen,
               s.satellites_expected,
               percent(s.completeness),
               percent(s.two_bands));
  }
}

bool print(const SignalSession& session) {
  const SessionRun r = run(session);
  fmt::print("\n## {}\n\n", session.name);
  if (!r.failure.empty()) {
    fmt::print("skipped: {}\n", r.failure);
    return false;
  }
  fmt::print("{} epochs every {} s, {} missed\n",
             r.report.epochs,
             number(r.report.interval_s.value_or(NAN), 3),
             r.report.missed);
  strengths(r.report);
  codes(r.report);
  phases(r.report);
  return true;
}

std::vector<SignalSession> from_words(int argc, char** argv) {
  std::vector<SignalSession> sessions;
  bool begin = true;
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word == "--") {
      begin = true;
    } else if (begin) {
      const std::size_t slash = word.rfind('/') + 1;  // npos + 1 is 0
      sessions.push_back(
          {std::string(word.substr(slash)), std::string(word), {}});
      begin = false;
    } else {
      sessions.back().navigation.emplace_back(word);
    }
  }
  return sessions;
}

}  // namespace
}  // namespace stillpoint::test

int main(int argc, char** argv) {
  const auto sessions = argc > 1 ? stillpoint::test::from_words(argc, argv)
                                 : stillpoint::test::signal_sessions();
  if (sessions.empty()) {
    fmt::print("skipped: no data\n");
  }
  bool good = true;
  for (const auto& session : sessions) {
    good &= stillpoint::test::print(session);
  }
  return good ? 0 : 3;
}
