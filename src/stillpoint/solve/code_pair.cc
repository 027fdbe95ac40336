#include "stillpoint/solve/code_pair.h"

#include <array>
#include <string_view>

namespace stillpoint::solve {
namespace {

// A band and the attributes acceptable for it, best first.
struct Choice {
  char band;
  std::string_view attributes;
};
struct PairChoice {
  Choice first, second;
};

constexpr std::array kGpsPairs{
    PairChoice{{'1', "WPY"}, {'2', "WPY"}},
    PairChoice{{'1', "C"}, {'2', "WPYLXSC"}},
    PairChoice{{'1', "CXSL"}, {'5', "QXI"}},
};
constexpr std::array kGlonassPairs{
    PairChoice{{'1', "P"}, {'2', "P"}},
    PairChoice{{'1', "C"}, {'2', "CP"}},
};
constexpr std::array kGalileoPairs{
    PairChoice{{'1', "CXBAZ"}, {'5', "QXI"}},
    PairChoice{{'1', "CXBAZ"}, {'7', "QXI"}},
    PairChoice{{'1', "CXBAZ"}, {'8', "QXI"}},
};
constexpr std::array kBeidouPairs{
    PairChoice{{'2', "IXQ"}, {'6', "IXQ"}},
    PairChoice{{'2', "IXQ"}, {'7', "IXQ"}},
    PairChoice{{'1', "PXD"}, {'5', "PXD"}},
};
constexpr std::array kQzssPairs{
    PairChoice{{'1', "CXSLZ"}, {'2', "LXS"}},
    PairChoice{{'1', "CXSLZ"}, {'5', "QXI"}},
};

std::span<const PairChoice> pairs_of(System system) {
  switch (system) {
    case System::kGps:
      return kGpsPairs;
    case System::kGlonass:
      return kGlonassPairs;
    case System::kGalileo:
      return kGalileoPairs;
    case System::kBeidou:
      return kBeidouPairs;
    case System::kQzss:
      return kQzssPairs;
    case System::kSbas:
    case System::kNavic:
      return {};
  }
  return {};
}

const Observation* find(std::span<const Observation> rows,
                        const Choice& choice) {
  const Observation* best = nullptr;
  std::size_t best_rank = choice.attributes.size();
  for (const Observation& row : rows) {
    if (row.signal.band != choice.band || !is_present(row.code_m)) {
      continue;
    }
    const std::size_t rank = choice.attributes.find(row.signal.attribute);
    if (rank < best_rank) {
      best = &row;
      best_rank = rank;
    }
  }
  return best;
}

CodePair ionosphere_free(const Observation* first,
                         const Observation* second,
                         double first_hz,
                         double second_hz) {
  const double a = first_hz * first_hz;
  const double b = second_hz * second_hz;
  return {.first = first,
          .second = second,
          .first_hz = first_hz,
          .second_hz = second_hz,
          .weight_first = a / (a - b),
          .weight_second = -b / (a - b)};
}

}  // namespace

std::optional<CodePair> choose_pair(System system,
                                    std::span<const Observation> rows,
                                    std::optional<int> glonass_channel,
                                    bool single_only) {
  const auto choices = pairs_of(system);
  if (!single_only) {
    for (const PairChoice& choice : choices) {
      const Observation* first = find(rows, choice.first);
      if (first == nullptr) {
        continue;
      }
      const Observation* second = find(rows, choice.second);
      if (second == nullptr) {
        continue;
      }
      const auto f1 = frequency_hz(system, choice.first.band, glonass_channel);
      const auto f2 = frequency_hz(system, choice.second.band, glonass_channel);
      if (f1 && f2) {
        return ionosphere_free(first, second, *f1, *f2);
      }
    }
  }
  for (const PairChoice& choice : choices) {
    const Observation* first = find(rows, choice.first);
    const auto f1 = frequency_hz(system, choice.first.band, glonass_channel);
    if (first != nullptr && f1) {
      return CodePair{.first = first, .first_hz = *f1};
    }
  }
  return std::nullopt;
}

}  // namespace stillpoint::solve
