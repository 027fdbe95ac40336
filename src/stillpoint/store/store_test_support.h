// A folder that goes away after the test, and short ways to make entries.
#pragma once

#include <gtest/gtest.h>

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "stillpoint/store/store.h"

namespace stillpoint::test {

class TempFolder {
 public:
  TempFolder();
  TempFolder(const TempFolder&) = delete;
  TempFolder& operator=(const TempFolder&) = delete;
  TempFolder(TempFolder&&) = delete;
  TempFolder& operator=(TempFolder&&) = delete;
  ~TempFolder();
  [[nodiscard]] std::filesystem::path operator/(const char* name) const {
    return path_ / name;
  }

 private:
  std::filesystem::path path_;
};

// An open store, or a stopped test.
Store open_or_stop(const std::filesystem::path& path);

GnssTime at_second(std::int64_t second);  // after 2026-11-25 00:00 GPST
GnssTime at_minute(std::int64_t minute);
LogEntry entry_at(std::int64_t second,
                  LogKind kind = LogKind::kSourceBack,
                  const std::string& text = "bytes come again");

// Texts of the answer, in its order.
std::vector<std::string> texts(const Result<std::vector<StoredEntry>>& answer);

std::string file_bytes(const std::filesystem::path& path);
void write_bytes(const std::filesystem::path& path, const std::string& bytes);

// Runs SQL on the file as another program would: with nothing of the store's
// code, and reports what SQLite says ("" for success).
std::string foreign_sql(const std::filesystem::path& path,
                        const std::string& sql);
// The first column of the first row, as text.
std::string foreign_answer(const std::filesystem::path& path,
                           const std::string& sql);

}  // namespace stillpoint::test
