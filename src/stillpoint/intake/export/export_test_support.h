// A recording made up for the tests of exports, and files in memory.
#pragma once

#include <gtest/gtest.h>

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/recorder.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/intake/export/export_archive.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::intake::export_test {

using Frames = std::vector<std::uint8_t>;

// A base on paper: GPS G07 and GLONASS R03 (channel 5) on two bands each,
// ranges that change from second to second, phases locked for ever.
class PaperBase {
 public:
  // MSM7 of an epoch.
  Frames epoch(GnssTime time);
  // From the next epoch on the lock counts anew, once.
  void lose_lock(SatId sat, SignalCode signal) { lost_ = {sat, signal}; }
  // The satellite is not seen until further notice.
  void hide(std::optional<SatId> sat) { hidden_ = sat; }

  static Frames position(const Ecef& arp_m, std::optional<double> height_m);
  static Frames antenna(const std::string& name);
  static Frames ephemeris(std::uint8_t gps, GnssTime toe);
  static Frames older(GnssTime time);  // 1004

 private:
  rtcm::MsmEncoder encoder_{{.station_id = 5}};
  std::optional<std::pair<SatId, SignalCode>> lost_;
  std::optional<SatId> hidden_;
};

inline const Ecef kArp{4'278'000.0, 671'000.0, 4'665'000.0};
inline constexpr SatId kG07{System::kGps, 7};
inline constexpr SatId kR03{System::kGlonass, 3};

// When most recordings here begin, and the name of their day.
inline const GnssTime kTen = *parse_time("2026-06-02T10:00:00");
inline const std::string kDayName = "LHOL00XXX_S_20261530000_01D_01S_MO.rnx";

// Segments in a folder that goes away.
class Recording {
 public:
  Recording();
  ~Recording();
  Recording(const Recording&) = delete;
  Recording& operator=(const Recording&) = delete;

  void add(const Frames& bytes, GnssTime received);
  // An epoch a second, [from, from + seconds), received 0.2 s later.
  void add_epochs(PaperBase& base, GnssTime from, int seconds);
  // Nothing more is written; needed before reading.
  void close();
  // The program ends without a word, and begins again later.
  void break_off();

  [[nodiscard]] const std::string& root() const { return root_; }
  [[nodiscard]] FileSystem& files() { return *files_; }
  // The paths of the segments.
  [[nodiscard]] std::vector<std::string> segments() const;
  [[nodiscard]] std::uint64_t bytes() const { return bytes_; }

 private:
  void open(GnssTime now);

  std::string root_;
  std::unique_ptr<FileSystem> files_;
  std::unique_ptr<archive::Recorder> recorder_;
  GnssTime now_;
  std::uint64_t bytes_ = 0;
};

struct ReadBack {
  rinex::ObservationHeader header;
  std::vector<Epoch> epochs;
};

// An export and what it wrote, by name.
struct Exported {
  ExportAnswer answer;
  std::map<std::string, std::string> files;

  [[nodiscard]] ReadBack observations(const std::string& name) const;
  [[nodiscard]] rinex::NavigationFile navigation(const std::string& name) const;
  [[nodiscard]] bool warns(const std::string& code) const;
  [[nodiscard]] std::vector<std::string> names() const;
};

ExportRequest request();
// The test has failed where this is empty.
Exported exported(Recording& recording, const ExportRequest& request);
Result<ExportAnswer> tried(Recording& recording, const ExportRequest& request);

// Seconds of the epochs since an instant.
std::vector<double> times_of(const ReadBack& back, GnssTime since);

// A row of an epoch; the test has failed where it is not there.
Observation row_of(const Epoch& epoch, SatId sat, const char* signal);

}  // namespace stillpoint::intake::export_test
