// Counts wrong integers in worlds with a known truth: ties of 1 to 40 km and
// one antenna alone, start after start, each in a world of its own and solved
// over growing spans.
//
//   integer_campaign [--starts N] [--first N] [--rate R…] [--cell NAME…]
//                    [--jobs N] [--fresh] [--until-fix]
//
// N starts of every cell (30). --fresh: each span by a solver of its own, as
// the program would; slower, and the same answers. --until-fix: no longer spans
// after the first fix; many times faster. Prints markdown; what goes
// on, to stderr. Exit 0: good, or too few starts to tell; 1: more wrong ones
// than the rate allows, or the shortest tie is hardly ever fixed; 2: wrong
// words.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <map>
#include <optional>
#include <string_view>
#include <thread>

#include "stillpoint/solve/ppp_solver.h"
#include "tests/validation/integer_campaign_count.h"

namespace stillpoint::test {
namespace {

struct Words {
  int starts = 30;
  int first = 0;
  int jobs = 1;
  bool fresh = false, until_fix = false;
  std::vector<double> rates;
  std::vector<std::string> cells;
};

// A quarter of the shortest wave of a first band, GPS L1 (19 cm).
constexpr double kOddM = 0.047;

// Is a satellite's phase off, on average of its used residuals, against the
// median satellite of its system?
bool has_odd_satellite(const solve::PppSeries& series) {
  std::map<SatId, std::pair<double, int>> sums;
  for (const solve::ResidualPoint& point : series.residuals) {
    if (point.used) {
      auto& [sum, count] = sums[point.sat];
      sum += static_cast<double>(point.phase_m);
      ++count;
    }
  }
  std::map<System, std::vector<double>> means;
  for (const auto& [sat, sum] : sums) {
    means[sat.system].push_back(sum.first / sum.second);
  }
  for (auto& [system, list] : means) {
    std::ranges::sort(list);
    const double middle = list[list.size() / 2];
    if (list.back() - middle > kOddM || middle - list.front() > kOddM) {
      return true;
    }
  }
  return false;
}

CampaignSolve judged(const solve::Solution& solution,
                     const solve::PppSeries& series,
                     const Ecef& truth_m,
                     int minutes) {
  CampaignSolve s;
  s.minutes = minutes;
  s.converged = solution.status == solve::SolveStatus::kConverged;
  if (!solution.position) {
    return s;
  }
  s.fixed = solution.fixed;
  s.error_m = to_enu(solution.position->ecef, truth_m);
  s.sigma_m = solution.sigma_without_calibration_enu_m;
  s.wrong = s.fixed && !is_right(s.error_m, s.sigma_m);
  s.odd = s.fixed && !s.wrong && has_odd_satellite(series);
  return s;
}

// Options that have no failure rate yet keep their own.
template <class Options>
void set_rate(Options& options, double rate) {
  if constexpr (requires { options.failure_rate = rate; }) {
    options.failure_rate = rate;
  }
}

CampaignStart run_start(const CampaignCell& cell,
                        CampaignWorld& world,
                        double rate,
                        const Words& words) {
  CampaignStart start;
  const auto each_span = [&](auto&& begin, auto&& add, auto&& solve_one) {
    std::size_t next = 0;
    begin();
    for (const int minutes : cell.minutes) {
      if (words.fresh) {
        begin();
        next = 0;
      }
      const auto end = static_cast<std::size_t>(
          std::llround(60.0 * minutes / CampaignWorld::kIntervalS));
      world.observe(end + 1);
      for (; next <= end; ++next) {
        add(next);
      }
      start.solves.push_back(solve_one(minutes));
      if (words.until_fix && start.solves.back().fixed) {
        break;
      }
    }
  };
  if (cell.ppp) {
    solve::PppOptions options = world.ppp;
    set_rate(options, rate);
    std::optional<solve::PppSolver> solver;
    each_span([&] { solver.emplace(options, world.source); },
              [&](std::size_t k) { solver->add(world.here[k]); },
              [&](int minutes) {
                const solve::Solution solution = solver->solve();
                return judged(
                    solution, solver->series(), world.here_m, minutes);
              });
    return start;
  }
  solve::TieOptions options = world.tie;
  set_rate(options, rate);
  std::optional<solve::TieSolver> solver;
  each_span([&] { solver.emplace(options, world.source); },
            [&](std::size_t k) { solver->add(world.here[k], world.there[k]); },
            [&](int minutes) {
              const solve::TieAnswer answer = solver->solve();
              return judged(
                  answer.solution, solver->series(), world.here_m, minutes);
            });
  return start;
}

// All starts of a cell, at all rates, by so many threads.
std::vector<CampaignRun> run_cell(const CampaignCell& cell,
                                  const Words& words) {
  const auto count = static_cast<std::size_t>(words.starts);
  std::vector<CampaignRun> runs;
  for (const double rate : words.rates) {
    runs.push_back({cell, rate, std::vector<CampaignStart>(count)});
  }
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    for (std::size_t i = next++; i < count; i = next++) {
      const auto number = static_cast<std::uint64_t>(words.first) + i;
      CampaignWorld world(cell, number);
      for (CampaignRun& run : runs) {
        run.starts[i] = run_start(cell, world, run.failure_rate, words);
        run.starts[i].number = number;
      }
    }
  };
  std::vector<std::jthread> threads;
  threads.reserve(static_cast<std::size_t>(words.jobs));
  for (int i = 0; i < words.jobs; ++i) {
    threads.emplace_back(work);
  }
  threads.clear();  // joins
  return runs;
}

template <class Number>
bool read_number(std::string_view text, Number& into) {
  const auto [end, error] =
      std::from_chars(text.data(), text.data() + text.size(), into);
  return error == std::errc{} && end == text.data() + text.size() && into >= 0;
}

bool read_words(int argc, char** argv, Words& words) {
  std::string_view key;
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word.starts_with("--")) {
      key = word;
      words.fresh = words.fresh || key == "--fresh";
      words.until_fix = words.until_fix || key == "--until-fix";
      continue;
    }
    bool good = true;
    if (key == "--starts") {
      good = read_number(word, words.starts) && words.starts > 0;
    } else if (key == "--first") {
      good = read_number(word, words.first);
    } else if (key == "--jobs") {
      good = read_number(word, words.jobs) && words.jobs > 0;
    } else if (key == "--rate") {
      good = read_number(word, words.rates.emplace_back());
    } else if (key == "--cell") {
      words.cells.emplace_back(word);
    } else {
      good = false;
    }
    if (!good) {
      fmt::print(stderr, "integer_campaign: '{}' after '{}'\n", word, key);
      return false;
    }
  }
  if (words.rates.empty()) {
    words.rates = {0.001, 0.01};
  }
  return true;
}

int run(const Words& words) {
  std::map<double, std::vector<CampaignRun>> by_rate;
  for (const CampaignCell& cell : campaign_cells()) {
    if (!words.cells.empty() &&
        std::ranges::find(words.cells, cell.name) == words.cells.end()) {
      continue;
    }
    const auto begun = std::chrono::steady_clock::now();
    for (CampaignRun& r : run_cell(cell, words)) {
      by_rate[r.failure_rate].push_back(std::move(r));
    }
    const std::chrono::duration<double> took =
        std::chrono::steady_clock::now() - begun;
    fmt::print(stderr,
               "{}: {} starts in {:.1f} s\n",
               cell.name,
               words.starts,
               took.count());
  }
  bool good = !by_rate.empty();
  for (const auto& [rate, runs] : by_rate) {
    std::string why;
    const CampaignVerdict verdict = judge(runs, why);
    constexpr std::array<std::string_view, 4> kNames{
        "good", "too few starts to tell", "too many", "never fixed"};
    fmt::print("{}\nVerdict: {} ({})\n",
               campaign_tables(runs),
               kNames[static_cast<std::size_t>(verdict)],
               why);
    good = good && verdict != CampaignVerdict::kTooMany &&
           verdict != CampaignVerdict::kNeverFixed;
  }
  return good ? 0 : 1;
}

}  // namespace
}  // namespace stillpoint::test

int main(int argc, char** argv) {
  stillpoint::test::Words words;
  return stillpoint::test::read_words(argc, argv, words)
             ? stillpoint::test::run(words)
             : 2;
}
