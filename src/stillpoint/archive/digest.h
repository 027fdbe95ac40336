// SHA-256, in pieces.
#pragma once

#include <array>
#include <cstdint>
#include <memory>

#include "stillpoint/core/bytes.h"

namespace stillpoint::archive {

using Digest = std::array<std::uint8_t, 32>;

class Sha256 {
 public:
  Sha256();
  Sha256(const Sha256&) = delete;
  Sha256& operator=(const Sha256&) = delete;
  Sha256(Sha256&&) noexcept;
  Sha256& operator=(Sha256&&) noexcept;
  ~Sha256();

  void add(ByteSpan bytes);
  // Of all bytes so far; more may follow.
  [[nodiscard]] Digest value() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::archive
