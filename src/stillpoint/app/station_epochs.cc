#include "stillpoint/app/station_epochs.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace stillpoint::app {
namespace {

bool same_offset(const Enu& a, const Enu& b) {
  return std::abs(a.e_m - b.e_m) < 1e-4 && std::abs(a.n_m - b.n_m) < 1e-4 &&
         std::abs(a.u_m - b.u_m) < 1e-4;
}

bool same_antenna(const rinex::ObservationHeader& a,
                  const rinex::ObservationHeader& b) {
  return a.antenna_type == b.antenna_type &&
         same_offset(a.antenna_delta_enu_m, b.antenna_delta_enu_m);
}

// Several files are one receiver: the same marker, the same antenna set-up.
Status check_same(const rinex::ObservationHeader& first,
                  const rinex::ObservationHeader& next,
                  const std::string& path) {
  if (first.marker_name != next.marker_name) {
    return fail(ErrorCode::kMixedInput,
                fmt::format("this file is of marker '{}', the first one of "
                            "'{}'",
                            next.marker_name,
                            first.marker_name),
                path,
                "give each station by itself: several files together are one "
                "receiver in time order");
  }
  if (!same_antenna(first, next)) {
    return fail(ErrorCode::kMixedInput,
                fmt::format("antenna or antenna height differ from the first "
                            "file's ('{}', {:.4f} m up; here '{}', {:.4f} m)",
                            first.antenna_type,
                            first.antenna_delta_enu_m.u_m,
                            next.antenna_type,
                            next.antenna_delta_enu_m.u_m),
                path,
                "take the files before and after the change by themselves");
  }
  return ok();
}

}  // namespace

Result<StationEpochs> StationEpochs::open(std::vector<std::string> files,
                                          const EpochSpan& span) {
  StationEpochs out;
  out.files_ = std::move(files);
  out.span_ = span;
  if (auto opened = out.open_file(); !opened) {
    return fail(std::move(opened.error()));
  }
  out.header_ = out.file_header_;
  return out;
}

Status StationEpochs::open_file() {
  auto opened = open_epochs(files_[file_]);
  if (!opened) {
    return fail(std::move(opened.error()));
  }
  reader_ = std::move(*opened);
  file_header_ = reader_->header();
  return file_ == 0 ? ok() : check_same(header_, file_header_, files_[file_]);
}

void StationEpochs::leave_file() {
  if (!same_antenna(file_header_, reader_->header())) {
    warnings_.push_back(
        {"antenna_changed",
         files_[file_] +
             ": the antenna or its height changes in the middle of the file; "
             "the values of its first header were used",
         std::nullopt});
  }
  reader_->warn(warnings_);
  reader_.reset();
}

// Whether the epoch that was read counts.
bool StationEpochs::take() {
  if (!span_.has(epoch_.time)) {
    return false;
  }
  if (last_ && epoch_.time <= *last_) {
    ++out_of_order_;
    return false;
  }
  if (last_) {
    const double step_s = (epoch_.time - *last_).s;
    interval_s_ = std::min(interval_s_.value_or(step_s), step_s);
  }
  first_ = first_.value_or(epoch_.time);
  last_ = epoch_.time;
  ++count_;
  return true;
}

Result<bool> StationEpochs::next() {
  while (reader_) {
    const auto more = reader_->next(epoch_);
    if (!more) {
      return fail(more.error());
    }
    if (*more) {
      if (take()) {
        return true;
      }
      continue;
    }
    leave_file();
    if (++file_ < files_.size()) {
      if (auto opened = open_file(); !opened) {
        return fail(std::move(opened.error()));
      }
    }
  }
  return false;
}

std::vector<solve::Warning> StationEpochs::warnings() const {
  std::vector<solve::Warning> out = warnings_;
  if (out_of_order_ > 0) {
    out.push_back(
        {"epochs_out_of_order",
         fmt::format("{}: {} epochs were not later than the one before and "
                     "were left out; give the files in time order",
                     files_.front(),
                     out_of_order_),
         std::nullopt});
  }
  return out;
}

}  // namespace stillpoint::app
