#include "stillpoint/store/schema.h"

#include <array>

namespace stillpoint {
namespace {

// STRICT holds each column to its type. The names of the kinds have a table of
// their own, so that a later kind is a row and not a rebuilt table.
//
// Details of an entry are one JSON text and not a table of keys and values:
// they are written once with the entry, read with it, never searched; one row
// costs one write and one pair of triggers, and any tool can read it.
//
// The minute table's key begins with the time: each batch then touches the
// last page only, and what is old goes from the front. The other order would
// write a page a series and minute.
constexpr Sql kVersion1 = R"sql(
CREATE TABLE logbook_kind (
  number INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
) STRICT;
INSERT INTO logbook_kind (number, name) VALUES
  (1, 'started'),
  (2, 'stopped'),
  (3, 'gap'),
  (4, 'bytes_lost'),
  (5, 'source_silent'),
  (6, 'source_back'),
  (7, 'rover_came'),
  (8, 'rover_went'),
  (9, 'configuration_changed'),
  (10, 'segment_given_up'),
  (11, 'clock_stepped'),
  (12, 'certificate_reloaded'),
  (13, 'user_changed');

CREATE TABLE logbook (
  id INTEGER PRIMARY KEY CHECK (id > 0),
  at_gpst_ns INTEGER NOT NULL,
  kind INTEGER NOT NULL REFERENCES logbook_kind (number),
  text TEXT NOT NULL,
  details TEXT NOT NULL
) STRICT;
CREATE INDEX logbook_by_time ON logbook (at_gpst_ns);
CREATE INDEX logbook_by_kind ON logbook (kind, at_gpst_ns);
CREATE TRIGGER logbook_refuses_update BEFORE UPDATE ON logbook BEGIN
  SELECT RAISE(ABORT, 'the logbook is append-only');
END;
CREATE TRIGGER logbook_refuses_delete BEFORE DELETE ON logbook BEGIN
  SELECT RAISE(ABORT, 'the logbook is append-only');
END;
CREATE TRIGGER logbook_refuses_replace BEFORE INSERT ON logbook
WHEN EXISTS (SELECT 1 FROM logbook WHERE id = NEW.id) BEGIN
  SELECT RAISE(ABORT, 'the logbook is append-only');
END;

CREATE TABLE users (
  name TEXT PRIMARY KEY,
  kind INTEGER NOT NULL CHECK (kind IN (1, 2)),
  secret_hash TEXT NOT NULL,
  max_connections INTEGER CHECK (max_connections >= 0),
  max_bytes_per_hour INTEGER CHECK (max_bytes_per_hour >= 0),
  enabled INTEGER NOT NULL CHECK (enabled IN (0, 1))
) STRICT, WITHOUT ROWID;

CREATE TABLE series (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE
) STRICT;
CREATE TABLE minutes (
  minute_gpst_ns INTEGER NOT NULL CHECK (minute_gpst_ns % 60000000000 = 0),
  series INTEGER NOT NULL REFERENCES series (id),
  count INTEGER NOT NULL CHECK (count > 0),
  sum REAL NOT NULL,
  min REAL NOT NULL,
  max REAL NOT NULL,
  PRIMARY KEY (minute_gpst_ns, series)
) STRICT, WITHOUT ROWID;

PRAGMA application_id = 1397769282;
PRAGMA user_version = 1;
)sql";

// Records and adoptions are append-only as the logbook is. A record's document
// stands in the last column, so that lists do not read it.
//
// Nothing but the secret's hash finds a session, so it is the key; sessions go
// with their user.
constexpr Sql kVersion2 = R"sql(
INSERT INTO logbook_kind (number, name) VALUES
  (14, 'record_added'),
  (15, 'adopted'),
  (16, 'trust_changed'),
  (17, 'claim_opened'),
  (18, 'claimed'),
  (19, 'claim_refused'),
  (20, 'signed_in'),
  (21, 'signed_out'),
  (22, 'sign_in_refused'),
  (23, 'solve_started'),
  (24, 'solve_ended'),
  (25, 'export_made');

ALTER TABLE users ADD COLUMN role INTEGER
  CHECK (role IS NULL OR (role IN (1, 2, 3) AND kind = 1));

CREATE TABLE position_records (
  id INTEGER PRIMARY KEY CHECK (id > 0),
  added_gpst_ns INTEGER NOT NULL,
  added_by TEXT NOT NULL,
  origin INTEGER NOT NULL CHECK (origin IN (1, 2, 3)),
  method TEXT NOT NULL,
  frame TEXT NOT NULL,
  epoch_gpst_ns INTEGER NOT NULL,
  point TEXT NOT NULL CHECK (point IN ('marker', 'arp')),
  x_m REAL NOT NULL,
  y_m REAL NOT NULL,
  z_m REAL NOT NULL,
  cov_xx_m2 REAL NOT NULL CHECK (cov_xx_m2 > 0),
  cov_xy_m2 REAL NOT NULL,
  cov_xz_m2 REAL NOT NULL,
  cov_yy_m2 REAL NOT NULL CHECK (cov_yy_m2 > 0),
  cov_yz_m2 REAL NOT NULL,
  cov_zz_m2 REAL NOT NULL CHECK (cov_zz_m2 > 0),
  antenna_type TEXT NOT NULL,
  delta_e_m REAL NOT NULL,
  delta_n_m REAL NOT NULL,
  delta_u_m REAL NOT NULL,
  products TEXT NOT NULL,
  first_gpst_ns INTEGER,
  end_gpst_ns INTEGER,
  source TEXT NOT NULL,
  program_version TEXT NOT NULL,
  document_sha256 TEXT NOT NULL,
  document TEXT NOT NULL,
  CHECK ((first_gpst_ns IS NULL) = (end_gpst_ns IS NULL)),
  CHECK ((document = '') = (document_sha256 = ''))
) STRICT;
CREATE UNIQUE INDEX position_records_by_document
  ON position_records (document_sha256) WHERE document_sha256 <> '';
CREATE TRIGGER position_records_refuses_update BEFORE UPDATE
ON position_records BEGIN
  SELECT RAISE(ABORT, 'position records are append-only');
END;
CREATE TRIGGER position_records_refuses_delete BEFORE DELETE
ON position_records BEGIN
  SELECT RAISE(ABORT, 'position records are append-only');
END;
CREATE TRIGGER position_records_refuses_replace BEFORE INSERT
ON position_records
WHEN EXISTS (SELECT 1 FROM position_records WHERE id = NEW.id)
  OR (NEW.document_sha256 <> '' AND EXISTS (
    SELECT 1 FROM position_records
    WHERE document_sha256 <> '' AND document_sha256 = NEW.document_sha256))
BEGIN
  SELECT RAISE(ABORT, 'position records are append-only');
END;

CREATE TABLE adoptions (
  id INTEGER PRIMARY KEY CHECK (id > 0),
  record INTEGER NOT NULL REFERENCES position_records (id),
  at_gpst_ns INTEGER NOT NULL,
  adopted_by TEXT NOT NULL CHECK (adopted_by <> ''),
  why TEXT NOT NULL CHECK (why <> '')
) STRICT;
CREATE TRIGGER adoptions_refuses_update BEFORE UPDATE ON adoptions BEGIN
  SELECT RAISE(ABORT, 'adoptions are append-only');
END;
CREATE TRIGGER adoptions_refuses_delete BEFORE DELETE ON adoptions BEGIN
  SELECT RAISE(ABORT, 'adoptions are append-only');
END;
CREATE TRIGGER adoptions_refuses_replace BEFORE INSERT ON adoptions
WHEN EXISTS (SELECT 1 FROM adoptions WHERE id = NEW.id) BEGIN
  SELECT RAISE(ABORT, 'adoptions are append-only');
END;

CREATE TABLE console_claim (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  code_hash TEXT NOT NULL,
  made_gpst_ns INTEGER NOT NULL,
  ends_gpst_ns INTEGER NOT NULL
) STRICT;

CREATE TABLE console_sessions (
  secret_hash TEXT PRIMARY KEY,
  user TEXT NOT NULL REFERENCES users (name) ON DELETE CASCADE,
  csrf TEXT NOT NULL,
  made_gpst_ns INTEGER NOT NULL,
  last_used_gpst_ns INTEGER NOT NULL,
  ends_gpst_ns INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX console_sessions_by_user ON console_sessions (user);

PRAGMA user_version = 2;
)sql";

constexpr std::array kMigrations{Migration{1, kVersion1},
                                 Migration{2, kVersion2}};

}  // namespace

std::span<const Migration> migrations() {
  return kMigrations;
}

}  // namespace stillpoint
