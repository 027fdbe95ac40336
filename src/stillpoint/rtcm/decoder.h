// RTCM 3 messages in, values out: epochs, ephemerides, and what the station
// says about itself.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>

#include "stillpoint/core/bytes.h"
#include "stillpoint/gnss/ephemeris.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rtcm/station.h"
#include "stillpoint/time/gnss_time.h"

namespace stillpoint::rtcm {

// Where an epoch came from.
struct EpochOrigin {
  int station_id = 0;
  bool legacy = false;      // 1001 … 1012 instead of MSM
  bool week_known = false;  // else it counts from a week of its own
};

// Takes what a Decoder finds; every call has a default that ignores it. The
// values are valid during the call only.
class DecoderSink {
 public:
  virtual ~DecoderSink() = default;
  virtual void on_epoch(const Epoch& /*epoch*/, EpochOrigin /*origin*/) {}
  virtual void on_ephemeris(const KeplerEphemeris& /*ephemeris*/) {}
  // Where the week is not known, the day of the set is not either.
  virtual void on_ephemeris(const StateEphemeris& /*ephemeris*/,
                            bool /*week_known*/) {}
  virtual void on_position(const StationPosition& /*position*/, int /*type*/) {}
  virtual void on_antenna(const AntennaDescription& /*antenna*/, int /*type*/) {
  }
  virtual void on_glonass_biases(const GlonassBiases& /*biases*/) {}
  virtual void on_system_parameters(const SystemParameters& /*parameters*/) {}
  virtual void on_text(const TextMessage& /*message*/) {}
  // The week became known, or another one: all epochs so far lie so many weeks
  // later than they were said to.
  virtual void on_week_moved(int /*weeks*/) {}
};

struct DecoderOptions {
  // An instant of the day of the data, when somebody named it.
  std::optional<GnssTime> day;
  // To resolve ten-bit weeks by where neither a day nor a receive time is
  // known: when the file is read, say. Right within ten years.
  GnssTime era;
  // An incomplete epoch is given out after this long [s of receive time].
  double epoch_timeout_s = 0.5;
};

// How a payload fared.
enum class Decoded : std::uint8_t {
  kValues,     // read, its values handed out (or joined to an epoch in work)
  kOpaque,     // a type that is not read here
  kMalformed,  // too short for its type, or numbers that cannot be
};

// True for the types that a Decoder reads.
bool is_decoded_type(int message_type);

// Reads no clock: the caller hands in when the bytes were received, where that
// says anything about the data (a live stream, not a file).
//
//   source   RTCM 10403.3
//   threads  one at a time
class Decoder {
 public:
  // The sink outlives the decoder.
  Decoder(const DecoderOptions& options, DecoderSink& sink);
  ~Decoder();
  Decoder(Decoder&&) = delete;
  Decoder& operator=(Decoder&&) = delete;

  Decoded push(ByteSpan payload, std::optional<GnssTime> received = {});
  // Time passes: gives out an epoch that has waited too long.
  void tick(GnssTime received);
  // The stream ended: gives out the epoch in work.
  void finish();
  // Something tells the week: a day, an ephemeris or the receive time.
  [[nodiscard]] bool week_known() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::rtcm
