// What the tests of this module share: a folder that goes away, packed bytes,
// and archives without a network.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "stillpoint/fetch/fetch.h"

namespace stillpoint::fetch::test {

class TempDir {
 public:
  TempDir();
  ~TempDir();
  TempDir(const TempDir&) = delete;
  TempDir& operator=(const TempDir&) = delete;
  [[nodiscard]] std::filesystem::path path(std::string_view name) const {
    return path_ / name;
  }
  // Writes a file and says its path.
  std::filesystem::path file(std::string_view name,
                             std::string_view content) const;

 private:
  std::filesystem::path path_;
};

std::string gzipped(std::string_view text);
std::string content_of(const std::filesystem::path& path);
GnssTime gpst(std::string_view text);

// Archives by address; what is not in `files` is missing.
class FakeArchives final : public Transfer {
 public:
  Result<TransferAnswer> get(const std::string& url,
                             const std::filesystem::path& path) override;
  // A packed file that says its own address, at the address of its name.
  void has(const std::string& url);

  std::map<std::string, std::string> files;
  std::vector<std::string> down;  // beginnings of addresses that do not answer
  std::vector<std::string> asked;
};

// Daily final and rapid orbits and clocks of AAA and BBB, final biases of BBB,
// ultra-rapid orbits of AAA every 6 hours, Earth rotation of both, antennas;
// two archives.
ArchiveList two_archives();

}  // namespace stillpoint::fetch::test
