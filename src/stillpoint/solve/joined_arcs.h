// Sets of arcs that hang together by epochs that they share.
#pragma once

#include <cstddef>
#include <cstdint>
#include <numeric>
#include <vector>

namespace stillpoint::solve {

class JoinedArcs {
 public:
  // Each of `count` arcs by itself.
  explicit JoinedArcs(std::size_t count) : parent_(count) {
    std::iota(parent_.begin(), parent_.end(), 0U);
  }
  // The same for all arcs of a set.
  std::uint32_t root(std::uint32_t a) {
    while (parent_[a] != a) {
      parent_[a] = parent_[parent_[a]];
      a = parent_[a];
    }
    return a;
  }
  void join(std::uint32_t a, std::uint32_t b) { parent_[root(a)] = root(b); }

 private:
  std::vector<std::uint32_t> parent_;
};

}  // namespace stillpoint::solve
