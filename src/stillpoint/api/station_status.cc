#include "stillpoint/api/station_status.h"

#include <algorithm>

#include "stillpoint/time/scales.h"

namespace stillpoint::api {

const char* state_name(ReceiverState state) {
  switch (state) {
    case ReceiverState::kOpening:
      return "opening";
    case ReceiverState::kOpen:
      return "open";
    case ReceiverState::kSilent:
      return "silent";
    case ReceiverState::kWaiting:
      return "waiting";
    case ReceiverState::kEnded:
      return "ended";
  }
  return "";
}

const char* state_name(StartUpState state) {
  switch (state) {
    case StartUpState::kNone:
      return "none";
    case StartUpState::kRunning:
      return "running";
    case StartUpState::kDone:
      return "done";
    case StartUpState::kFailed:
      return "failed";
  }
  return "";
}

const char* state_name(ArchiveState state) {
  switch (state) {
    case ArchiveState::kIdle:
      return "idle";
    case ArchiveState::kRecording:
      return "recording";
    case ArchiveState::kCannotWrite:
      return "cannot_write";
    case ArchiveState::kOff:
      return "off";
  }
  return "";
}

std::string departure_key(ntrip::Departure why) {
  std::string key = ntrip::departure_name(why);
  std::replace(key.begin(), key.end(), ' ', '_');
  return key;
}

std::string shown_source(const std::string& source) {
  std::string shown = source.substr(0, source.find('?'));
  const std::size_t begin = shown.find("://");
  if (begin != std::string::npos) {
    const std::size_t host = begin + 3;
    const std::size_t end = std::min(shown.find('/', host), shown.size());
    const std::size_t at = shown.rfind('@', end);
    if (at != std::string::npos && at >= host) {
      shown.erase(host, at + 1 - host);
    }
  }
  return shown;
}

double unix_s(GnssTime t) {
  constexpr std::int64_t kGpsEpochUnixS = 315'964'800;  // 1980-01-06
  const std::int64_t whole = t.ns() / GnssTime::kNsPerS;
  const double part =
      static_cast<double>(t.ns() % GnssTime::kNsPerS) / GnssTime::kNsPerS;
  return static_cast<double>(whole + kGpsEpochUnixS - gps_minus_utc_s(t)) +
         part;
}

}  // namespace stillpoint::api
