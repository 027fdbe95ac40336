// For how long a source has been open since the last break that was told.
#pragma once

#include <chrono>
#include <optional>

namespace stillpoint::station {

// A break of ten seconds or more is a reason of its own (source_closed): what
// was missed in it is not held against the connection that follows. Shorter
// ones begin nothing anew, so that a line that comes and goes cannot hide a
// silence.
//
//   now      never goes back
//   threads  one
class OpenSince {
 public:
  // Seconds; nothing while it is closed, and before the first such break.
  std::optional<double> look(bool open, std::chrono::nanoseconds now) {
    if (!open) {
      closed_at_ = closed_at_.value_or(now);
      return std::nullopt;
    }
    if (closed_at_ && now - *closed_at_ >= kTold) {
      opened_at_ = now;
    }
    closed_at_.reset();
    if (!opened_at_) {
      return std::nullopt;
    }
    return std::chrono::duration<double>(now - *opened_at_).count();
  }

 private:
  static constexpr std::chrono::seconds kTold{10};
  std::optional<std::chrono::nanoseconds> closed_at_, opened_at_;
};

}  // namespace stillpoint::station
