#include "stillpoint/fetch/file_walk.h"

#include <utility>

#include "stillpoint/fetch/file_name.h"

namespace stillpoint::fetch {
namespace {

// After this many failures an archive is left alone for the rest of the call.
constexpr int kMostFailures = 2;
constexpr std::size_t kMostTroublesTold = 8;

// How long a file serves before its archive is asked for a newer one [s];
// agencies replace rapid and ultra-rapid files now and then.
std::optional<double> serves_s(const ProductLine& line) {
  if (line.span_s <= 0) {
    return 30 * 86400.0;
  }
  switch (line.quality) {
    case Quality::kFinal:
      return std::nullopt;
    case Quality::kRapid:
      return 86400.0;
    case Quality::kUltra:
      break;
  }
  return 6 * 3600.0;
}

bool still_serves(const ProductLine& line, GnssTime asked, GnssTime now) {
  const auto limit_s = serves_s(line);
  return !limit_s || (now - asked).s < *limit_s;
}

}  // namespace

FileWalk::FileWalk(const ArchiveList& list,
                   Cache& cache,
                   GnssTime now,
                   Transfer& transfer)
    : list_(&list),
      cache_(&cache),
      now_(now),
      transfer_(&transfer),
      failures_(list.archives.size()) {}

Result<MaybeFile> FileWalk::take(const ProductLine& line, GnssTime begins) {
  const std::string name = file_name(line, begins);
  auto cached = cache_->find(line.kind, name);
  if (cached && still_serves(line, cached->asked, now_)) {
    ++answered_;
    return std::move(cached->file);
  }
  const std::size_t failed_before = failed_;
  for (std::size_t i = 0; i < list_->archives.size(); ++i) {
    const std::string url = file_url(list_->archives[i], line, begins);
    auto file = ask(line, name, url, failures_[i]);
    if (!file || *file) {
      return file;
    }
  }
  if (!cached) {
    return MaybeFile{};
  }
  ++answered_;
  if (failed_ == failed_before) {
    if (auto state = cache_->mark_asked(cached->file, now_); !state) {
      return fail(std::move(state.error()));
    }
  }
  return std::move(cached->file);
}

Result<MaybeFile> FileWalk::ask(const ProductLine& line,
                                const std::string& name,
                                const std::string& url,
                                int& failures) {
  if (failures >= kMostFailures) {
    ++failed_;
    return MaybeFile{};
  }
  if (cache_->missed(url, name, now_)) {
    ++answered_;
    return MaybeFile{};
  }
  auto answer = transfer_->get(url, cache_->part(name));
  if (!answer) {
    cache_->drop_part(name);
    return fail(std::move(answer.error()));
  }
  if (answer->outcome == TransferOutcome::kDone) {
    auto kept = cache_->keep(line.kind, name, url, now_);
    if (kept) {
      ++answered_;
      return std::move(*kept);
    }
    if (kept.error().code == ErrorCode::kIo ||
        kept.error().code == ErrorCode::kInternal) {
      return fail(std::move(kept.error()));
    }
    answer->outcome = TransferOutcome::kFailed;
    answer->why = std::move(kept.error());
    answer->why.where = public_part(url);
  }
  cache_->drop_part(name);
  if (answer->outcome == TransferOutcome::kMissing) {
    ++answered_;
    cache_->remember_miss(url, name, now_);
    return MaybeFile{};
  }
  ++failed_;
  ++failures;
  if (why_.what.empty()) {
    why_ = answer->why;
  }
  if (troubles_.size() < kMostTroublesTold) {
    troubles_.push_back(answer->why.text());
  }
  return MaybeFile{};
}

}  // namespace stillpoint::fetch
