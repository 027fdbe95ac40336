#include "stillpoint/api/metrics.h"

#include <fmt/format.h>

#include <utility>

#include "stillpoint/api/health.h"
#include "stillpoint/api/metrics_writer.h"

namespace stillpoint::api {
namespace {

using Kind = MetricsWriter::Kind;

std::optional<double> unix_or_none(const std::optional<GnssTime>& t) {
  return t ? std::optional(unix_s(*t)) : std::nullopt;
}

std::string letter_of(System system) {
  return {system_letter(system)};
}

void add_process(MetricsWriter& out, const StationStatus& status) {
  out.begin(Kind::kGauge, "build_info", "Always 1; its label is the version.");
  out.sample({{"version", status.version}}, std::uint64_t{1});
  out.gauge("start_time_seconds",
            "When the program started, since 1970-01-01 UTC.",
            std::optional(unix_s(status.started)));
  out.gauge("uptime_seconds",
            "Since the program started, by a clock that is never set.",
            std::optional(status.uptime_s));
  out.begin(Kind::kGauge,
            "check_good",
            "1 where the check of this name on /healthz is good, else 0.");
  for (const Check& check : station_checks(status)) {
    out.sample({{"check", check.name}}, std::uint64_t{check.good ? 1U : 0U});
  }
  out.gauge("resident_memory_bytes",
            "Memory of the program that is not swapped out.",
            status.process.resident_bytes);
  out.gauge("open_files",
            "Descriptors of the program, connections included.",
            status.process.open_files);
  out.begin(Kind::kGauge,
            "thread_beat_age_seconds",
            "Since this thread was last seen working.");
  for (const auto& [thread, age_s] : status.process.thread_beat_age_s) {
    out.sample({{"thread", thread}}, age_s);
  }
  out.gauge("clock_offset_seconds",
            "This computer's clock minus the receiver's time.",
            status.process.clock_offset_s);
  out.gauge("config_loaded_time_seconds",
            "When the settings in use were read, since 1970-01-01 UTC.",
            unix_or_none(status.config.loaded_at));
  out.flag("config_last_reload_failed",
           "1 where the last reload found a mistake and changed nothing.",
           status.config.last_error.has_value());
  out.gauge("certificate_end_time_seconds",
            "When the certificate for TLS ends, since 1970-01-01 UTC.",
            unix_or_none(status.certificate_ends));
}

void add_receiver(MetricsWriter& out, const ReceiverStatus& receiver) {
  out.flag("receiver_open",
           "1 while the source is open and not silent.",
           receiver.state == ReceiverState::kOpen);
  out.counter("receiver_bytes_total",
              "Bytes that came from the receiver.",
              receiver.bytes);
  out.gauge("receiver_last_byte_age_seconds",
            "Since the last byte came.",
            receiver.last_byte_age_s);
  out.counter("receiver_reconnects_total",
              "How often the source was opened again.",
              receiver.reconnects);
  out.flag("receiver_start_up_failed",
           "1 where the receiver did not take what it is told at the start.",
           receiver.start_up == StartUpState::kFailed);
}

void add_archive(MetricsWriter& out, const ArchiveStatus& archive) {
  out.flag("archive_writable",
           "0 while the disk takes nothing.",
           archive.state != ArchiveState::kCannotWrite);
  out.gauge("archive_end_offset_bytes",
            "Where the next byte of the recorded stream will stand.",
            std::optional(archive.end_offset));
  out.gauge("archive_durable_offset_bytes",
            "Every byte of the stream before it is safe on the disk.",
            std::optional(archive.durable_offset));
  out.gauge("archive_pending_bytes",
            "Received bytes that are not safe on the disk yet.",
            std::optional(archive.pending_bytes));
  out.counter("archive_dropped_bytes_total",
              "Received bytes that were lost since the disk took nothing.",
              archive.dropped_bytes);
  out.gauge(
      "archive_segments", "Recorded hours on the disk.", archive.segments);
  out.gauge("archive_disk_free_bytes",
            "Free on the disk that is recorded to.",
            archive.disk_free_bytes);
  out.gauge("archive_last_commit_age_seconds",
            "Since bytes were last made safe.",
            archive.last_commit_age_s);
}

void add_rovers(MetricsWriter& out, const RoversStatus& rovers) {
  const ntrip::FanOutCounts& counts = rovers.counts;
  out.gauge("rover_connections",
            "Connections to the rovers' ports at present.",
            std::optional(counts.connections));
  out.gauge("rovers",
            "Rovers that are being sent a stream.",
            std::optional(counts.rovers));
  out.counter("rover_arrivals_total",
              "Connections to the rovers' ports so far.",
              counts.arrived);
  out.counter("rover_turned_away_total",
              "Connections closed without a word: too many at a time.",
              counts.turned_away);
  out.counter("rover_refusals_total",
              "Requests answered with a status of 400 or above.",
              counts.refused);
  out.counter("rover_sessions_total",
              "Streams that rovers were given.",
              counts.sessions);
  out.counter("rover_chunks_total",
              "Pieces of streams delivered to their last byte.",
              counts.chunks);
  out.counter("rover_wire_bytes_total",
              "Bytes sent to rovers, before TLS.",
              counts.wire_bytes);
  out.counter("rover_unsent_bytes_total",
              "Bytes of the streams that waited for rovers when they went.",
              counts.unsent_bytes);
  out.begin(Kind::kCounter,
            "rover_departures_total",
            "Streams that ended, by the reason.");
  for (std::size_t i = 0; i < ntrip::kDepartures; ++i) {
    const auto why = static_cast<ntrip::Departure>(i);
    out.sample({{"reason", departure_key(why)}}, counts.departures[i]);
  }
}

void add_messages(MetricsWriter& out, const DecodeStatus& decode) {
  out.begin(Kind::kCounter,
            "rtcm_messages_total",
            "RTCM frames with a good checksum, by message type.");
  std::size_t types = 0;
  std::uint64_t other = 0;
  for (const auto& [type, count] : decode.messages) {
    if (++types > kMostMessageTypes) {
      other += count;
    } else {
      out.sample({{"type", std::to_string(type)}}, count);
    }
  }
  if (types > kMostMessageTypes) {
    out.sample({{"type", "other"}}, other);
  }
  out.counter("rtcm_bad_checksum_total",
              "Candidates for frames whose checksum failed.",
              decode.bad_crc);
  out.counter("rtcm_malformed_total",
              "Frames with a good checksum that cannot be read.",
              decode.malformed);
  out.counter("stream_skipped_bytes_total",
              "Received bytes that belong to nothing.",
              decode.skipped_bytes);
}

void add_signals(MetricsWriter& out, const DecodeStatus& decode) {
  out.begin(Kind::kGauge, "satellites", "Satellites tracked now.");
  for (const auto& [system, count] : decode.satellites) {
    out.sample({{"system", letter_of(system)}}, count);
  }
  const auto each = [&decode](const auto& add) {
    std::size_t signals = 0;
    for (const auto& [id, signal] : decode.signals) {
      if (++signals > kMostSignals) {
        return;
      }
      add(letter_of(id.first), id.second.text(), signal);
    }
  };
  out.begin(Kind::kGauge,
            "signal_cn0_dbhz",
            "Mean signal to noise density over the last minute, in dBHz.");
  each([&](const auto& system, const auto& code, const SignalStatus& signal) {
    if (signal.mean_cn0_dbhz) {
      out.sample({{"system", system}, {"signal", code}}, *signal.mean_cn0_dbhz);
    }
  });
  out.begin(Kind::kCounter,
            "signal_slips_total",
            "Losses of lock and cycle slips that the receiver told.");
  each([&](const auto& system, const auto& code, const SignalStatus& signal) {
    out.sample({{"system", system}, {"signal", code}}, signal.slips);
  });
}

void add_epochs(MetricsWriter& out, const DecodeStatus& decode) {
  out.counter(
      "epochs_received_total", "Epochs that came.", decode.epochs_received);
  out.counter("epochs_missed_total",
              "Epochs that should have come and did not.",
              decode.epochs_missed);
  out.gauge("last_epoch_age_seconds",
            "Since the last epoch came.",
            decode.last_epoch_age_s);
  out.gauge("code_offset_meters",
            "From the position that is broadcast to the one of code ranges.",
            decode.code_offset_m);
  out.counter("decode_dropped_bytes_total",
              "Bytes that were recorded and sent, and never decoded.",
              decode.queue_dropped_bytes);
}

}  // namespace

std::string metrics_text(const StationStatus& status) {
  MetricsWriter out;
  add_process(out, status);
  add_receiver(out, status.receiver);
  add_archive(out, status.archive);
  add_rovers(out, status.rovers);
  add_messages(out, status.decode);
  add_signals(out, status.decode);
  add_epochs(out, status.decode);
  out.flag(
      "store_good", "0 while the database does not work.", status.store.good);
  out.gauge("store_entries_waiting",
            "Entries of the logbook that are not in the database yet.",
            std::optional(status.store.entries_waiting));
  return out.text();
}

}  // namespace stillpoint::api
