#include "tests/validation/integer_campaign_count.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <tuple>

namespace stillpoint::test {
namespace {

// Chance of `hits` or fewer of `count`.
double binomial_to(int hits, int count, double share) {
  double sum = 0;
  for (int k = 0; k <= hits; ++k) {
    sum += std::exp(std::lgamma(count + 1.0) - std::lgamma(k + 1.0) -
                    std::lgamma(count - k + 1.0) + k * std::log(share) +
                    (count - k) * std::log1p(-share));
  }
  return sum;
}

// Where a chance that falls with the share passes a level.
template <class Chance>
double share_at(double level, Chance&& chance) {
  double low = 0, high = 1;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (chance(middle) > level ? low : high) = middle;
  }
  return (low + high) / 2;
}

const CampaignSolve* first_fix(const CampaignStart& start) {
  const auto found = std::ranges::find_if(start.solves, &CampaignSolve::fixed);
  return found == start.solves.end() ? nullptr : &*found;
}

struct Sums {
  int starts = 0, solves = 0, fixes = 0, odd = 0;
  int wrong_first = 0, wrong_ever = 0, wrong_solves = 0, failed_last = 0;
};

Sums sums_of(const CampaignRun& run) {
  Sums s;
  for (const CampaignStart& start : run.starts) {
    ++s.starts;
    const CampaignSolve* first = first_fix(start);
    s.wrong_first += first != nullptr && first->wrong ? 1 : 0;
    bool ever = false;
    for (const CampaignSolve& solve : start.solves) {
      ++s.solves;
      s.fixes += solve.fixed ? 1 : 0;
      s.odd += solve.odd ? 1 : 0;
      s.wrong_solves += solve.wrong ? 1 : 0;
      ever = ever || solve.wrong;
    }
    s.wrong_ever += ever ? 1 : 0;
    s.failed_last += start.solves.back().converged ? 0 : 1;
  }
  return s;
}

void add(const Sums& from, Sums& to) {
  to.starts += from.starts;
  to.solves += from.solves;
  to.fixes += from.fixes;
  to.odd += from.odd;
  to.wrong_first += from.wrong_first;
  to.wrong_ever += from.wrong_ever;
  to.wrong_solves += from.wrong_solves;
  to.failed_last += from.failed_last;
}

// Root mean squares, horizontally and up [mm], and of the components over
// their sigmas.
std::string errors_text(const std::vector<const CampaignSolve*>& solves) {
  if (solves.empty()) {
    return " | | |";
  }
  double flat = 0, up = 0, over = 0;
  for (const CampaignSolve* s : solves) {
    const Enu& e = s->error_m;
    flat += e.e_m * e.e_m + e.n_m * e.n_m;
    up += e.u_m * e.u_m;
    over += std::pow(e.e_m / s->sigma_m[0], 2) +
            std::pow(e.n_m / s->sigma_m[1], 2) +
            std::pow(e.u_m / s->sigma_m[2], 2);
  }
  const auto n = static_cast<double>(solves.size());
  return fmt::format(" {:.1f} | {:.1f} | {:.2f} |",
                     1e3 * std::sqrt(flat / n),
                     1e3 * std::sqrt(up / n),
                     std::sqrt(over / (3 * n)));
}

// Minutes after which a share of all starts had their first fix.
std::string time_text(const CampaignRun& run, double share) {
  std::vector<int> minutes;
  for (const CampaignStart& start : run.starts) {
    const CampaignSolve* first = first_fix(start);
    minutes.push_back(first == nullptr ? 1 << 20 : first->minutes);
  }
  if (minutes.empty()) {
    return "";
  }
  std::ranges::sort(minutes);
  const auto at = static_cast<std::size_t>(
                      std::ceil(share * static_cast<double>(minutes.size()))) -
                  1;
  return minutes[at] == 1 << 20 ? "never" : fmt::format("{}", minutes[at]);
}

std::string row_of(const CampaignRun& run) {
  const Sums s = sums_of(run);
  std::string shares;
  for (const int minutes : run.cell.minutes) {
    const auto by_then =
        std::ranges::count_if(run.starts, [&](const CampaignStart& start) {
          const CampaignSolve* first = first_fix(start);
          return first != nullptr && first->minutes <= minutes;
        });
    fmt::format_to(std::back_inserter(shares),
                   "{}{:.0f}",
                   shares.empty() ? "" : " ",
                   100.0 * static_cast<double>(by_then) / s.starts);
  }
  std::vector<const CampaignSolve*> firsts, lasts;
  for (const CampaignStart& start : run.starts) {
    if (const CampaignSolve* first = first_fix(start)) {
      firsts.push_back(first);
    }
    if (start.solves.back().fixed) {
      lasts.push_back(&start.solves.back());
    }
  }
  return fmt::format(
      "| {} | {} | {} | {} | {} | {} | {} | {}/{} |{}{} {} | {} |\n",
      run.cell.name,
      s.starts,
      shares,
      time_text(run, 0.5),
      time_text(run, 0.9),
      s.wrong_first,
      s.wrong_ever,
      s.wrong_solves,
      s.fixes,
      errors_text(firsts),
      errors_text(lasts),
      s.odd,
      s.failed_last);
}

}  // namespace

bool is_right(const Enu& error_m, const std::array<double, 3>& sigma_m) {
  constexpr double kMostM = 0.03, kSigmas = 3;
  return std::abs(error_m.e_m) <= kMostM + kSigmas * sigma_m[0] &&
         std::abs(error_m.n_m) <= kMostM + kSigmas * sigma_m[1] &&
         std::abs(error_m.u_m) <= kMostM + kSigmas * sigma_m[2];
}

double upper_share(int hits, int count) {
  constexpr double kLevel = 0.05;
  return hits >= count ? 1 : share_at(kLevel, [&](double share) {
    return binomial_to(hits, count, share);
  });
}

double lower_share(int hits, int count) {
  constexpr double kLevel = 0.05;
  return hits <= 0 ? 0 : share_at(1 - kLevel, [&](double share) {
    return binomial_to(hits - 1, count, share);
  });
}

std::string campaign_tables(const std::vector<CampaignRun>& runs) {
  if (runs.empty()) {
    return {};
  }
  std::string text = fmt::format(
      "\nFailure rate {:g} %. First fixes by "
      "the minutes of the cell; errors are root mean squares in mm, over "
      "sigma in units of it.\n\n"
      "| world | starts | fixed, % by min | median, min | 90 %, min | wrong "
      "first | ever | wrong/fixes | first: flat | up | over sigma | last: flat "
      "| up | over sigma | odd | not converged |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | "
      "--- | --- | --- | --- | --- |\n",
      100 * runs.front().failure_rate);
  Sums all, quiet, disturbed;
  for (const CampaignRun& run : runs) {
    text += row_of(run);
    const Sums sums = sums_of(run);
    add(sums, all);
    add(sums, run.cell.disturbed ? disturbed : quiet);
  }
  text +=
      "\n| of all | wrong | of | share, % | upper 95 % bound, % |\n"
      "| --- | --- | --- | --- | --- |\n";
  for (const auto& [what, wrong, of] :
       {std::tuple("starts, first fix", all.wrong_first, all.starts),
        std::tuple("of them quiet", quiet.wrong_first, quiet.starts),
        std::tuple(
            "of them disturbed", disturbed.wrong_first, disturbed.starts),
        std::tuple("starts, any span", all.wrong_ever, all.starts),
        std::tuple("solutions", all.wrong_solves, all.solves),
        std::tuple("fixed solutions", all.wrong_solves, all.fixes)}) {
    if (of > 0) {
      fmt::format_to(std::back_inserter(text),
                     "| {} | {} | {} | {:.3f} | {:.3f} |\n",
                     what,
                     wrong,
                     of,
                     100.0 * wrong / of,
                     100 * upper_share(wrong, of));
    }
  }
  for (const CampaignRun& run : runs) {
    for (const CampaignStart& start : run.starts) {
      for (const CampaignSolve& s : start.solves) {
        if (s.wrong || s.odd) {
          fmt::format_to(std::back_inserter(text),
                         "{}: {}, start {}, {} min: {:+.3f} {:+.3f} {:+.3f} m, "
                         "sigma {:.3f} {:.3f} {:.3f} m\n",
                         s.wrong ? "wrong" : "odd",
                         run.cell.name,
                         start.number,
                         s.minutes,
                         s.error_m.e_m,
                         s.error_m.n_m,
                         s.error_m.u_m,
                         s.sigma_m[0],
                         s.sigma_m[1],
                         s.sigma_m[2]);
        }
      }
    }
  }
  return text;
}

CampaignVerdict judge(const std::vector<CampaignRun>& runs, std::string& why) {
  constexpr double kTimes = 3;
  Sums all;
  for (const CampaignRun& run : runs) {
    const Sums s = sums_of(run);
    add(s, all);
    const auto fixed = std::ranges::count_if(
        run.starts,
        [](const CampaignStart& start) { return first_fix(start) != nullptr; });
    if (run.cell.name == "tie-1-quiet" && 2 * fixed < s.starts) {
      why = fmt::format(
          "{} of {} starts of 1 km were ever fixed", fixed, s.starts);
      return CampaignVerdict::kNeverFixed;
    }
  }
  if (all.starts == 0) {
    why = "no starts";
    return CampaignVerdict::kTooFew;
  }
  const double rate = runs.front().failure_rate;
  const double upper = upper_share(all.wrong_first, all.starts);
  why = fmt::format(
      "{} wrong first fixes in {} starts; upper bound {:.3f} %, allowed "
      "{:.3f} %",
      all.wrong_first,
      all.starts,
      100 * upper,
      100 * kTimes * rate);
  if (upper <= kTimes * rate) {
    return CampaignVerdict::kGood;
  }
  return lower_share(all.wrong_first, all.starts) > rate
             ? CampaignVerdict::kTooMany
             : CampaignVerdict::kTooFew;
}

}  // namespace stillpoint::test
