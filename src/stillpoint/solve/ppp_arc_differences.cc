#include "stillpoint/solve/ppp_arc_differences.h"

#include <array>
#include <numeric>

namespace stillpoint::solve {
namespace {

// Sets of arcs that hang together by epochs that they share.
class Groups {
 public:
  explicit Groups(std::size_t size) : parent_(size) {
    std::iota(parent_.begin(), parent_.end(), 0U);
  }
  std::uint32_t root(std::uint32_t a) {
    while (parent_[a] != a) {
      parent_[a] = parent_[parent_[a]];
      a = parent_[a];
    }
    return a;
  }
  void unite(std::uint32_t a, std::uint32_t b) { parent_[root(a)] = root(b); }

 private:
  std::vector<std::uint32_t> parent_;
};

}  // namespace

std::vector<ArcDifference> arc_differences(
    const PppSession& session,
    const std::vector<bool>& free,
    const std::vector<double>& strength) {
  Groups groups(session.arcs.size());
  constexpr std::uint32_t kNone = ~0U;
  for (const PppEpoch& epoch : session.epochs) {
    std::array<std::uint32_t, kSystemCount> first;
    first.fill(kNone);
    for (const PppRow& r : session.rows_of(epoch)) {
      if (!r.phase_used() || !free[r.arc]) {
        continue;
      }
      std::uint32_t& with = first[static_cast<std::size_t>(r.sat.system)];
      if (with == kNone) {
        with = r.arc;
      } else {
        groups.unite(with, r.arc);
      }
    }
  }
  std::vector<std::uint32_t> reference(session.arcs.size(), kNone);
  for (std::uint32_t a = 0; a < free.size(); ++a) {
    if (free[a]) {
      std::uint32_t& best = reference[groups.root(a)];
      if (best == kNone || strength[a] > strength[best]) {
        best = a;
      }
    }
  }
  std::vector<ArcDifference> out;
  for (std::uint32_t a = 0; a < free.size(); ++a) {
    if (free[a] && reference[groups.root(a)] != a) {
      out.push_back({a, reference[groups.root(a)]});
    }
  }
  return out;
}

}  // namespace stillpoint::solve
