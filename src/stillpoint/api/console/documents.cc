#include "stillpoint/api/console/documents.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace stillpoint::api {
namespace {

constexpr double kTenth = 0.1;

Json reasons_json(const std::vector<trust::Reason>& reasons) {
  Json all = Json::array();
  for (const trust::Reason& reason : reasons) {
    all.push_back({{"part", trust::part_name(reason.part)},
                   {"code", reason.code},
                   {"state", trust::state_name(reason.state)},
                   {"what", reason.what},
                   {"remedy", reason.remedy},
                   {"since", time_text(reason.since)}});
  }
  return all;
}

Json road_json(const RoadFacts& facts) {
  Json all = Json::array();
  for (const RoadStep& step : road_of(facts)) {
    all.push_back({{"step", step.step},
                   {"state", step_state_name(step.state)},
                   {"since", time_or_null(step.since)},
                   {"what", step.what},
                   {"remaining_s", number_or_null(step.remaining_s, 1)}});
  }
  return all;
}

Json angle(double rad) {
  return rounded(rad * kDegPerRad, kTenth);
}

// The mean of each satellite's strongest signal, by elevation.
Json strength_by_elevation(const quality::SkySnapshot& sky) {
  constexpr int kBins = 18;
  constexpr double kBinDeg = 5;
  std::array<double, kBins> sum{};
  std::array<int, kBins> count{};
  for (const quality::SkySatellite& sat : sky.satellites) {
    if (!sat.place || sat.signals.empty() || sat.place->elevation_rad < 0) {
      continue;
    }
    double best = 0;
    for (const quality::SkySignal& signal : sat.signals) {
      best = std::max(best, signal.cn0_dbhz);
    }
    const int bin = std::clamp(
        static_cast<int>(sat.place->elevation_rad * kDegPerRad / kBinDeg),
        0,
        kBins - 1);
    sum.at(static_cast<std::size_t>(bin)) += best;
    ++count.at(static_cast<std::size_t>(bin));
  }
  Json bins = Json::array(), mean = Json::array();
  for (std::size_t i = 0; i < sum.size(); ++i) {
    bins.push_back(kBinDeg * static_cast<double>(i));
    mean.push_back(count.at(i) == 0 ? Json(nullptr)
                                    : rounded(sum.at(i) / count.at(i), kTenth));
  }
  return {{"bins_deg", std::move(bins)}, {"mean_dbhz", std::move(mean)}};
}

}  // namespace

Json now_document(const NowView& view, bool simulated) {
  const StationStatus& s = view.status;
  return {{"schema_version", kApiSchemaVersion},
          {"station", s.station},
          {"simulated", simulated},
          {"now", time_text(s.now)},
          {"started", time_text(s.started)},
          {"trust",
           {{"state", trust::state_name(view.verdict.state)},
            {"since", time_text(view.verdict.since)},
            {"sentence", view.sentence},
            {"reasons", reasons_json(view.verdict.reasons)},
            {"warnings", reasons_json(view.verdict.warnings)}}},
          {"road", road_json(view.road)},
          {"receiver",
           {{"state", state_name(s.receiver.state)},
            {"source", shown_source(s.receiver.source)},
            {"since", time_or_null(s.receiver.since)},
            {"why", s.receiver.why},
            {"last_byte_age_s", number_or_null(s.receiver.last_byte_age_s)},
            {"bytes", s.receiver.bytes}}},
          {"data",
           {{"last_epoch", time_or_null(view.last_epoch)},
            {"last_epoch_age_s", number_or_null(s.decode.last_epoch_age_s)},
            {"epochs_received", s.decode.epochs_received},
            {"epochs_missed", s.decode.epochs_missed},
            {"satellites", or_null(view.satellites)},
            {"cn0_mean_dbhz", number_or_null(view.cn0_mean_dbhz, kTenth)}}},
          {"recording",
           {{"state", state_name(s.archive.state)},
            {"why", s.archive.why},
            {"durable_offset", s.archive.durable_offset},
            {"end_offset", s.archive.end_offset},
            {"dropped_bytes", s.archive.dropped_bytes},
            {"disk_free_bytes", or_null(s.archive.disk_free_bytes)}}},
          {"rovers", {{"connected", s.rovers.counts.rovers}}},
          {"job", view.job ? job_json(*view.job) : Json(nullptr)}};
}

Json sky_document(const quality::SkySnapshot& sky, GnssTime now) {
  Json satellites = Json::array(), tracks = Json::array();
  std::map<char, std::pair<int, int>> systems;  // seen, above
  for (const quality::SkySatellite& sat : sky.satellites) {
    Json signals = Json::array();
    for (const quality::SkySignal& signal : sat.signals) {
      signals.push_back({{"code", signal.code.text()},
                         {"cn0_dbhz", rounded(signal.cn0_dbhz, kTenth)}});
    }
    auto& [seen, above] = systems[system_letter(sat.sat.system)];
    seen += sat.seen ? 1 : 0;
    above += sat.place && sat.place->elevation_rad > 0 ? 1 : 0;
    satellites.push_back(
        {{"id", sat.sat.text()},
         {"azimuth_deg",
          sat.place ? angle(sat.place->azimuth_rad) : Json(nullptr)},
         {"elevation_deg",
          sat.place ? angle(sat.place->elevation_rad) : Json(nullptr)},
         {"seen", sat.seen},
         {"signals", std::move(signals)}});
  }
  for (const quality::SkyTrack& track : sky.tracks) {
    Json at = Json::array(), azimuth = Json::array(), elevation = Json::array();
    for (const quality::SkyPoint& point : track.points) {
      at.push_back(unix_seconds(point.at));
      azimuth.push_back(angle(point.azimuth_rad));
      elevation.push_back(angle(point.elevation_rad));
    }
    tracks.push_back({{"id", track.sat.text()},
                      {"unix_s", std::move(at)},
                      {"azimuth_deg", std::move(azimuth)},
                      {"elevation_deg", std::move(elevation)}});
  }
  Json by_system = Json::array();
  for (const auto& [letter, counts] : systems) {
    by_system.push_back({{"system", std::string(1, letter)},
                         {"seen", counts.first},
                         {"above", counts.second}});
  }
  return {{"schema_version", kApiSchemaVersion},
          {"now", time_text(now)},
          {"satellites", std::move(satellites)},
          {"tracks", std::move(tracks)},
          {"systems", std::move(by_system)},
          {"cn0", strength_by_elevation(sky)}};
}

Json stream_document(const StreamView& view,
                     bool guest,
                     const std::optional<std::vector<User>>& accounts) {
  Json mounts = Json::array(), rovers = Json::array(), messages = Json::array();
  for (const MountView& mount : view.mounts) {
    mounts.push_back(
        {{"name", mount.name}, {"open", mount.open}, {"rovers", mount.rovers}});
  }
  std::map<std::string, int> connected;
  for (const RoverView& rover : view.rovers) {
    ++connected[rover.name];
    rovers.push_back(
        {{"name", guest ? Json(nullptr) : text_or_null(rover.name)},
         {"mount", rover.mount},
         {"address", guest ? Json(nullptr) : text_or_null(rover.address)},
         {"since", time_text(rover.since)},
         {"sent_bytes", rover.sent_bytes}});
  }
  for (const MessageView& message : view.messages) {
    messages.push_back({{"type", message.type},
                        {"count", message.count},
                        {"rate_hz", number_or_null(message.rate_hz)}});
  }
  Json known = nullptr;
  if (accounts) {
    known = Json::array();
    for (const User& user : *accounts) {
      known.push_back(
          {{"name", user.name},
           {"kind", user.kind == UserKind::kStream ? "stream" : "person"},
           {"enabled", user.enabled},
           {"max_connections", or_null(user.max_connections)},
           {"max_bytes_per_hour", or_null(user.max_bytes_per_hour)},
           {"connected", connected[user.name]}});
    }
  }
  const auto& departures = view.counts.departures;
  std::uint64_t cut = 0;
  for (const ntrip::Departure why : {ntrip::Departure::kSlow,
                                     ntrip::Departure::kTooOld,
                                     ntrip::Departure::kBudget,
                                     ntrip::Departure::kFlood,
                                     ntrip::Departure::kLimit}) {
    cut += departures.at(static_cast<std::size_t>(why));
  }
  return {{"schema_version", kApiSchemaVersion},
          {"broadcast",
           {{"kind", broadcast_name(view.broadcast)},
            {"record", or_null(view.record)},
            {"type", or_null(view.type)},
            {"arp_ecef_m",
             view.arp_m && !guest ? ecef_json(*view.arp_m) : Json(nullptr)},
            {"notice", text_or_null(view.notice)}}},
          {"mountpoints", std::move(mounts)},
          {"rovers", std::move(rovers)},
          {"totals",
           {{"connected", view.counts.rovers},
            {"accepted", view.counts.sessions},
            {"refused", view.counts.refused},
            {"cut", cut},
            {"sent_bytes", view.counts.sent_bytes}}},
          {"messages", std::move(messages)},
          {"composed",
           {{"passed", view.passed},
            {"dropped", view.dropped},
            {"withheld", view.withheld},
            {"inserted", view.inserted}}},
          {"age_s", number_or_null(view.age_s)},
          {"accounts", std::move(known)}};
}

Json job_json(const JobView& job) {
  Json files = Json::array();
  for (const JobFile& file : job.files) {
    files.push_back({{"name", file.name}, {"bytes", file.bytes}});
  }
  return {{"id", job.id},
          {"kind", job.kind},
          {"state", job.state},
          {"by", job.by},
          {"asked", time_text(job.asked)},
          {"started", time_or_null(job.started)},
          {"ended", time_or_null(job.ended)},
          {"start", time_text(job.start)},
          {"end", time_text(job.end)},
          {"step", job.step},
          {"progress", number_or_null(job.progress)},
          {"what", job.what},
          {"why", job.why},
          {"record", or_null(job.record)},
          {"report", job.report},
          {"files", std::move(files)}};
}

Json live_json(const std::optional<LiveView>& live, bool guest) {
  if (!live) {
    return nullptr;
  }
  return {
      {"geodetic_deg_m", guest ? Json(nullptr) : geodetic_json(live->arp_m)},
      {"sigma_enu_m", three(live->sigma_enu_m, 1, 1e-3)},
      {"epochs", live->epochs},
      {"first", time_text(live->first)},
      {"last", time_text(live->last)},
      {"apart_m", number_or_null(live->apart_m)}};
}

const char* broadcast_name(BroadcastKind kind) {
  constexpr std::array kNames{"none", "adopted", "provisional"};
  return kNames.at(static_cast<std::size_t>(kind));
}

}  // namespace stillpoint::api
