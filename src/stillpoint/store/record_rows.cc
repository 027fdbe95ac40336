#include "stillpoint/store/record_rows.h"

#include <limits>
#include <utility>

namespace stillpoint {
namespace {

constexpr const char* kAdding = "add a position record";
constexpr const char* kReading = "read the position records";

constexpr Sql kInsert =
    "INSERT INTO position_records (added_gpst_ns, added_by, origin, method,"
    " frame, epoch_gpst_ns, point, x_m, y_m, z_m, cov_xx_m2, cov_xy_m2,"
    " cov_xz_m2, cov_yy_m2, cov_yz_m2, cov_zz_m2, antenna_type, delta_e_m,"
    " delta_n_m, delta_u_m, products, first_gpst_ns, end_gpst_ns, source,"
    " program_version, document_sha256, document)"
    " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14,"
    " ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24, ?25, ?26, ?27)";
// Records ?1 to ?2; their documents only where ?3 is 1.
constexpr Sql kSelect =
    "SELECT id, added_gpst_ns, added_by, origin, method, frame, epoch_gpst_ns,"
    " point, x_m, y_m, z_m, cov_xx_m2, cov_xy_m2, cov_xz_m2, cov_yy_m2,"
    " cov_yz_m2, cov_zz_m2, antenna_type, delta_e_m, delta_n_m, delta_u_m,"
    " products, first_gpst_ns, end_gpst_ns, source, program_version,"
    " document_sha256, CASE WHEN ?3 = 1 THEN document ELSE '' END"
    " FROM position_records WHERE id BETWEEN ?1 AND ?2 ORDER BY id DESC";

std::optional<std::int64_t> ns_of(const std::optional<GnssTime>& time) {
  return time ? std::optional(time->ns()) : std::nullopt;
}

std::optional<GnssTime> time_of(std::optional<std::int64_t> ns) {
  return ns ? std::optional(GnssTime::from_ns(*ns)) : std::nullopt;
}

StoredRecord record_of(const Query& row) {
  StoredRecord stored;
  stored.id = row.integer(0);
  stored.added = GnssTime::from_ns(row.integer(1));
  stored.by = row.text(2);
  PositionRecord& record = stored.record;
  // The table's own checks allow the known origins and points only.
  record.origin = static_cast<RecordOrigin>(row.integer(3));
  record.method = row.text(4);
  FramedPosition& position = record.position;
  position.frame.name = row.text(5);
  position.epoch = GnssTime::from_ns(row.integer(6));
  position.point =
      row.text(7) == point_name(Point::kArp) ? Point::kArp : Point::kMarker;
  position.ecef = {row.real(8), row.real(9), row.real(10)};
  const double xy = row.real(12), xz = row.real(13), yz = row.real(15);
  position.covariance_m2 = {
      row.real(11), xy, xz, xy, row.real(14), yz, xz, yz, row.real(16)};
  record.antenna_type = row.text(17);
  record.delta_enu_m = {row.real(18), row.real(19), row.real(20)};
  record.products = row.text(21);
  record.first = time_of(row.maybe_integer(22));
  record.end = time_of(row.maybe_integer(23));
  record.source = row.text(24);
  record.program_version = row.text(25);
  record.document_sha256 = row.text(26);
  record.document = row.text(27);
  return stored;
}

struct Range {
  std::int64_t first = 1;
  std::int64_t last = std::numeric_limits<std::int64_t>::max();
  Documents documents = Documents::kLeftOut;
};

Result<std::vector<StoredRecord>> read(Database& database, const Range& range) {
  Result<Query> query = database.query(kSelect, kReading);
  if (!query) {
    return fail(std::move(query.error()));
  }
  query->bind(1, range.first)
      .bind(2, range.last)
      .bind(3,
            static_cast<std::int64_t>(range.documents == Documents::kRead ? 1
                                                                          : 0));
  std::vector<StoredRecord> records;
  for (;;) {
    const Result<bool> row = query->next();
    if (!row) {
      return fail(row.error());
    }
    if (!*row) {
      return records;
    }
    records.push_back(record_of(*query));
  }
}

}  // namespace

Status insert_record(Database& database,
                     const PositionRecord& record,
                     const ChangeNote& note) {
  Result<Query> query = database.query(kInsert, kAdding);
  if (!query) {
    return fail(std::move(query.error()));
  }
  const FramedPosition& position = record.position;
  const Cov3& c = position.covariance_m2;
  return query->bind(1, note.at.ns())
      .bind(2, std::string_view(note.by))
      .bind(3, static_cast<std::int64_t>(record.origin))
      .bind(4, std::string_view(record.method))
      .bind(5, std::string_view(position.frame.name))
      .bind(6, position.epoch.ns())
      .bind(7, std::string_view(point_name(position.point)))
      .bind(8, position.ecef.x_m)
      .bind(9, position.ecef.y_m)
      .bind(10, position.ecef.z_m)
      .bind(11, c[0])
      .bind(12, (c[1] + c[3]) / 2)
      .bind(13, (c[2] + c[6]) / 2)
      .bind(14, c[4])
      .bind(15, (c[5] + c[7]) / 2)
      .bind(16, c[8])
      .bind(17, std::string_view(record.antenna_type))
      .bind(18, record.delta_enu_m[0])
      .bind(19, record.delta_enu_m[1])
      .bind(20, record.delta_enu_m[2])
      .bind(21, std::string_view(record.products))
      .bind(22, ns_of(record.first))
      .bind(23, ns_of(record.end))
      .bind(24, std::string_view(record.source))
      .bind(25, std::string_view(record.program_version))
      .bind(26, std::string_view(record.document_sha256))
      .bind(27, std::string_view(record.document))
      .finish();
}

Result<std::vector<StoredRecord>> read_records(Database& database) {
  return read(database, {});
}

Result<std::optional<StoredRecord>> read_record(Database& database,
                                                std::int64_t id,
                                                Documents documents) {
  Result<std::vector<StoredRecord>> records =
      read(database, {id, id, documents});
  if (!records) {
    return fail(std::move(records.error()));
  }
  return records->empty() ? std::nullopt
                          : std::optional(std::move(records->front()));
}

}  // namespace stillpoint
