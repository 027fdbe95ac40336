#include "stillpoint/station/health_view.h"

#include <algorithm>
#include <optional>

#include "stillpoint/station/process_facts.h"
#include "stillpoint/station/settings_map.h"

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

std::optional<double> age_s(nanoseconds now,
                            const std::optional<nanoseconds>& at) {
  return at ? std::optional(seconds_of(now - *at)) : std::nullopt;
}

api::StartUpState state_of(profile::StartUpState state) {
  switch (state) {
    case profile::StartUpState::kIdle:
      return api::StartUpState::kNone;
    case profile::StartUpState::kRunning:
      return api::StartUpState::kRunning;
    case profile::StartUpState::kDone:
      return api::StartUpState::kDone;
    case profile::StartUpState::kFailed:
      return api::StartUpState::kFailed;
  }
  return api::StartUpState::kNone;
}

void receiver(const Parts& parts, nanoseconds now, api::StationStatus& status) {
  const config::ReceiverSection& settings = parts.settings.config.receiver;
  const ReceiverFacts& facts = parts.receiver->facts();
  status.receiver.source = settings.source;
  status.receiver.state = facts.state;
  status.receiver.since = facts.since;
  status.receiver.why = facts.why;
  status.receiver.bytes = parts.raw->bytes();
  status.receiver.last_byte_age_s = age_s(now, facts.last_byte);
  status.receiver.silence_s = settings.silence_s;
  status.receiver.reconnects = facts.openings == 0 ? 0 : facts.openings - 1;
  status.receiver.start_up = state_of(facts.start_up);
}

void archive_of(const Parts& parts,
                nanoseconds now,
                api::StationStatus& status) {
  const RecordingFacts facts = parts.recording->facts();
  api::ArchiveStatus& archive = status.archive;
  archive.state = facts.state != RecordingState::kRecording
                      ? api::ArchiveState::kCannotWrite
                  : facts.end_offset == 0 && parts.raw->bytes() == 0
                      ? api::ArchiveState::kIdle
                      : api::ArchiveState::kRecording;
  archive.why = facts.why;
  if (facts.stream != 0) {
    archive.stream = facts.stream;
  }
  archive.durable_offset = facts.durable_offset;
  archive.end_offset = facts.end_offset;
  archive.pending_bytes = facts.queued_bytes;
  archive.dropped_bytes = facts.dropped_bytes;
  archive.segments = facts.segments;
  archive.disk_free_bytes = facts.disk_free_bytes;
  archive.leave_free_bytes =
      recording_limits(parts.settings.config.archive).leave_free_bytes;
  archive.last_commit_age_s = age_s(now, facts.committed_at);
}

void rovers(const Parts& parts, api::StationStatus& status) {
  const config::RoversSection& settings = parts.settings.config.rovers;
  if (settings.listen) {
    status.rovers.listeners.push_back(
        {settings.listen->text(), false, true, ""});
  }
  if (settings.tls_listen) {
    status.rovers.listeners.push_back(
        {settings.tls_listen->text(), true, true, ""});
  }
  status.rovers.counts = parts.fan_out->counts();
  for (const config::MountpointSection& mount :
       parts.settings.config.mountpoints) {
    status.rovers.mounts[mount.name] = 0;
  }
  for (const auto& [mount, count] : parts.ledger->at_mounts()) {
    status.rovers.mounts[mount] = count;
  }
}

}  // namespace

void add_process(const Parts& parts,
                 nanoseconds control_at,
                 api::StationStatus& status) {
  const nanoseconds now = parts.clocks.steady();
  status.process.resident_bytes = resident_bytes();
  status.process.open_files = open_files();
  // One that has not begun is as old as the station, not as the computer.
  const auto beat = [&](const char* name, const Heartbeat& heart) {
    status.process.thread_beat_age_s[name] =
        seconds_of(now - std::max(heart.at(), parts.started_steady));
  };
  beat("chronicle", parts.chronicle->heart());
  beat("recording", parts.recording->heart());
  beat("decode", parts.decode->heart());
  beat("door", parts.ledger->questions_heart());
  beat("hashes", parts.ledger->hashes_heart());
  beat("jobs", parts.jobs->heart());
  status.process.thread_beat_age_s["pages"] = 0;  // it answers this
  status.process.thread_beat_age_s["control"] = seconds_of(now - control_at);
}

api::StationStatus status_of(const Parts& parts) {
  const nanoseconds now = parts.clocks.steady();
  api::StationStatus status;
  status.station = parts.settings.config.station.name;
  status.version = parts.options.program_version;
  status.started = parts.started;
  status.now = parts.clocks.wall();
  status.uptime_s = seconds_of(now - parts.started_steady);
  receiver(parts, now, status);
  archive_of(parts, now, status);
  rovers(parts, status);
  parts.decode->show(now, status);
  status.decode.queue_dropped_bytes = parts.raw->undecoded_bytes();
  const ChronicleFacts store = parts.chronicle->facts();
  status.store = {store.good, store.why, store.entries_waiting};
  const trust::Verdict& verdict = parts.trust->verdict();
  status.trust.state = trust::state_name(verdict.state);
  status.trust.since = verdict.since;
  for (const trust::Reason& reason : verdict.reasons) {
    status.trust.reasons.push_back(reason.code);
  }
  status.config.path = parts.options.config_path;
  status.config.loaded_at = parts.settings.loaded_at;
  if (!parts.settings.last_error.empty()) {
    status.config.last_error = parts.settings.last_error;
  }
  if (parts.certificate && parts.certificate->end_unix_s()) {
    status.certificate_ends = from_unix_s(*parts.certificate->end_unix_s());
  }
  return status;
}

}  // namespace stillpoint::station
