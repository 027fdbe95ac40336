#include "stillpoint/rinex/observation_writer.h"

#include <optional>
#include <utility>

#include "stillpoint/core/check.h"
#include "stillpoint/rinex/hatanaka_writer.h"
#include "stillpoint/rinex/header_writer.h"
#include "stillpoint/rinex/observation_writer_fields.h"
#include "stillpoint/rinex/observation_writer_lines.h"
#include "stillpoint/rinex/observation_writer_rows.h"
#include "stillpoint/rinex/observation_writer_time.h"

namespace stillpoint::rinex {
namespace {

constexpr std::size_t kPiece = std::size_t{256} * 1024;

// F12.9 and F15.12 hold less than 100 s, less than 10 s when negative.
struct ClockFormat {
  double units_per_s;
  std::int64_t least, most;
};
constexpr ClockFormat clock_format(Version version) {
  constexpr std::int64_t k1e10 = 10'000'000'000;
  return version == Version::k211
             ? ClockFormat{1e9, -k1e10 + 1, 10 * k1e10 - 1}
             : ClockFormat{1e12, -1000 * k1e10 + 1, 10'000 * k1e10 - 1};
}

}  // namespace

class ObservationWriter::Impl {
 public:
  Impl(const ObservationHeader& header,
       ObservationWriterOptions options,
       std::unique_ptr<ByteSink> sink)
      : options_(options),
        header_(header),
        sink_(std::move(sink)),
        rows_(header, options),
        scale_(written_scale(header, options.version)),
        heads_(options.version,
               scale_,
               options.version == Version::k402 && !options.hatanaka),
        hatanaka_(options.version == Version::k211 ? 1 : 3) {}

  // A header without its first epoch is tried out here, to tell mistakes
  // early, and written by add().
  Status begin() {
    bool any = false;
    for (const auto& columns : rows_.columns().by_system) {
      any = any || !columns.empty();
    }
    if (!any) {
      return fail(ErrorCode::kNoData,
                  "no observation type that this version can hold",
                  "RINEX header",
                  "choose a newer version, or other signals");
    }
    auto tried = header_text_of(header_.first_obs.value_or(GnssTime{}));
    if (!tried) {
      return fail(std::move(tried.error()));
    }
    return header_.first_obs ? write_header(*header_.first_obs) : ok();
  }

  Status add(const Epoch& epoch);
  Status finish();
  [[nodiscard]] const LeftOutValues& left_out() const {
    return rows_.left_out();
  }

 private:
  Result<std::string> header_text_of(GnssTime first_obs) {
    std::string text;
    if (options_.hatanaka) {
      auto before = compression_text(header_, options_.version);
      if (!before) {
        return before;
      }
      text = std::move(*before);
    }
    auto header =
        header_text(header_, rows_.columns(), options_.version, first_obs);
    if (!header) {
      return header;
    }
    text += *header;
    return text;
  }

  Status write_header(GnssTime first_obs) {
    auto text = header_text_of(first_obs);
    if (!text) {
      return fail(std::move(text.error()));
    }
    has_header_ = true;
    buffer_ += *text;
    return ok();
  }

  void place_clock(const Epoch& epoch);
  Status flush();

  ObservationWriterOptions options_;
  ObservationHeader header_;
  std::unique_ptr<ByteSink> sink_;
  RowPlacer rows_;
  TimeScale scale_;
  EpochHeads heads_;
  HatanakaWriter hatanaka_;
  EpochRecord record_;
  std::string buffer_;
  std::optional<EpochHeads::Printed> last_;
  bool has_header_ = false;
  bool finished_ = false;
};

void ObservationWriter::Impl::place_clock(const Epoch& epoch) {
  record_.clock = kNoNumber;
  if (!epoch.receiver_clock_s) {
    return;
  }
  const ClockFormat format = clock_format(options_.version);
  const std::int64_t clock =
      nearest_units(*epoch.receiver_clock_s, format.units_per_s);
  if (clock < format.least || clock > format.most) {
    rows_.leave_out("receiver clock offsets that do not fit their columns");
    return;
  }
  record_.clock = clock;
}

Status ObservationWriter::Impl::flush() {
  Status written = sink_->write(buffer_);
  buffer_.clear();
  return written;
}

Status ObservationWriter::Impl::add(const Epoch& epoch) {
  STILLPOINT_CHECK(!finished_);
  const EpochHeads::Printed printed = heads_.printed(epoch.time);
  const bool later =
      !last_ || printed.time > last_->time ||
      (printed.time == last_->time && printed.picoseconds > last_->picoseconds);
  if (!later) {
    return fail(ErrorCode::kMixedInput,
                "the epoch " + format_gpst(epoch.time) +
                    " is not later than the one before it",
                "RINEX epochs");
  }
  // Tells dates that cannot be written before anything is counted.
  const char* wrong = heads_.write(printed.time, epoch.flag, 0, record_.head);
  if (wrong != nullptr) {
    return fail(ErrorCode::kOutOfRange, wrong, format_gpst(epoch.time));
  }
  if (!has_header_) {
    if (Status status = write_header(epoch.time); !status) {
      return status;
    }
  }
  last_ = printed;
  record_.picoseconds = printed.picoseconds;
  rows_.place(epoch, record_);
  place_clock(epoch);
  static_cast<void>(heads_.write(
      printed.time, epoch.flag, record_.satellites.size(), record_.head));
  if (options_.hatanaka) {
    hatanaka_.append(record_, buffer_);
  } else if (options_.version == Version::k211) {
    append_epoch2(record_, buffer_);
  } else {
    append_epoch3(record_, buffer_);
  }
  return buffer_.size() < kPiece ? ok() : flush();
}

Status ObservationWriter::Impl::finish() {
  STILLPOINT_CHECK(!finished_);
  finished_ = true;
  if (!has_header_) {
    return fail(ErrorCode::kNoData,
                "no epoch to write, and no time of a first observation",
                "RINEX header");
  }
  Status written = flush();
  return written ? sink_->close() : written;
}

ObservationWriter::ObservationWriter(std::unique_ptr<Impl> impl)
    : impl_(std::move(impl)) {}
ObservationWriter::ObservationWriter(ObservationWriter&&) noexcept = default;
ObservationWriter& ObservationWriter::operator=(ObservationWriter&&) noexcept =
    default;
ObservationWriter::~ObservationWriter() = default;

Result<ObservationWriter> ObservationWriter::begin(
    const ObservationHeader& header,
    ObservationWriterOptions options,
    std::unique_ptr<ByteSink> sink) {
  STILLPOINT_CHECK(sink != nullptr);
  auto impl = std::make_unique<Impl>(header, options, std::move(sink));
  Status begun = impl->begin();
  if (!begun) {
    return fail(std::move(begun.error()));
  }
  return ObservationWriter(std::move(impl));
}

Status ObservationWriter::add(const Epoch& epoch) {
  return impl_->add(epoch);
}

Status ObservationWriter::finish() {
  return impl_->finish();
}

const LeftOutValues& ObservationWriter::left_out() const {
  return impl_->left_out();
}

}  // namespace stillpoint::rinex
