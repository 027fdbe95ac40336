// Writer of RINEX observation files 2.11, 3.05 and 4.02, plain or in Hatanaka
// compression, one epoch at a time in constant memory.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>

#include "stillpoint/core/result.h"
#include "stillpoint/gnss/epoch.h"
#include "stillpoint/pack/byte_sink.h"
#include "stillpoint/rinex/observation_header.h"

namespace stillpoint::rinex {

enum class Version : std::uint8_t { k211, k305, k402 };

struct ObservationWriterOptions {
  Version version = Version::k305;
  bool hatanaka = false;
  // A phase without a strength digit gets the one that the standard makes of
  // its C/N0, min(max(int(S/6),1),9). Codes keep theirs, blank where unknown.
  bool strength_from_cn0 = true;
};

// What a file could not hold, by a sentence for people ("C1X of Galileo: …")
// and how many values that was.
using LeftOutValues = std::map<std::string, std::uint64_t>;

class ObservationWriter {
 public:
  // Writes the header. Its `columns` say which values are written and in which
  // order; for version 2.11 they are given in the codes of version 3 all the
  // same and mapped (what has no code there is named in left_out()). Columns
  // of another kind than an Observation holds are passed over. A header
  // without first_obs is written with the first epoch. Epochs are in the
  // header's scale; version 2.11 has none for BeiDou and QZSS and gets GPS
  // time then.
  //
  //   errors   kOutOfRange for header text or numbers that do not fit, kNoData
  //            without columns, and what the sink reports
  //   source   RINEX 2.11, 3.05 and 4.02; Hatanaka, "A Compression Format and
  //            Tools for GNSS Observation Data", Bulletin of the GSI 55 (2008)
  static Result<ObservationWriter> begin(const ObservationHeader& header,
                                         ObservationWriterOptions options,
                                         std::unique_ptr<ByteSink> sink);
  ObservationWriter(ObservationWriter&&) noexcept;
  ObservationWriter& operator=(ObservationWriter&&) noexcept;
  ~ObservationWriter();

  // Rows and signals without a column are left out and counted; a value too
  // large for F14.3, or one that rounds to zero (which the format takes for
  // missing), is written as missing and counted. Times are rounded to the
  // 100 ns of an epoch line; version 4.02 without compression says the rest in
  // picoseconds. Bit 2 of the loss-of-lock indicator means something else in
  // version 2 than later: it is dropped where header.version is of the other
  // kind.
  //
  //   errors   kMixedInput for an epoch that is not later than the one before,
  //            kOutOfRange for a year that the version cannot write, and what
  //            the sink reports; the epoch is then not written
  Status add(const Epoch& epoch);
  // Closes the sink. Nothing can be added later.
  //
  //   errors   kNoData without an epoch and without first_obs
  Status finish();

  [[nodiscard]] const LeftOutValues& left_out() const;

 private:
  class Impl;
  explicit ObservationWriter(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace stillpoint::rinex
