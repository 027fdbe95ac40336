#include "stillpoint/store/store_test_support.h"

#include <sqlite3.h>
#include <stdlib.h>  // NOLINT(modernize-deprecated-headers): mkdtemp is POSIX

#include <cstdlib>
#include <fstream>
#include <iterator>

#include "stillpoint/time/scales.h"

namespace stillpoint::test {
namespace {

struct Answer {
  std::string problem;
  std::string value;
};

int keep_first(void* answer, int columns, char** values, char** /*names*/) {
  auto* into = static_cast<Answer*>(answer);
  if (into->value.empty() && columns > 0 && values[0] != nullptr) {
    into->value = values[0];
  }
  return 0;
}

Answer ask(const std::filesystem::path& path, const std::string& sql) {
  Answer answer;
  sqlite3* db = nullptr;
  if (sqlite3_open(path.c_str(), &db) == SQLITE_OK) {
    sqlite3_exec(db, sql.c_str(), keep_first, &answer, nullptr);
  }
  if (sqlite3_errcode(db) != SQLITE_OK) {
    answer.problem = sqlite3_errmsg(db);
  }
  sqlite3_close(db);
  return answer;
}

}  // namespace

TempFolder::TempFolder() {
  std::string name =
      (std::filesystem::temp_directory_path() / "stillpoint-store-XXXXXX")
          .string();
  if (::mkdtemp(name.data()) == nullptr) {
    ADD_FAILURE() << "no temporary folder";
    std::abort();
  }
  path_ = name;
}

TempFolder::~TempFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

Store open_or_stop(const std::filesystem::path& path) {
  Result<Store> store = Store::open(path);
  if (!store) {
    ADD_FAILURE() << store.error().text();
    std::abort();
  }
  return std::move(*store);
}

GnssTime at_second(std::int64_t second) {
  const auto day = from_calendar({2026, 11, 25}, TimeScale::kGps);
  return GnssTime::from_ns(day->ns() + second * GnssTime::kNsPerS);
}

GnssTime at_minute(std::int64_t minute) {
  return at_second(60 * minute);
}

LogEntry entry_at(std::int64_t second, LogKind kind, const std::string& text) {
  return {at_second(second), kind, text, {}};
}

std::vector<std::string> texts(const Result<std::vector<StoredEntry>>& answer) {
  std::vector<std::string> found;
  if (!answer) {
    ADD_FAILURE() << answer.error().text();
    return found;
  }
  for (const StoredEntry& stored : *answer) {
    found.push_back(stored.entry.text);
  }
  return found;
}

std::string file_bytes(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void write_bytes(const std::filesystem::path& path, const std::string& bytes) {
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  file << bytes;
}

std::string foreign_sql(const std::filesystem::path& path,
                        const std::string& sql) {
  return ask(path, sql).problem;
}

std::string foreign_answer(const std::filesystem::path& path,
                           const std::string& sql) {
  return ask(path, sql).value;
}

}  // namespace stillpoint::test
