#include "stillpoint/fetch/product_line.h"

#include "stillpoint/core/check.h"
#include "stillpoint/fetch/words.h"

namespace stillpoint::fetch {
namespace {

struct QualityFacts {
  const char* name;
  const char* letters;
  double latency_s;
};

// Common practice, no source.
constexpr QualityFacts kFacts[kQualities] = {
    {"final", "FIN", 13 * 86400.0},
    {"rapid", "RAP", 17 * 3600.0},
    {"ultra-rapid", "ULT", 3 * 3600.0},
};

const QualityFacts& facts_of(Quality quality) {
  const auto index = static_cast<std::size_t>(quality);
  STILLPOINT_CHECK(index < kQualities);
  return kFacts[index];
}

}  // namespace

const char* kind_word(ProductKind kind) {
  const auto index = static_cast<std::size_t>(kind);
  STILLPOINT_CHECK(index < kProductKinds);
  return kKindWords[index].data();
}

const char* quality_word(Quality quality) {
  const auto index = static_cast<std::size_t>(quality);
  STILLPOINT_CHECK(index < kQualities);
  return kQualityWords[index].data();
}

const char* quality_name(Quality quality) {
  return facts_of(quality).name;
}

const char* quality_letters(Quality quality) {
  return facts_of(quality).letters;
}

double usual_latency_s(Quality quality) {
  return facts_of(quality).latency_s;
}

bool goes_together(ProductKind kind) {
  return kind == ProductKind::kOrbits || kind == ProductKind::kClocks ||
         kind == ProductKind::kBiases;
}

}  // namespace stillpoint::fetch
