// A disk that can lose power, fill up or turn read-only, put between SQLite
// and the real one as SQLite's default file layer.
#pragma once

#include <cstdint>
#include <map>
#include <random>
#include <string>
#include <vector>

struct sqlite3_vfs;

namespace stillpoint::test {

// What a disk holds: content by file name without folder.
using DiskImage = std::map<std::string, std::string>;

enum class DiskFault : std::uint8_t { kNone, kFull, kReadOnly };

// While one lives, every database of this process is opened through it. The
// shared memory beside a database (-shm) is not seen: it is no part of what
// survives a loss of power.
class TestDisk {
 public:
  TestDisk();
  TestDisk(const TestDisk&) = delete;
  TestDisk& operator=(const TestDisk&) = delete;
  TestDisk(TestDisk&&) = delete;
  TestDisk& operator=(TestDisk&&) = delete;
  ~TestDisk();

  DiskFault fault = DiskFault::kNone;

  // Writes, truncations, syncs and deletions so far.
  [[nodiscard]] std::size_t operations() const { return operations_; }

  // What could be found after a loss of power now: all that was synced, and of
  // the rest each write whole, torn or not at all, as `chance` has it.
  [[nodiscard]] DiskImage after_power_loss(std::minstd_rand& chance) const;
  // The same with nothing of what was not synced.
  [[nodiscard]] DiskImage synced() const;

  // Called after each operation.
  void (*after_operation)(void* context) = nullptr;
  void* context = nullptr;

  // For the file layer.
  struct Change {
    std::size_t offset = 0;
    std::string bytes;
    bool truncates = false;
  };
  struct File {
    std::string synced;
    std::vector<Change> pending;
  };
  void wrote(const std::string& name, Change change);
  void did_sync(const std::string& name);
  void deleted(const std::string& name);

 private:
  void did_something();

  std::map<std::string, File> files_;
  std::size_t operations_ = 0;
  sqlite3_vfs* previous_;
};

}  // namespace stillpoint::test
