// One way through a recording: bytes to epochs in ascending order, thinned and
// put to their periods. An export takes two: what there is, then the writing.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/archive_reader.h"
#include "stillpoint/intake/export/decimator.h"
#include "stillpoint/intake/export/epoch_order.h"
#include "stillpoint/intake/export/export_request.h"
#include "stillpoint/intake/stream_reader.h"

namespace stillpoint::intake {

// Where a stretch of the recording begins: an instant near its first epoch, by
// the number of the stretch. Found by a pass that saw its epochs move to
// another week.
using StretchDays = std::map<std::size_t, GnssTime>;

// By stream: the offset up to which it was read. A recording may grow between
// two passes.
using StreamEnds = std::map<std::uint64_t, std::uint64_t>;

// Bytes are read as one stretch until the stream is another one or the receive
// time leaps by more than a day; then decoding begins afresh, since a week can
// no longer be told from the epochs before. Where a clock was set so far in the
// middle of a message, that message is lost to the export.
class ArchivePass : public StreamSink, private archive::ArchiveSink {
 public:
  // `request` and `limits` outlive the pass; nullptr: no limits.
  ArchivePass(const ExportRequest& request,
              StretchDays days,
              const StreamEnds* limits);

  // Reads what was received in [from, to).
  //
  //   errors   as archive::read_archive()
  Status run(FileSystem& files,
             const std::string& root,
             GnssTime from,
             GnssTime to,
             const ExportProgress& progress);

  // Weeks turned out otherwise in a stretch: its instant is in here, and what
  // was found by this pass does not count.
  [[nodiscard]] bool weeks_moved() const { return moved_; }
  [[nodiscard]] const StretchDays& days() const { return days_; }
  [[nodiscard]] const std::vector<archive::Gap>& gaps() const { return gaps_; }
  [[nodiscard]] const StreamEnds& ends() const { return ends_; }
  [[nodiscard]] const StreamCounts& counts() const { return counts_; }
  // Epochs that came again or out of order.
  [[nodiscard]] std::uint64_t disordered() const {
    return msm_.order.left_out() + legacy_.order.left_out();
  }
  // The most that receive times and epochs were apart [s].
  [[nodiscard]] double clock_apart_s() const { return clock_apart_s_; }
  // Of all epochs, those outside of the span too.
  [[nodiscard]] std::optional<GnssTime> first() const { return first_; }
  [[nodiscard]] std::optional<GnssTime> last() const { return last_; }

 protected:
  // An epoch of the span that is to be written; `legacy`: of 1001 … 1012.
  virtual void take(const Period& period,
                    const RecordedEpoch& recorded,
                    bool legacy) = 0;
  // False: nothing more is wanted.
  [[nodiscard]] virtual bool goes_on() const { return true; }

  // The last epoch given out, else the first that came; nothing before that.
  [[nodiscard]] std::optional<GnssTime> epoch_time() const {
    return now_ ? now_ : stretch_first_;
  }
  [[nodiscard]] const ExportRequest& request() const { return request_; }

 private:
  // Epochs of MSM, or of the messages before it.
  struct Lane {
    explicit Lane(std::optional<double> interval_s) : decimator(interval_s) {}
    EpochOrder order;
    Decimator decimator;
    RecordedEpoch room;       // whose memory is used again
    std::uint64_t since = 0;  // offset up to which all was another's
  };

  void on_bytes(const archive::ArchiveBytes& received) override;
  [[nodiscard]] ByteSpan within_limits(
      const archive::ArchiveBytes& received) const;
  void on_gap(const archive::Gap& gap) override;
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override;
  void on_week_moved(int weeks) override;

  void begin_stretch(const archive::ArchiveBytes& bytes);
  void end_stretch();
  void release(Lane& lane, RecordedEpoch& recorded);
  void release_held(Lane& lane);

  const ExportRequest& request_;
  StretchDays days_;
  const StreamEnds* limits_;
  StreamEnds ends_;
  Lane msm_, legacy_;
  std::optional<StreamReader> reader_;
  std::size_t stretches_ = 0;
  std::optional<GnssTime> stretch_first_;  // its first epoch
  archive::ArchiveBytes at_;               // in work
  const ExportProgress* progress_ = nullptr;
  std::uint64_t epochs_ = 0;
  StreamCounts counts_;
  std::vector<archive::Gap> gaps_;
  bool moved_ = false;
  double clock_apart_s_ = 0;
  std::optional<GnssTime> first_, last_, now_;
};

}  // namespace stillpoint::intake
