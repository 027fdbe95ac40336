// station.db: the station's memory in one SQLite file. Its tables are on the
// page docs/formats/station-db.md.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/store/console_access.h"
#include "stillpoint/store/logbook.h"
#include "stillpoint/store/minutes.h"
#include "stillpoint/store/position_records.h"
#include "stillpoint/store/users.h"

namespace stillpoint {

// What opening did to a file of an older program.
struct Upgrade {
  int from_version = 0;
  int to_version = 0;
  std::string copy;  // path of the database as it was before
};

// An error of one call leaves the store usable: after the disk is cured the
// next call works again.
//
//   threads  one at a time; another thread or program opens a Store of its
//            own on the same path (readers wait for nobody, a writer waits for
//            another up to five seconds)
class Store {
 public:
  // Opens the database, or makes a new one that only its owner may read. A
  // file of an older program is copied to "<path>.version-<n>" and brought up
  // to date.
  //
  //   errors   kIo where the folder is missing, or the disk is full or
  //            read-only; kUnsupported for the file of a newer program and
  //            kBadFormat for a damaged or foreign one: both stay as they are
  static Result<Store> open(const std::filesystem::path& path);

  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;
  Store(Store&&) noexcept;
  Store& operator=(Store&&) noexcept;
  ~Store();

  Logbook& logbook() { return logbook_; }
  Users& users() { return users_; }
  Minutes& minutes() { return minutes_; }
  PositionRecords& positions() { return positions_; }
  ConsoleAccess& console_access() { return console_access_; }

  // Something only where opening found a file of an older program.
  [[nodiscard]] const std::optional<Upgrade>& upgrade() const {
    return upgrade_;
  }

 private:
  explicit Store(std::unique_ptr<Database> database);

  std::unique_ptr<Database> database_;
  Logbook logbook_;
  Users users_;
  Minutes minutes_;
  PositionRecords positions_;
  ConsoleAccess console_access_;
  std::optional<Upgrade> upgrade_;
};

}  // namespace stillpoint
