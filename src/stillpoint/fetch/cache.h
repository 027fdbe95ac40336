// The folder that fetched files are kept in.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/fetch/fetch.h"

namespace stillpoint::fetch {

// What stands beside a file, in lines "word value": url, sha256, size, asked.
struct SideFacts {
  std::string url, sha256;
  std::uint64_t size_bytes = 0;
  GnssTime asked;  // when its archive was last asked
};

class Cache {
 public:
  // Makes the folder and takes its lock, which is free when this, or the
  // process, is gone.
  //
  //   errors   kIo (cannot be made or written; in use by another process)
  static Result<std::unique_ptr<Cache>> open(const std::filesystem::path& root);
  ~Cache();
  Cache(const Cache&) = delete;
  Cache& operator=(const Cache&) = delete;

  struct Found {
    FetchedFile file;
    GnssTime asked;
  };
  // A file of which length and SHA-256 are still right; one that is not whole
  // counts as absent.
  [[nodiscard]] std::optional<Found> find(ProductKind kind,
                                          const std::string& name) const;

  // Where a file is written before it is kept; CACHE/.part/<name>.
  [[nodiscard]] std::filesystem::path part(const std::string& name) const;
  // Checks the part's content and gives it its name in one step.
  //
  //   errors   those of check_content(), then the part is gone; kIo
  Result<FetchedFile> keep(ProductKind kind,
                           const std::string& name,
                           const std::string& url,
                           GnssTime now);
  void drop_part(const std::string& name) const;
  // The archive was asked again and had nothing newer.
  Status mark_asked(const FetchedFile& file, GnssTime now) const;

  // Whether this address had no file less than an hour ago.
  [[nodiscard]] bool missed(const std::string& url,
                            const std::string& name,
                            GnssTime now) const;
  void remember_miss(const std::string& url,
                     const std::string& name,
                     GnssTime now);
  // Writes the misses of the last hour.
  Status save_misses(GnssTime now) const;

 private:
  Cache(std::filesystem::path root, int lock)
      : root_(std::move(root)), lock_(lock) {}
  void read_misses();
  [[nodiscard]] std::filesystem::path place(ProductKind kind,
                                            const std::string& name) const;

  std::filesystem::path root_;
  int lock_ = -1;
  std::map<std::string, GnssTime> misses_;
};

// "<path>.from".
std::filesystem::path side_path(const std::filesystem::path& path);

}  // namespace stillpoint::fetch
