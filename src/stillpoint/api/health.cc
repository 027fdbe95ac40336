#include "stillpoint/api/health.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace stillpoint::api {
namespace {

constexpr double kDayS = 86'400;

Check good(const char* name) {
  return {name, true, {}};
}

Check bad(const char* name, std::string why) {
  return {name, false, std::move(why)};
}

std::string with_reason(const char* what, const std::string& why) {
  return why.empty() ? what : fmt::format("{}: {}", what, why);
}

// Bytes have come within the owner's limit, through a source that is open.
Check fresh_bytes(const ReceiverStatus& receiver) {
  constexpr const char* kName = "receiver";
  if (receiver.state != ReceiverState::kOpen) {
    return bad(kName, with_reason(state_name(receiver.state), receiver.why));
  }
  if (!receiver.last_byte_age_s) {
    return bad(kName, "open, and nothing has come yet");
  }
  // Written so that NaN is no fresh byte.
  if (!(*receiver.last_byte_age_s <= receiver.silence_s)) {
    return bad(
        kName,
        fmt::format("nothing came for {:.0f} s", *receiver.last_byte_age_s));
  }
  return good(kName);
}

Check receiver_check(const ReceiverStatus& receiver) {
  Check check = fresh_bytes(receiver);
  if (check.good && receiver.start_up == StartUpState::kFailed) {
    return bad("receiver", "it did not take what it is told at the start");
  }
  return check;
}

Check archive_check(const ArchiveStatus& archive) {
  constexpr const char* kName = "archive";
  if (archive.state == ArchiveState::kCannotWrite) {
    return bad(kName, with_reason("it cannot write", archive.why));
  }
  if (archive.pending_bytes > 0 && archive.last_commit_age_s &&
      !(*archive.last_commit_age_s <= kCommitSilenceS)) {
    return bad(kName,
               fmt::format("{} bytes wait, and none was made safe for {:.0f} s",
                           archive.pending_bytes,
                           *archive.last_commit_age_s));
  }
  return good(kName);
}

// The oldest hours are deleted at the limit, so that well below it there is
// nothing left to delete.
Check disk_check(const ArchiveStatus& archive) {
  if (archive.disk_free_bytes &&
      *archive.disk_free_bytes < archive.leave_free_bytes / 2) {
    return bad("disk",
               fmt::format("{} MB are free, {} MB should be",
                           *archive.disk_free_bytes >> 20U,
                           archive.leave_free_bytes >> 20U));
  }
  return good("disk");
}

Check rovers_check(const RoversStatus& rovers) {
  for (const ListenerStatus& listener : rovers.listeners) {
    if (!listener.open) {
      return bad("rovers",
                 with_reason((listener.address + " is not open").c_str(),
                             listener.why));
    }
  }
  return good("rovers");
}

Check decode_check(const StationStatus& status) {
  constexpr const char* kName = "decode";
  if (!fresh_bytes(status.receiver).good) {
    return good(kName);  // the receiver's check says it
  }
  const auto& age = status.decode.last_epoch_age_s;
  if (age && !(*age <= kEpochSilenceS)) {
    return bad(kName,
               fmt::format("bytes come, and no epoch for {:.0f} s", *age));
  }
  if (!age && status.uptime_s > kEpochSilenceS) {
    return bad(kName, "bytes come, and no epoch yet");
  }
  return good(kName);
}

// A receiver is never a day late, and a recording that is played never comes
// from the future: a clock far ahead of the epochs says that they are old.
Check clock_check(const ProcessStatus& process) {
  if (process.clock_offset_s &&
      !(std::abs(*process.clock_offset_s) <= kClockOffsetS) &&
      !(*process.clock_offset_s > kDayS)) {
    return bad(
        "clock",
        fmt::format("this computer's clock is {:.0f} s {} the receiver's",
                    std::abs(*process.clock_offset_s),
                    *process.clock_offset_s < 0 ? "behind" : "ahead of"));
  }
  return good("clock");
}

Check certificate_check(const StationStatus& status) {
  if (status.certificate_ends) {
    const double days = (*status.certificate_ends - status.now).s / kDayS;
    if (days < 0) {
      return bad("certificate", "it has expired");
    }
    if (days < kCertificateDays) {
      return bad("certificate", fmt::format("it ends in {:.1f} days", days));
    }
  }
  return good("certificate");
}

}  // namespace

std::vector<Check> station_checks(const StationStatus& status) {
  return {receiver_check(status.receiver),
          archive_check(status.archive),
          disk_check(status.archive),
          rovers_check(status.rovers),
          decode_check(status),
          status.store.good
              ? good("store")
              : bad("store", with_reason("it does not work", status.store.why)),
          clock_check(status.process),
          live_check(status),
          status.config.last_error ? bad("config",
                                         "the last reload changed nothing: " +
                                             *status.config.last_error)
                                   : good("config"),
          certificate_check(status)};
}

Check live_check(const StationStatus& status) {
  constexpr const char* kName = "threads";
  const auto& threads = status.process.thread_beat_age_s;
  if (threads.empty()) {
    return bad(kName, "none is known");
  }
  for (const auto& [thread, age_s] : threads) {
    if (!(age_s <= kThreadSilenceS)) {
      return bad(
          kName,
          fmt::format("{} was not seen working for {:.0f} s", thread, age_s));
    }
  }
  return good(kName);
}

std::vector<Check> ready_checks(const StationStatus& status) {
  const auto& listeners = status.rovers.listeners;
  const bool open = std::any_of(
      listeners.begin(), listeners.end(), [](const auto& l) { return l.open; });
  return {fresh_bytes(status.receiver),
          open ? good("rovers") : bad("rovers", "no port is open to them")};
}

bool all_good(const std::vector<Check>& checks) {
  return std::all_of(
      checks.begin(), checks.end(), [](const Check& c) { return c.good; });
}

}  // namespace stillpoint::api
