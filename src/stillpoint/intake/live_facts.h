// A station's stream as it comes: counts, what the station says of itself,
// ephemerides, signals. Fed by one thread; the snapshot is a value.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "stillpoint/intake/live_messages.h"
#include "stillpoint/intake/live_navigation.h"
#include "stillpoint/intake/live_snapshot.h"
#include "stillpoint/intake/stream_reader.h"
#include "stillpoint/quality/signal_watch.h"

namespace stillpoint::intake {

// Takes every epoch that the quality counts go by: of MSM, else of the
// messages before it. Called from within push(), tick() and finish().
using OnEpoch = std::function<void(const Epoch&)>;

class LiveFacts final : private StreamSink {
 public:
  // The reader's options serve both streams.
  explicit LiveFacts(const StreamReaderOptions& options, OnEpoch on_epoch = {});

  // Bytes of the receiver, and when they came; nothing for a recording.
  void push(ByteSpan bytes, std::optional<GnssTime> received);
  // Time passes without bytes.
  void tick(GnssTime received);
  // The stream was cut; what comes next begins afresh, the counts go on.
  void finish() { reader_.finish(); }

  // Bytes of a second stream, of which only the ephemerides count.
  void push_navigation(ByteSpan bytes, std::optional<GnssTime> received);
  // Sets of a file.
  void add_navigation(const NavigationData& data, GnssTime now) {
    navigation_.add(data, now);
  }

  // How it stands.
  //
  //   now  on the clock of the receive times; nothing for a recording
  [[nodiscard]] LiveSnapshot snapshot(std::optional<GnssTime> now) const;

  // Of quality::SignalWatch; none as long as the week is not known.
  std::vector<quality::MinuteRow> take_minutes(GnssTime now);

  // Broadcast orbits from all sets; valid until bytes or sets come in.
  const BroadcastOrbits& orbits() { return navigation_.orbits(); }

 private:
  // Of the second stream.
  struct NavigationSink final : StreamSink {
    explicit NavigationSink(LiveFacts& f) : facts(f) {}
    void on_ephemeris(const KeplerEphemeris& e) override {
      facts.on_ephemeris(e);
    }
    void on_ephemeris(const StateEphemeris& e, bool week_known) override {
      facts.on_ephemeris(e, week_known);
    }
    LiveFacts& facts;
  };

  void on_rtcm(std::optional<int> type, ByteSpan frame) override;
  void on_nmea(const nmea::Sentence& sentence) override;
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override;
  void on_ephemeris(const KeplerEphemeris& e) override;
  void on_ephemeris(const StateEphemeris& e, bool week_known) override;
  void on_position(const rtcm::StationPosition& position, int type) override;
  void on_antenna(const rtcm::AntennaDescription& antenna, int type) override;
  void on_week_moved(int weeks) override;

  [[nodiscard]] bool is_beside_msm(const Epoch& epoch, bool legacy);
  // Now on the clock of the epochs, as far as anything tells.
  [[nodiscard]] std::optional<GnssTime> now() const;
  void describe_signals(LiveSnapshot& snapshot) const;

  OnEpoch on_epoch_;
  std::optional<GnssTime> received_;  // of the bytes at hand
  std::optional<GnssTime> clock_;     // the last receive time of either stream
  std::optional<GnssTime> last_epoch_;        // that was used
  std::optional<GnssTime> last_epoch_clock_;  // when it came
  std::optional<GnssTime> last_msm_;
  bool last_was_legacy_ = false;
  LiveMessages messages_;
  std::map<std::string, std::uint64_t> nmea_;
  StationReport station_;
  std::optional<int> position_type_;
  LiveNavigation navigation_;
  quality::SignalWatch watch_;
  NavigationSink navigation_sink_;
  // Last: they call the others.
  StreamReader reader_, navigation_reader_;
};

}  // namespace stillpoint::intake
