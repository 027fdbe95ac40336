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

constexpr std::array kMigrations{Migration{1, kVersion1}};

}  // namespace

std::span<const Migration> migrations() {
  return kMigrations;
}

}  // namespace stillpoint
