// Product files for a span of time: which are needed, where they may be had,
// and bringing them into a cache. Final products are wanted most, then rapid,
// then ultra-rapid ones; docs/fetch.md says the rules.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/fetch/product_line.h"
#include "stillpoint/fetch/transfer.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::fetch {

struct FetchRequest {
  GnssTime first, last;            // of the observations; at most 31 days
  std::vector<ProductKind> kinds;  // without these nothing is answered
  std::vector<ProductKind> if_there = {};  // without these there is a warning
  Quality worst = Quality::kUltra;         // what would still do
  // Orbits are also wanted this long before and after, since a polynomial
  // through 11 samples is better inside than at its end: 5 samples of 15
  // minutes by default, 86400 for whole days, 0 for none. What is missing of
  // this is a warning.
  double edge_s = 5 * 900.0;
};

// One file that is needed: the first of `begins` that there is. Files that
// overlap have several, the latest first.
struct PlannedFile {
  std::vector<GnssTime> begins;
  bool required = true;  // false: of the edges only
};

struct PlannedLine {
  ProductLine line;
  std::vector<PlannedFile> files;
  // The last of the required files comes about then; GnssTime{} for files
  // without time.
  GnssTime expected;
  // Too early even to ask: half of the usual time is not over.
  bool too_early = false;
};

// Lines that are taken together or not at all.
struct PlannedGroup {
  std::string agency, campaign;
  Quality quality = Quality::kFinal;
  std::vector<PlannedLine> lines;
};

struct FetchPlan {
  std::vector<PlannedGroup> together;  // orbits, clocks, biases, best first
  std::vector<PlannedLine> alone;      // all other kinds, best first
};

// What will be asked for, in order. Asks nobody.
//
//   errors   kUsage (no kind; a span that ends before it begins or is longer
//            than 31 days; times outside 1981 .. 2199; edge_s outside 0 .. 2
//            days), kNoData (the list has no product of a required kind, or
//            no agency with all of orbits, clocks, biases required)
Result<FetchPlan> plan(const FetchRequest& request,
                       const ArchiveList& list,
                       GnssTime now);

// What is not there yet, and when it usually is.
struct Advice {
  ProductKind kind = ProductKind::kOrbits;
  Quality quality = Quality::kFinal;
  GnssTime expected;
  // "final orbits of 2026-11-20 come about 13 days later (from about
  // 2026-12-03)"
  std::string text;
};

// For each required kind and quality of the list the earliest line that is to
// come after `now`; nothing where all of them should be there.
//
//   accuracy   that of latency_s: days for final, hours for others (common
//              practice, no source)
std::vector<Advice> when_to_expect(const FetchPlan& plan,
                                   const FetchRequest& request,
                                   GnssTime now);

struct FetchedFile {
  std::string name;
  std::filesystem::path path;
  std::string url;     // without what follows a '?'
  std::string sha256;  // hexadecimal, of the bytes on the disk
  std::uint64_t size_bytes = 0;
  bool from_cache = false;  // nobody was asked
};

struct KindFiles {
  ProductKind kind = ProductKind::kOrbits;
  Quality quality = Quality::kFinal;
  std::string agency, campaign;
  std::vector<FetchedFile> files;  // in time order
};

struct Fetched {
  std::vector<KindFiles> kinds;  // each kind once, in order of ProductKind
  std::vector<std::string> warnings;
  std::vector<Advice> better_later;       // what would be of better quality
  std::vector<std::string> attributions;  // of the archives used

  // Nothing for a kind that was not found.
  [[nodiscard]] const KindFiles* of(ProductKind kind) const;
};

// Brings the files into `cache`, as CACHE/<kind>/<name>, with CACHE/<kind>/
// <name>.from beside it: where it came from, when, its length and SHA-256.
// A file stands there whole and checked (stillpoint/fetch/content.h), or not
// at all. One process at a time uses a cache.
//
// What is there is not asked for again: final files never; rapid ones for a
// day, ultra-rapid ones for 6 hours, files without time for 30 days, after
// which the old file serves if there is no other. A file that an archive does
// not have is not asked for again there for an hour.
//
//   now      decides all of these; a wrong one asks too often or too seldom
//   errors   as plan(); kNoData when required products are nowhere, with what
//            was tried and when they usually come; kIo when no archive could
//            be reached, or the cache cannot be written
Result<Fetched> fetch(const FetchRequest& request,
                      const ArchiveList& list,
                      const std::filesystem::path& cache,
                      GnssTime now,
                      Transfer& transfer);

// Takes a file out of the cache that its reader could not read, so that it is
// asked for again.
//
//   errors   kIo
Status forget(const FetchedFile& file);

}  // namespace stillpoint::fetch
