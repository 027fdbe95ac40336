// Prints the tables of docs/validation.md for the code solution; run it after
// any change of results: build/release/tests/code_scoreboard
#include <fmt/format.h>

#include "stillpoint/solve/terms.h"
#include "tests/validation/station_days.h"

namespace stillpoint::test {
namespace {

std::string triple(const Enu& d) {
  return fmt::format("{:+.3f} {:+.3f} {:+.3f}", d.e_m, d.n_m, d.u_m);
}

void table(const char* title, const std::vector<StationDay>& days) {
  fmt::print(
      "\n{}\n\n| station | epochs | satellites | E N U minus truth, m | "
      "sigma, m | single epochs, 3-D median, m | why |\n"
      "| --- | --- | --- | --- | --- | --- | --- |\n",
      title);
  std::vector<DayRun::Piece> epochs, hours;
  for (const StationDay& day : days) {
    const DayRun r = run(day);
    if (!r.available || !r.failure.empty()) {
      fmt::print("| {} | skipped: {} |\n",
                 day.name,
                 r.available ? r.failure : "no data");
      continue;
    }
    fmt::print("| {} | {} | {} | {} | {:.3f} {:.3f} {:.3f} | {:.2f} | {} |\n",
               day.name,
               r.solution.counts.epochs,
               r.satellites_seen,
               triple(r.difference_m),
               r.solution.sigma_enu_m[0],
               r.solution.sigma_enu_m[1],
               r.solution.sigma_enu_m[2],
               median_3d_m(r.epochs),
               r.solution.why);
    epochs.insert(epochs.end(), r.epochs.begin(), r.epochs.end());
    hours.insert(hours.end(), r.hours.begin(), r.hours.end());
    for (const auto& [what, pieces] :
         {std::pair{"epochs", &r.epochs}, std::pair{"hours", &r.hours}}) {
      const auto s = shares(*pieces);
      fmt::print("|   {} {} | {} |", day.name, what, pieces->size());
      for (const Share& c : s) {
        fmt::print(" {:.0f}/{:.0f} % |",
                   100.0 * c.inside_one / c.n,
                   100.0 * c.inside_two / c.n);
      }
      fmt::print("\n");
    }
  }
  for (const auto& [what, pieces] :
       {std::pair{"all epochs", &epochs}, std::pair{"all hours", &hours}}) {
    if (pieces->empty()) {
      continue;
    }
    const auto s = shares(*pieces);
    fmt::print("| {} | {} |", what, pieces->size());
    for (const Share& c : s) {
      fmt::print(" {:.1f}/{:.1f} % |",
                 100.0 * c.inside_one / c.n,
                 100.0 * c.inside_two / c.n);
    }
    fmt::print("\n");
  }
}

void terms() {
  fmt::print(
      "\nESBC, broadcast orbits, one correction left out\n\n"
      "| term | E N U change, m | single epochs, 3-D median, m |\n"
      "| --- | --- | --- |\n");
  const StationDay& esbc = broadcast_days().front();
  const DayRun whole = run(esbc);
  if (!whole.available || !whole.failure.empty()) {
    return;
  }
  for (const solve::TermName& row : solve::term_names()) {
    const DayRun r = run(esbc, {row.term});
    const Enu change{r.difference_m.e_m - whole.difference_m.e_m,
                     r.difference_m.n_m - whole.difference_m.n_m,
                     r.difference_m.u_m - whole.difference_m.u_m};
    fmt::print("| {} | {} | {:.2f} |\n",
               row.name,
               r.failure.empty() ? triple(change) : r.failure,
               median_3d_m(r.epochs));
  }
}

}  // namespace
}  // namespace stillpoint::test

int main(int argc, char**) {
  stillpoint::test::table("Broadcast orbits",
                          stillpoint::test::broadcast_days());
  stillpoint::test::table("Precise orbits", stillpoint::test::precise_days());
  if (argc > 1) {
    stillpoint::test::terms();
  }
  return 0;
}
