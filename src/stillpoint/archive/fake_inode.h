// The content of a file on a card that can lose power: what programs see, what
// the card holds, and what a sync that failed leaves of either.
//
// The four behaviours after a failed fsync are those that the paper "Can
// Applications Recover from fsync Failures?" (USENIX ATC 2020) found in file
// systems, as remembered: in all of them the pages count as written afterwards,
// so that the next sync succeeds whoever asks. Reads give the new content from
// memory or the old one; and the failure is said at once or, where the data
// went to a journal first, at the next sync of the file.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <random>
#include <set>
#include <span>
#include <utility>
#include <vector>

#include "stillpoint/core/bytes.h"

namespace stillpoint::archive {

struct SyncFailure {
  bool reads_old_content = false;
  bool said_late = false;
};

class FakeInode {
 public:
  // From here on as if it had always been on the card.
  void set_content(std::vector<std::uint8_t> bytes);
  void write(std::size_t at, ByteSpan bytes);
  // How many bytes; nothing where they lie on a bad part of the card.
  [[nodiscard]] std::optional<std::size_t> read(
      std::size_t at, std::span<std::uint8_t> into) const;
  // For good, whatever is written there.
  void make_unreadable(std::size_t from, std::size_t to) {
    bad_.emplace_back(from, to);
  }

  // Bytes of the pages that were written.
  std::size_t sync();
  // True where the failure is said by this call.
  bool fail_sync(SyncFailure how);
  // A failure of the sync before that is said by this one.
  bool takes_late_failure();

  // The power goes: what is not synced is there, gone or torn.
  void cut_power(std::mt19937_64& random);
  // The same with nothing unsynced left.
  [[nodiscard]] const std::vector<std::uint8_t>& synced() const {
    return synced_;
  }
  [[nodiscard]] const std::vector<std::uint8_t>& now() const { return now_; }

 private:
  std::vector<std::uint8_t> now_, synced_;
  std::set<std::size_t> dirty_;  // sectors
  std::vector<std::pair<std::size_t, std::size_t>> bad_;
  // What is on the card under a journal that will not reach it.
  struct Late {
    std::vector<std::uint8_t> under;
    bool reads_old_content = false;
  };
  std::optional<Late> late_;
};

}  // namespace stillpoint::archive
