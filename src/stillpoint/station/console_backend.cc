#include "stillpoint/station/console_backend.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "stillpoint/people/server_key.h"
#include "stillpoint/station/parts.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

constexpr std::size_t kMostRovers = 500;  // that a page lists
constexpr double kHourS = 3600;

double length(const std::array<double, 3>& v) {
  return std::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

api::JobView shown(const JobView& job) {
  api::JobView view;
  view.id = job.id;
  view.kind = job_word(job.request.kind);
  view.state = job_word(job.state);
  view.by = job.request.by;
  view.asked = job.asked;
  view.started = job.started;
  view.ended = job.ended;
  view.start = job.request.start;
  view.end = job.request.end;
  view.step = job.step;
  view.progress = job.progress;
  view.what = job.what;
  view.why = job.why;
  view.record = job.record;
  view.report = job.report;
  for (const JobFile& file : job.files) {
    view.files.push_back({file.name, file.bytes});
  }
  return view;
}

// The hour of UTC that holds the middle of the minute.
GnssTime hour_of(GnssTime minute) {
  constexpr std::int64_t kSecondNs = 1'000'000'000, kHourNs = 3600 * kSecondNs;
  const std::int64_t ahead_ns = gps_minus_utc_s(minute) * kSecondNs;
  const std::int64_t utc_ns = minute.ns() + 30 * kSecondNs - ahead_ns;
  return GnssTime::from_ns(utc_ns / kHourNs * kHourNs + ahead_ns);
}

}  // namespace

ConsoleBackend::ConsoleBackend(Parts& parts,
                               Store& store,
                               people::ConsolePeople& people,
                               AdoptedWatch& adopted,
                               std::function<void()> changed)
    : parts_(parts),
      store_(store),
      people_(people),
      adopted_(adopted),
      changed_(std::move(changed)),
      index_(*parts.files, parts.folder->raw()) {}

GnssTime ConsoleBackend::wall() const {
  return parts_.clocks.wall();
}

GnssTime ConsoleBackend::data_now() const {
  return parts_.decode->data_now();
}

std::chrono::nanoseconds ConsoleBackend::steady() const {
  return parts_.clocks.steady();
}

api::ConsoleFacts ConsoleBackend::facts() const {
  const auto control = parts_.board.control();
  const config::StationConfig& config = control->config;
  api::ConsoleFacts facts;
  facts.station = config.station.name;
  facts.place = config.mountpoints.front().identifier;
  facts.version = parts_.options.program_version;
  facts.simulated = parts_.options.simulated;
  facts.fingerprint = fingerprint_;
  facts.antenna_type = config.antenna.type;
  facts.antenna_delta_enu_m = {config.antenna.east_m.value_or(0),
                               config.antenna.north_m.value_or(0),
                               config.antenna.height_m.value_or(0)};
  return facts;
}

// Remembers when each step was done for the first time.
api::RoadFacts ConsoleBackend::road(const ControlFacts& control,
                                    const DecodedFacts& decoded) {
  const AdoptedFacts& adopted = adopted_.facts();
  const auto epochs = parts_.decode->epochs();
  api::RoadFacts road;
  road.bytes = control.status.receiver.bytes;
  road.satellites = decoded.satellites.value_or(0);
  road.ephemerides = decoded.ephemerides;
  road.has_position = decoded.fix.has_value();
  if (decoded.fix) {
    road.position_sigma_m = length(decoded.fix->sigma_enu_m);
  }
  road.recording =
      control.status.archive.state == api::ArchiveState::kRecording &&
      control.status.archive.durable_offset > 0;
  road.cannot_record =
      control.status.archive.state == api::ArchiveState::kCannotWrite;
  if (epochs) {
    road.recorded_hours = (epochs->last - epochs->first).s / kHourS;
  }
  road.best_sigma_m = adopted.best_sigma_m;
  road.adopted = adopted.adopted.has_value();
  road.state = control.verdict.state;
  road.rovers = control.status.rovers.counts.rovers;
  road.rovers_ever = control.status.rovers.counts.sessions > 0;
  road.products =
      control.config.solve.fetch || !control.config.solve.products.empty();
  const auto steps = api::road_of(road);
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const bool done = steps.at(i).state == api::StepState::kDone;
    if (!done) {
      done_at_.at(i).reset();
    } else if (!done_at_.at(i)) {
      done_at_.at(i) = wall();
    }
  }
  road.done_at = done_at_;
  return road;
}

api::NowView ConsoleBackend::now() {
  const auto control = parts_.board.control();
  const DecodedFacts decoded = parts_.decode->facts();
  api::NowView view;
  view.status = control->status;
  view.status.now = wall();
  // What the receiver's thread wrote is a moment old.
  const double age_s = seconds_of(steady() - control->at);
  for (auto* age : {&view.status.receiver.last_byte_age_s,
                    &view.status.decode.last_epoch_age_s}) {
    if (*age) {
      **age += age_s;
    }
  }
  view.verdict = control->verdict;
  view.sentence = trust::sentence(control->verdict, view.status.now);
  view.road = road(*control, decoded);
  if (const auto epochs = parts_.decode->epochs()) {
    view.last_epoch = epochs->last;
  }
  view.satellites = decoded.satellites;
  view.cn0_mean_dbhz = decoded.cn0_mean_dbhz;
  if (const auto job = parts_.jobs->at_work()) {
    view.job = shown(*job);
  }
  return view;
}

quality::SkySnapshot ConsoleBackend::sky() {
  return parts_.decode->sky();
}

std::optional<api::LiveView> ConsoleBackend::live() {
  const auto fix = parts_.decode->facts().fix;
  if (!fix) {
    return std::nullopt;
  }
  api::LiveView view{fix->antenna_m,
                     fix->sigma_enu_m,
                     fix->epochs,
                     fix->first,
                     fix->last,
                     std::nullopt};
  if (const auto& adopted = adopted_.facts().adopted) {
    view.apart_m = fix->distance_m(adopted->broadcast.arp_m);
  }
  return view;
}

api::StreamView ConsoleBackend::stream() {
  const auto control = parts_.board.control();
  const SentFacts& sent = control->sent;
  api::StreamView view;
  view.broadcast = sent.kind;
  view.record = sent.record;
  view.type = sent.type;
  view.arp_m = sent.arp_m;
  view.notice = sent.notice;
  const auto at_mounts = parts_.ledger->at_mounts();
  for (const config::MountpointSection& mount : control->config.mountpoints) {
    const auto count = at_mounts.find(mount.name);
    view.mounts.push_back(
        {mount.name, mount.open, count == at_mounts.end() ? 0 : count->second});
  }
  for (const CasterDoor::Present& rover : parts_.ledger->present(kMostRovers)) {
    view.rovers.push_back({rover.facts.user,
                           rover.facts.mount,
                           rover.facts.address,
                           rover.since,
                           rover.sent_bytes});
  }
  for (const intake::LiveMessage& message : parts_.decode->facts().messages) {
    if (message.type) {
      view.messages.push_back({*message.type, message.count, message.rate_hz});
    }
  }
  view.counts = parts_.fan_out->counts();
  view.passed = sent.counts.passed;
  view.dropped = sent.counts.dropped;
  view.withheld = sent.counts.withheld + sent.counts.replaced;
  view.inserted = sent.counts.inserted;
  view.age_s = control->status.decode.last_epoch_age_s;
  return view;
}

// Hours of epochs by the minute values, and the segments by their names: in a
// station that receives as it happens the two are the same hours.
Result<api::RecordView> ConsoleBackend::record(GnssTime from, GnssTime to) {
  const RecordingFacts recording = parts_.recording->facts();
  auto segments = index_.list(recording);
  if (!segments) {
    return fail(std::move(segments.error()));
  }
  auto minutes = store_.minutes().read("epochs_received_count", from, to);
  if (!minutes) {
    return fail(std::move(minutes.error()));
  }
  std::map<GnssTime, api::HourView> hours;
  for (const MinuteAggregate& minute : *minutes) {
    api::HourView& hour = hours[hour_of(minute.minute)];
    hour.epochs = hour.epochs.value_or(0) +
                  static_cast<std::int64_t>(std::llround(minute.sum));
    hour.first_epoch = hour.first_epoch.value_or(minute.minute);
    hour.last_epoch = minute.minute;
  }
  api::RecordView view;
  for (const RecordedSegment& segment : *segments) {
    view.used_bytes += segment.disk_bytes;
    if (!segment.received_from || *segment.received_from < from ||
        !(*segment.received_from < to)) {
      continue;
    }
    api::HourView& hour = hours[hour_of(*segment.received_from)];
    hour.path = segment.name.path();
    hour.bytes += segment.bytes;
    hour.disk_bytes += segment.disk_bytes;
    hour.open = segment.open;
    if (segment.epochs && !hour.epochs) {
      hour.first_epoch = segment.epochs->first;
      hour.last_epoch = segment.epochs->last;
    }
  }
  for (auto& [start, hour] : hours) {
    hour.start = start;
    view.hours.push_back(std::move(hour));
  }
  const api::ArchiveStatus& archive = parts_.board.control()->status.archive;
  view.free_bytes = archive.disk_free_bytes;
  view.leave_free_bytes = archive.leave_free_bytes;
  // By what the last day took.
  double day_bytes = 0, day_s = 0;
  constexpr double kDayS = 24 * kHourS;
  for (const RecordedSegment& segment : *segments) {
    if (segment.received_from && segment.received_to &&
        (wall() - *segment.received_from).s < kDayS) {
      day_bytes += static_cast<double>(segment.disk_bytes);
      day_s += (*segment.received_to - *segment.received_from).s;
    }
  }
  if (view.free_bytes && day_s > kHourS / 2 && day_bytes > 0) {
    const double left = static_cast<double>(*view.free_bytes) -
                        static_cast<double>(view.leave_free_bytes);
    view.days_left = std::max(0.0, left) / day_bytes * day_s / kDayS;
  }
  return view;
}

std::string ConsoleBackend::raw_folder() const {
  return parts_.folder->raw();
}

Result<people::NewToken> ConsoleBackend::new_token() {
  const bool some = parts_.users->has_tokens().value_or(true);
  auto key = people::open_server_key(
      parts_.folder->keys() + "/stream.key",
      some ? people::Tokens::kSome : people::Tokens::kNone);
  if (!key) {
    return fail(std::move(key.error()));
  }
  return people::make_stream_token(*key);
}

std::vector<api::JobView> ConsoleBackend::jobs() {
  std::vector<api::JobView> all;
  for (const JobView& job : parts_.jobs->list()) {
    all.push_back(shown(job));
  }
  return all;
}

std::string ConsoleBackend::jobs_note() {
  return parts_.jobs->note();
}

std::optional<api::JobView> ConsoleBackend::job(const std::string& id) {
  const auto found = parts_.jobs->find(id);
  return found ? std::optional(shown(*found)) : std::nullopt;
}

Result<std::string> ConsoleBackend::ask(const api::JobWish& wish,
                                        const std::string& by) {
  JobRequest request;
  request.kind = wish.is_export ? JobKind::kExport : JobKind::kSolve;
  request.by = by;
  request.start = wish.start;
  request.end = wish.end;
  request.method = job_method(wish.method).value_or(JobMethod::kAuto);
  request.format = wish.format;
  request.interval_s = wish.interval_s;
  request.hatanaka = wish.hatanaka;
  request.gzip = wish.gzip;
  return parts_.jobs->ask(std::move(request));
}

Status ConsoleBackend::cancel(const std::string& id, const std::string& by) {
  return parts_.jobs->cancel(id, by);
}

std::optional<std::string> ConsoleBackend::job_report(const std::string& id) {
  return parts_.jobs->report(id);
}

std::optional<std::string> ConsoleBackend::job_log(const std::string& id) {
  return parts_.jobs->log(id);
}

std::optional<std::string> ConsoleBackend::job_file(const std::string& id,
                                                    const std::string& name) {
  return parts_.jobs->file(id, name);
}

}  // namespace stillpoint::station
