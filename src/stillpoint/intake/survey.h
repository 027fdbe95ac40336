// Watches a stream and says what arrives and what a base still lacks.
#pragma once

#include <array>
#include <bitset>
#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>

#include "stillpoint/intake/contradictions.h"
#include "stillpoint/intake/stream_reader.h"
#include "stillpoint/intake/survey_report.h"

namespace stillpoint::intake {

class Survey final : public StreamSink {
 public:
  explicit Survey(const StreamReaderOptions& options)
      : reader_(options, *this) {}

  // As StreamReader.
  void push(ByteSpan bytes, std::optional<GnssTime> received = {}) {
    reader_.push(bytes, received);
  }
  void tick(GnssTime received) { reader_.tick(received); }
  void finish() { reader_.finish(); }

  // What came so far.
  //
  //   seconds  how long was listened; nothing for a file read at once, which
  //            counts by its epochs
  [[nodiscard]] SurveyReport report(std::optional<double> seconds) const;

 private:
  void on_rtcm(std::optional<int> type, ByteSpan frame) override;
  void on_nmea(const nmea::Sentence& sentence) override;
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override;
  void on_ephemeris(const KeplerEphemeris& e) override { ephemeris(e.sat); }
  void on_ephemeris(const StateEphemeris& e, bool /*week_known*/) override {
    ephemeris(e.sat);
  }
  void on_position(const rtcm::StationPosition& position, int type) override;
  void on_antenna(const rtcm::AntennaDescription& antenna, int type) override;
  void on_glonass_biases(const rtcm::GlonassBiases& biases) override;
  void on_system_parameters(const rtcm::SystemParameters& p) override;
  void on_week_moved(int weeks) override;
  void ephemeris(SatId sat) {
    ephemerides_.set(static_cast<std::size_t>(sat.index()));
  }

  struct Tally {
    std::uint64_t count = 0, bytes = 0, epochs = 0;
    std::optional<GnssTime> first, last;  // of its own epochs
  };
  // Distinct epochs of MSM or of the messages before it.
  struct Epochs {
    std::uint64_t count = 0;
    GnssTime first, last;
    std::map<std::int64_t, std::uint64_t> steps_ms;  // how often each
    void add(GnssTime time);
    void move(int weeks);
  };
  using SatelliteSet = std::bitset<SatId::kIndexCount>;

  [[nodiscard]] EpochsReport epochs_report() const;
  [[nodiscard]] std::optional<SystemReport> system_report(System system) const;
  void list_messages(SurveyReport& report) const;
  void list_lacks(SurveyReport& report) const;
  void lacks_of_station(SurveyReport& report) const;
  void lacks_of_signals(SurveyReport& report) const;

  std::map<std::optional<int>, Tally> tallies_;
  // Of the message before, in a week of its own: only differences matter.
  GnssTime near_ = GnssTime::from_gps_week(2400, 302'400);
  std::map<std::string, std::uint64_t> nmea_;
  std::set<int> station_ids_;
  StationReport station_;
  bool antenna_named_ = false, biases_sent_ = false, whole_ranges_ = false;
  Epochs msm_, legacy_;
  SatelliteSet observed_, ephemerides_;
  std::array<std::set<SignalCode>, kSystemCount> signals_;
  Contradictions contradictions_;
  StreamReader reader_;  // last: it calls the others
};

}  // namespace stillpoint::intake
