#include "stillpoint/archive/fake_inode.h"

#include <algorithm>

namespace stillpoint::archive {
namespace {

constexpr std::size_t kSector = 512;
constexpr std::size_t kPage = 4096;

void copy_sector(const std::vector<std::uint8_t>& from,
                 std::vector<std::uint8_t>& to,
                 std::size_t sector,
                 std::size_t count) {
  const std::size_t begin = sector * kSector;
  const std::size_t end = std::min({begin + count, from.size(), to.size()});
  for (std::size_t i = begin; i < end; ++i) {
    to[i] = from[i];
  }
}

}  // namespace

void FakeInode::set_content(std::vector<std::uint8_t> bytes) {
  now_ = synced_ = std::move(bytes);
  dirty_.clear();
  late_.reset();
}

void FakeInode::write(std::size_t at, ByteSpan bytes) {
  now_.resize(std::max(now_.size(), at + bytes.size()));
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    now_[at + i] = bytes[i];
    dirty_.insert((at + i) / kSector);
  }
}

std::optional<std::size_t> FakeInode::read(std::size_t at,
                                           std::span<std::uint8_t> into) const {
  const std::size_t begin = std::min(at, now_.size());
  const std::size_t count = std::min(into.size(), now_.size() - begin);
  for (const auto& [from, to] : bad_) {
    if (from < begin + count && to > begin) {
      return std::nullopt;
    }
  }
  std::copy_n(now_.data() + begin, count, into.data());
  return count;
}

std::size_t FakeInode::sync() {
  synced_.resize(now_.size());
  std::set<std::size_t> pages;
  for (const std::size_t sector : dirty_) {
    copy_sector(now_, synced_, sector, kSector);
    pages.insert(sector * kSector / kPage);
  }
  dirty_.clear();
  return pages.size() * kPage;
}

bool FakeInode::fail_sync(SyncFailure how) {
  if (how.said_late) {
    if (!late_) {
      late_ = Late{synced_, how.reads_old_content};
    }
    sync();
    return false;
  }
  if (how.reads_old_content) {
    std::vector<std::uint8_t> old = synced_;
    old.resize(now_.size());
    for (const std::size_t sector : dirty_) {
      copy_sector(old, now_, sector, kSector);
    }
  }
  dirty_.clear();
  return true;
}

bool FakeInode::takes_late_failure() {
  if (!late_) {
    return false;
  }
  synced_ = std::move(late_->under);
  synced_.resize(now_.size());
  if (late_->reads_old_content) {
    now_ = synced_;
  }
  dirty_.clear();
  late_.reset();
  return true;
}

void FakeInode::cut_power(std::mt19937_64& random) {
  std::vector<std::uint8_t> left = synced_;
  if (now_.size() > left.size()) {
    left.resize(left.size() + random() % (now_.size() - left.size() + 1));
  }
  for (const std::size_t sector : dirty_) {
    switch (random() % 3) {
      case 0:
        copy_sector(now_, left, sector, kSector);
        break;
      case 1:
        copy_sector(now_, left, sector, random() % kSector);
        break;
      default:
        break;
    }
  }
  set_content(std::move(left));
}

}  // namespace stillpoint::archive
