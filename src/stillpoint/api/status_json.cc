#include "stillpoint/api/status_json.h"

#include "stillpoint/api/console/json_answer.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::api {
namespace {

// To the nanosecond, as programs want it.
Json instant_or_null(const std::optional<GnssTime>& t) {
  return t ? Json(format_utc(*t)) : Json(nullptr);
}

Json checks_json(const std::vector<Check>& checks) {
  Json all = Json::array();
  for (const Check& check : checks) {
    all.push_back({{"name", check.name},
                   {"good", check.good},
                   {"why", text_or_null(check.why)}});
  }
  return all;
}

Json receiver_json(const ReceiverStatus& receiver) {
  return {{"source", shown_source(receiver.source)},
          {"state", state_name(receiver.state)},
          {"since", instant_or_null(receiver.since)},
          {"why", text_or_null(receiver.why)},
          {"bytes", receiver.bytes},
          {"last_byte_age_s", number_or_null(receiver.last_byte_age_s)},
          {"silence_s", number_or_null(receiver.silence_s)},
          {"reconnects", receiver.reconnects},
          {"start_up", state_name(receiver.start_up)}};
}

Json archive_json(const ArchiveStatus& archive) {
  return {{"state", state_name(archive.state)},
          {"why", text_or_null(archive.why)},
          {"stream", or_null(archive.stream)},
          {"durable_offset", archive.durable_offset},
          {"end_offset", archive.end_offset},
          {"pending_bytes", archive.pending_bytes},
          {"dropped_bytes", archive.dropped_bytes},
          {"segments", or_null(archive.segments)},
          {"disk_free_bytes", or_null(archive.disk_free_bytes)},
          {"leave_free_bytes", archive.leave_free_bytes},
          {"last_commit_age_s", number_or_null(archive.last_commit_age_s)}};
}

Json rovers_json(const RoversStatus& rovers) {
  Json listeners = Json::array();
  for (const ListenerStatus& listener : rovers.listeners) {
    listeners.push_back({{"address", listener.address},
                         {"tls", listener.tls},
                         {"open", listener.open},
                         {"why", text_or_null(listener.why)}});
  }
  Json mounts = Json::object();
  for (const auto& [mount, count] : rovers.mounts) {
    mounts[mount] = count;
  }
  const ntrip::FanOutCounts& counts = rovers.counts;
  Json departures = Json::object();
  for (std::size_t i = 0; i < ntrip::kDepartures; ++i) {
    const auto why = static_cast<ntrip::Departure>(i);
    departures[departure_key(why)] = counts.departures[i];
  }
  return {{"listeners", listeners},
          {"connections", counts.connections},
          {"rovers", counts.rovers},
          {"arrived", counts.arrived},
          {"turned_away", counts.turned_away},
          {"refused", counts.refused},
          {"sessions", counts.sessions},
          {"chunks", counts.chunks},
          {"wire_bytes", counts.wire_bytes},
          {"offered_bytes", counts.offered_bytes},
          {"sent_bytes", counts.sent_bytes},
          {"unsent_bytes", counts.unsent_bytes},
          {"departures", departures},
          {"mounts", mounts}};
}

Json signals_json(const DecodeStatus& decode) {
  Json all = Json::array();
  for (const auto& [id, signal] : decode.signals) {
    all.push_back({{"system", std::string(1, system_letter(id.first))},
                   {"signal", id.second.text()},
                   {"mean_cn0_dbhz", number_or_null(signal.mean_cn0_dbhz)},
                   {"slips", signal.slips}});
  }
  return all;
}

Json decode_json(const DecodeStatus& decode) {
  Json messages = Json::array();
  for (const auto& [type, count] : decode.messages) {
    messages.push_back({{"type", type}, {"count", count}});
  }
  Json satellites = Json::object();
  for (const auto& [system, count] : decode.satellites) {
    satellites[std::string(1, system_letter(system))] = count;
  }
  return {{"messages", messages},
          {"bad",
           {{"crc", decode.bad_crc},
            {"malformed", decode.malformed},
            {"skipped_bytes", decode.skipped_bytes}}},
          {"satellites", satellites},
          {"signals", signals_json(decode)},
          {"epochs",
           {{"received", decode.epochs_received},
            {"missed", decode.epochs_missed},
            {"last_age_s", number_or_null(decode.last_epoch_age_s)}}},
          {"code_offset_m", number_or_null(decode.code_offset_m)},
          {"queue_dropped_bytes", decode.queue_dropped_bytes}};
}

Json process_json(const ProcessStatus& process) {
  Json threads = Json::array();
  for (const auto& [thread, age_s] : process.thread_beat_age_s) {
    threads.push_back(
        {{"name", thread}, {"beat_age_s", number_or_null(age_s)}});
  }
  return {{"resident_bytes", or_null(process.resident_bytes)},
          {"open_files", or_null(process.open_files)},
          {"threads", threads},
          {"clock_offset_s", number_or_null(process.clock_offset_s)}};
}

}  // namespace

Json status_json(const StationStatus& status) {
  return {
      {"schema_version", kStatusSchemaVersion},
      {"station", status.station},
      {"version", status.version},
      {"started", format_utc(status.started)},
      {"now", format_utc(status.now)},
      {"uptime_s", number_or_null(status.uptime_s)},
      {"durable_offset", status.archive.durable_offset},
      {"checks", checks_json(station_checks(status))},
      {"receiver", receiver_json(status.receiver)},
      {"archive", archive_json(status.archive)},
      {"rovers", rovers_json(status.rovers)},
      {"decode", decode_json(status.decode)},
      {"store",
       {{"good", status.store.good},
        {"why", text_or_null(status.store.why)},
        {"entries_waiting", status.store.entries_waiting}}},
      {"process", process_json(status.process)},
      {"config",
       {{"path", status.config.path},
        {"loaded_at", instant_or_null(status.config.loaded_at)},
        {"last_error", or_null(status.config.last_error)}}},
      {"trust",
       {{"state", text_or_null(status.trust.state)},
        {"since", instant_or_null(status.trust.since)},
        {"reasons", status.trust.reasons}}},
      {"certificate", {{"ends", instant_or_null(status.certificate_ends)}}}};
}

Json health_json(const std::vector<Check>& checks) {
  return {{"schema_version", kStatusSchemaVersion},
          {"good", all_good(checks)},
          {"checks", checks_json(checks)}};
}

}  // namespace stillpoint::api
