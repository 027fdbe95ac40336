// Position records: coordinates that somebody or some solution found for the
// antenna, and which of them the broadcast uses. Records and adoptions are only
// ever added; the database itself refuses to change or delete one. A later
// adoption supersedes the earlier.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/store/users.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint {

class Database;

enum class RecordOrigin : std::uint8_t {  // stored; never renumber
  kStation = 1,   // solved by the station from what it recorded
  kImported = 2,  // a document of locate or tie that somebody brought
  kByHand = 3,    // typed, with its source in words
};
const char* record_origin_name(RecordOrigin origin);  // "station", …

struct PositionRecord {
  RecordOrigin origin = RecordOrigin::kImported;
  // As in the documents of locate and tie: "code", "ppp-float", "ppp-fixed",
  // "tie-float", "tie-fixed"; "by-hand".
  std::string method;
  // Frame by its canonical name; of the marker or the antenna's reference
  // point.
  FramedPosition position;
  std::string antenna_type;             // empty: not known
  std::array<double, 3> delta_enu_m{};  // marker to ARP
  std::string products;                 // "final", "rapid", "broadcast", …
  std::optional<GnssTime> first, end;   // of the data; nothing by hand
  std::string source;    // whose coordinate it is, in words; needed by hand
  std::string document;  // the JSON it was read from, whole; empty by hand
  std::string document_sha256;  // lower-case hex; empty by hand
  std::string program_version;  // that computed it; empty by hand
};

struct StoredRecord {
  std::int64_t id = 0;  // 1, 2, 3 … in the order of writing
  GnssTime added;
  std::string by;  // on whose behalf it was added
  PositionRecord record;
};

struct Adoption {
  std::int64_t id = 0;
  std::int64_t record = 0;  // StoredRecord::id
  GnssTime at;
  std::string by, why;  // who and for what reason; neither is empty
};

// threads  as its Store
class PositionRecords {
 public:
  // For Store, which has the connection.
  explicit PositionRecords(Database& database) : database_(&database) {}

  // Adds a record and its entry in the logbook, in one transaction. A document
  // that is there already (same checksum) is not added again. The checksum is
  // believed: whoever brings the document computes it.
  //
  //   returns  the record's id, of the one that is there already too
  //   errors   kOutOfRange for a phase centre, a position that is not 6.3e6 to
  //            6.5e6 m from the Earth's centre, a covariance that is not
  //            symmetric (1e-6 of the largest variance) and positive, texts
  //            that are too long (method, frame, antenna, products, version 64
  //            bytes, source and `by` 500 and 200) or have control characters,
  //            an empty method, frame or `by`, a document without a checksum or
  //            not in UTF-8, data that end before their begin, a record by hand
  //            without a source, or with a document or data; kTooLarge for a
  //            document over 4 MiB; kIo
  Result<std::int64_t> add(const PositionRecord& record,
                           const ChangeNote& note);

  // Makes a record the one that the broadcast uses, with its logbook entry.
  //
  //   why      one line of 1 to 500 bytes
  //   returns  the adoption's id
  //   errors   kNoData for a record that does not exist; kOutOfRange for a
  //            reason or a name that cannot be; kIo
  Result<std::int64_t> adopt(std::int64_t record,
                             std::string_view why,
                             const ChangeNote& note);

  // Newest first. Documents are left out (find() gives them).
  [[nodiscard]] Result<std::vector<StoredRecord>> list() const;
  [[nodiscard]] Result<std::optional<StoredRecord>> find(std::int64_t id) const;
  // Ids of the newest record and adoption, 0 before the first: whether there
  // is anything new.
  struct Newest {
    std::int64_t record = 0, adoption = 0;
    friend bool operator==(const Newest&, const Newest&) = default;
  };
  [[nodiscard]] Result<Newest> newest() const;
  // Every adoption, newest first; the first is the one that holds.
  [[nodiscard]] Result<std::vector<Adoption>> adoptions() const;
  // The record that holds, with its adoption and without its document; nothing
  // before the first.
  [[nodiscard]] Result<std::optional<std::pair<StoredRecord, Adoption>>>
  adopted() const;

 private:
  Database* database_;
};

}  // namespace stillpoint
