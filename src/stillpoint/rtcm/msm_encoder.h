// Epochs to MSM frames: rows to raw integers, whole cycles, lock times, and
// the split where a message cannot hold all cells.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/rtcm/msm_rows.h"
#include "stillpoint/rtcm/raw_msm.h"

namespace stillpoint::rtcm {

struct MsmEncoderOptions {
  int station_id = 0;  // 0 .. 4095
  int level = 7;       // 1 .. 7
};

// Values that MSM has no place for, left out since the beginning.
struct MsmLeftOut {
  std::uint64_t signals = 0;     // code not in the tables, channel not known
  std::uint64_t values = 0;      // out of the fields' range
  std::uint64_t satellites = 0;  // no range to refer to
};

// Keeps, by signal, since when it is locked and how many whole cycles its
// phase was shifted to lie near the range: the phase of an arc comes back up
// to that whole number. A loss of lock in a row (Observation::lli) restarts
// the lock time; a row without phase does not. Where phase and code have
// drifted so far apart that the field cannot hold it, the shift is chosen anew
// and the lock time restarts, as the standard wants.
class MsmEncoder {
 public:
  explicit MsmEncoder(MsmEncoderOptions options) : options_(options) {}

  // The messages of an epoch in the order GPS, GLONASS, Galileo, SBAS, QZSS,
  // BeiDou, NavIC, the multiple-message bit set in all but the last. A system
  // whose cells do not fit one message gets several.
  //
  //   errors   kOutOfRange for a time that is no whole millisecond, a station
  //            id or a level that does not exist
  Result<std::vector<RawMsm>> encode(const Epoch& epoch,
                                     const GlonassChannels& channels);
  // The same as whole frames.
  Result<std::vector<std::vector<std::uint8_t>>> encode_frames(
      const Epoch& epoch, const GlonassChannels& channels);

  [[nodiscard]] const MsmLeftOut& left_out() const { return left_out_; }

 private:
  struct Arc {
    std::int64_t locked_since_ns = 0;
    double shift_cyc = 0;
    bool known = false;
  };
  using Table = std::array<Arc, std::size_t{64} * 32>;
  struct Cell;
  struct Satellite;

  std::vector<Satellite> satellites_of(const Epoch& epoch,
                                       System system,
                                       const GlonassChannels& channels);
  static std::optional<std::int16_t> common_rate(const Satellite& sat);
  bool set_reference(Satellite& sat);
  void set_fields(Satellite& sat);
  void set_phase(const Satellite& sat, Cell& cell);
  std::vector<RawMsm> messages_of(std::vector<Satellite> satellites,
                                  System system,
                                  std::uint32_t epoch_field);
  Arc& arc(System system, unsigned position, unsigned signal);

  MsmEncoderOptions options_;
  MsmLeftOut left_out_;
  std::int64_t now_ns_ = 0;
  std::array<std::unique_ptr<Table>, kSystemCount> tables_;
};

}  // namespace stillpoint::rtcm
