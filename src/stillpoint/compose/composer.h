// Which frames leave for rovers: types that the owner drops are left out, the
// station's coordinate is made from the adopted record and stands in for what
// the receiver sends, notices go in between. Frames of the receiver pass as
// they are, byte for byte, but for the two changes of ComposerOptions.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/bytes.h"
#include "stillpoint/core/result.h"
#include "stillpoint/geo/coords.h"
#include "stillpoint/gnss/satellite.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::compose {

struct FrameFacts;

// The coordinate to broadcast: the antenna's reference point.
struct Broadcast {
  Ecef arp_m;
  // The reference point's height over the marker, for 1006; nothing: 1005.
  std::optional<double> antenna_height_m{};
  int itrf_year = 0;  // 0: not said (DF021 is reserved for it)
};

struct ComposerOptions {
  // Message types of the receiver that are left out. Where the last message of
  // an epoch is one of them, the one before is marked as the last instead.
  std::vector<int> drop{};
  // Written into every message that carries one, 0 .. 4095; nothing: that of
  // the receiver's frames, which stay as they are.
  std::optional<int> station_id{};
  double position_every_s = 10, notice_every_s = 60;  // at least 1
};

// Of the receiver's frames, but for `inserted`.
struct ComposerCounts {
  std::uint64_t passed = 0;
  std::uint64_t dropped = 0;   // by the owner's list
  std::uint64_t withheld = 0;  // by the gate
  std::uint64_t replaced = 0;  // positions, by the broadcast
  std::uint64_t inserted = 0;  // frames of our own
};

// Takes frames one after the other and appends what leaves to `out`, always
// whole frames. Begins with the gate open, no broadcast and no notice.
//
//   threads  one at a time
class Composer {
 public:
  // A station id outside 0 .. 4095 is a mistake of the caller's
  // (STILLPOINT_CHECK).
  explicit Composer(ComposerOptions options = {});

  // From the next frame on. Nothing: none sent, and the receiver's own passes
  // where the gate lets it.
  //
  //   errors  kOutOfRange for a coordinate or height that no 1005 or 1006 can
  //           hold; the broadcast stays as it was
  [[nodiscard]] Status set_broadcast(std::optional<Broadcast> broadcast);
  // Whether observations (MSM, 1001 to 1004, 1009 to 1012) and positions (1005,
  // 1006, 1032) leave; ephemerides, names and texts do in any case.
  void set_gate(bool observations, bool position);
  // Sent now and then every notice_every_s; empty: none. Cut to what a 1029
  // can hold (127 characters, 255 bytes). The same text again changes nothing.
  void set_notice(std::string text);

  // Our own frames go in where no epoch is half sent: before its first message
  // or after its last. The first position waits for one whole epoch, or for
  // position_every_s, so that it can say which systems are served.
  //
  //   frame    one whole RTCM 3 frame with a good checksum
  //   steady_s of a clock that never goes back, for the schedule of insertions
  //   now      for the 1029's date and time; nothing: no 1029 is written
  void on_frame(ByteSpan frame,
                double steady_s,
                std::optional<GnssTime> now,
                std::vector<std::uint8_t>& out);

  // To be called every second or so while no frame comes: what is due goes
  // out all the same.
  void on_quiet(double steady_s,
                std::optional<GnssTime> now,
                std::vector<std::uint8_t>& out);

  // What the receiver's own 1005 or 1006 said last: the reference point, and
  // the id that stood in it. Nothing once other frames came for ten minutes
  // without one.
  struct ReceiverPosition {
    Ecef arp_m;
    std::optional<double> antenna_height_m{};
    int station_id = 0;
    int type = 0;                    // 1005, 1006
    bool single_oscillator = false;  // DF142
    int quarter_cycle = 0;           // DF364
  };
  [[nodiscard]] const std::optional<ReceiverPosition>& receiver_position()
      const {
    return receiver_;
  }
  [[nodiscard]] const ComposerCounts& counts() const { return counts_; }

 private:
  // Observation messages of one epoch, the last of which has not come.
  struct Run {
    int type = 0;  // and epoch, of its first message
    std::uint32_t epoch = 0;
    double begun_s = 0;
  };
  // What our position says besides the coordinate.
  struct Tags {
    int station_id = 0;
    bool gps = false, glonass = false, galileo = false;
    friend bool operator==(const Tags&, const Tags&) = default;
  };

  [[nodiscard]] bool is_dropped(int type) const;
  [[nodiscard]] Tags tags(double steady_s) const;
  [[nodiscard]] std::vector<std::uint8_t> own_position(const Tags& tags) const;
  [[nodiscard]] bool position_due(const Tags& tags, double steady_s) const;
  void learn(ByteSpan frame, const FrameFacts& facts, double steady_s);
  void end_stale_run(double steady_s, std::vector<std::uint8_t>& out);
  void follow_run(const FrameFacts& facts, double steady_s);
  void forward(ByteSpan frame,
               const FrameFacts& facts,
               std::vector<std::uint8_t>& out);
  void let_go(bool ends_epoch, std::vector<std::uint8_t>& out);
  void insert(double steady_s,
              std::optional<GnssTime> now,
              std::vector<std::uint8_t>& out);

  ComposerOptions options_;
  bool drops_observations_ = false;
  std::optional<Broadcast> broadcast_;
  bool observations_ = true, position_ = true;
  std::string notice_;

  std::optional<ReceiverPosition> receiver_;
  double receiver_s_ = 0;
  std::optional<int> observed_id_, other_id_;
  std::array<std::optional<double>, kSystemCount> seen_s_;
  std::optional<Run> run_;
  // The last observation message of the run, until it is known whether another
  // one leaves behind it; empty unless observation types are dropped.
  std::vector<std::uint8_t> held_;

  std::optional<double> begun_s_, position_s_, notice_s_;
  bool whole_epoch_ = false;
  bool position_changed_ = false, notice_changed_ = false;
  Tags sent_;
  ComposerCounts counts_;
};

}  // namespace stillpoint::compose
