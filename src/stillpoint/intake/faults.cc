#include "stillpoint/intake/faults.h"

namespace stillpoint::intake {
namespace {

constexpr double kRange = 4294967296.0;  // of mt19937

}  // namespace

ByteSpan Faults::apply(ByteSpan piece) {
  const auto happens = [this](double share) {
    return share > 0 && static_cast<double>(random_()) < share * kRange;
  };
  if (happens(options_.drop)) {
    ++counts_.pieces_dropped;
    counts_.bytes_dropped += piece.size();
    return {};
  }
  if (options_.flip <= 0) {
    return piece;
  }
  piece_.assign(piece.begin(), piece.end());
  for (std::uint8_t& byte : piece_) {
    if (happens(options_.flip)) {
      byte = static_cast<std::uint8_t>(byte ^ (1U << (random_() % 8)));
      ++counts_.bits_flipped;
    }
  }
  return piece_;
}

}  // namespace stillpoint::intake
