// One file after the other, from the cache or the archives.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "stillpoint/fetch/cache.h"
#include "stillpoint/fetch/fetch.h"

namespace stillpoint::fetch {

using MaybeFile = std::optional<FetchedFile>;

class FileWalk {
 public:
  // All that is given outlives this.
  FileWalk(const ArchiveList& list,
           Cache& cache,
           GnssTime now,
           Transfer& transfer);

  // The file of a line that begins then: from the cache, or from the first
  // archive that has it. Nothing where none has.
  //
  //   errors   kIo, kInternal: the cache cannot be written
  Result<MaybeFile> take(const ProductLine& line, GnssTime begins);

  // Archives failed, and nothing was learned.
  [[nodiscard]] bool nobody_answered() const {
    return answered_ == 0 && failed_ > 0;
  }
  // Where there was one.
  [[nodiscard]] const Error& first_failure() const { return why_; }
  // The first failures, for people.
  [[nodiscard]] const std::vector<std::string>& troubles() const {
    return troubles_;
  }

 private:
  Result<MaybeFile> ask(const ProductLine& line,
                        const std::string& name,
                        const std::string& url,
                        int& failures);

  const ArchiveList* list_;
  Cache* cache_;
  GnssTime now_;
  Transfer* transfer_;
  std::vector<int> failures_;  // of each archive
  std::size_t answered_ = 0, failed_ = 0;
  Error why_;
  std::vector<std::string> troubles_;
};

}  // namespace stillpoint::fetch
