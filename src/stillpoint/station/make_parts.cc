#include <sys/statvfs.h>
#include <unistd.h>

#include <array>
#include <random>
#include <string>
#include <thread>
#include <utility>

#include "stillpoint/net/source_address.h"
#include "stillpoint/pack/digest.h"
#include "stillpoint/people/server_key.h"
#include "stillpoint/report/record_document.h"
#include "stillpoint/station/health_view.h"
#include "stillpoint/station/parts.h"
#include "stillpoint/station/receiver_profile.h"
#include "stillpoint/station/record_index.h"
#include "stillpoint/station/settings_map.h"
#include "stillpoint/station/source_day.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

// How old the console's count of what a rover was sent may be.
constexpr std::chrono::nanoseconds kProgressEvery = std::chrono::seconds{5};

std::uint64_t random_stream() {
  std::random_device device;
  const std::uint64_t high = device(), low = device();
  // 53 bits, so that every reader of JSON can hold it; never 0.
  return (((high << 32U) | low) >> 11U) | 1U;
}

std::string host_name() {
  std::array<char, 256> name{};
  return ::gethostname(name.data(), name.size() - 1) == 0 ? name.data()
                                                          : "localhost";
}

std::function<std::optional<std::uint64_t>()> free_bytes_of(std::string path) {
  return [path = std::move(path)]() -> std::optional<std::uint64_t> {
    struct statvfs info {};
    if (::statvfs(path.c_str(), &info) != 0) {
      return std::nullopt;
    }
    return std::uint64_t{info.f_bavail} * info.f_frsize;
  };
}

GnssTime to_milliseconds(GnssTime t) {
  constexpr std::int64_t kMillisecondNs = 1'000'000;
  return GnssTime::from_ns(t.ns() / kMillisecondNs * kMillisecondNs);
}

void make_log(Parts& parts) {
  parts.output = std::make_unique<LogOutput>(logs_to_journal());
  const config::LogSection& log = parts.settings.config.log;
  parts.output->set(log.level, log.format);
  parts.log = Logger(
      *parts.output,
      [clocks = parts.clocks] {
        return format_utc(to_milliseconds(clocks.wall()));
      },
      LogLevel::kDebug);
}

void make_records(Parts& parts) {
  DecodePath* decode = parts.decode.get();
  const auto clock_proved = [decode] { return decode->clock_proved(); };
  ChronicleOptions chronicle;
  chronicle.database = parts.folder->database();
  chronicle.clock_proved = clock_proved;
  parts.chronicle = std::make_unique<Chronicle>(
      std::move(chronicle), parts.clocks, parts.log);

  RecordingOptions recording;
  recording.root = parts.folder->raw();
  recording.new_stream = random_stream();
  recording.free_bytes = free_bytes_of(recording.root);
  recording.clock_proved = clock_proved;
  recording.last_epoch = [decode] {
    const auto epochs = decode->epochs();
    return epochs ? std::optional(epochs->last) : std::nullopt;
  };
  parts.files = archive::posix_file_system();
  parts.recording = std::make_unique<Recording>(
      *parts.files,
      std::move(recording),
      recording_limits(parts.settings.config.archive),
      parts.clocks,
      *parts.chronicle,
      parts.log);
}

// Without the key no token can be checked; open mountpoints and people's
// passwords work all the same.
people::SecretKey stream_key(Parts& parts) {
  const bool some = parts.users->has_tokens().value_or(true);
  auto key = people::open_server_key(
      parts.folder->keys() + "/stream.key",
      some ? people::Tokens::kSome : people::Tokens::kNone);
  if (key) {
    return std::move(*key);
  }
  parts.log.log(LogLevel::kError,
                "tokens of rovers cannot be checked",
                {{"why", key.error().text()}, {"remedy", key.error().remedy}});
  return people::SecretKey::random();
}

Status open_port(Parts& parts,
                 const std::optional<config::ListenAddress>& at,
                 bool tls) {
  if (!at) {
    return ok();
  }
  auto port = parts.fan_out->listen({at->host, at->port, tls});
  if (!port) {
    return fail(std::move(port.error()));
  }
  parts.listening.push_back(at->text() + (tls ? " (TLS)" : ""));
  return ok();
}

Status make_caster(Parts& parts) {
  const config::StationConfig& config = parts.settings.config;
  parts.users = std::make_unique<UserTable>(parts.folder->database());
  parts.door = std::make_unique<people::Door>(
      stream_key(parts),
      [users = parts.users.get()](std::string_view name) {
        return users->find(name);
      },
      door_config(config.mountpoints));
  parts.ledger = std::make_unique<CasterDoor>(
      *parts.door, parts.clocks, *parts.chronicle, parts.log);
  ntrip::FanOutOptions options;
  static_cast<ntrip::FanOutLimits&>(options) = fan_out_limits(config.rovers);
  options.program_version = parts.options.program_version;
  options.progress_every = kProgressEvery;
  parts.fan_workers = std::max(1U, std::thread::hardware_concurrency());
  auto fan_out = ntrip::FanOut::make(std::move(options),
                                     parts.fan_workers,
                                     {parts.clocks.steady, unix_now_s},
                                     *parts.ledger);
  if (!fan_out) {
    return fail(std::move(fan_out.error()));
  }
  parts.fan_out = std::move(*fan_out);
  for (const config::MountpointSection& mount : config.mountpoints) {
    parts.fan_out->add_mount(mount.name);
  }
  if (config.rovers.tls_listen) {
    ServedCertificateOptions certificate;
    certificate.certificate = config.rovers.certificate;
    certificate.key = config.rovers.key;
    certificate.own_folder = parts.folder->keys();
    certificate.names = certificate_names();
    parts.certificate = std::make_unique<ServedCertificate>(
        std::move(certificate),
        parts.clocks,
        [fan_out = parts.fan_out.get()](const CertificatePair& pair) {
          return fan_out->set_certificate(pair.chain, pair.key);
        },
        *parts.chronicle,
        parts.log);
    if (auto loaded = parts.certificate->load(); !loaded) {
      return loaded;
    }
  }
  return ok();
}

void make_receiver(Parts& parts,
                   net::SourceAddress source,
                   profile::Profile profile) {
  const config::StationConfig& config = parts.settings.config;
  RawPathOptions raw;
  raw.framings = profile.framings;
  for (const config::MountpointSection& mount : config.mountpoints) {
    raw.mounts.push_back(mount.name);
  }
  raw.source_waits = source.kind == net::SourceKind::kFile && source.speed == 0;
  raw.compose = composer_options(config.rovers);
  parts.raw = std::make_unique<RawPath>(std::move(raw),
                                        *parts.fan_out,
                                        *parts.recording,
                                        parts.decode->queue(),
                                        parts.clocks);
  parts.trust = std::make_unique<TrustWatch>(
      *parts.raw, parts.clocks, *parts.chronicle, parts.log);
  ReceiverOptions receiver;
  receiver.source = std::move(source);
  receiver.open = parts.options.open_source;
  receiver.silence = std::chrono::seconds{config.receiver.silence_s};
  receiver.profile = std::move(profile);
  receiver.pass_through = config.receiver.pass_through;
  parts.receiver = std::make_unique<ReceiverLink>(parts.loop,
                                                  std::move(receiver),
                                                  *parts.raw,
                                                  parts.clocks,
                                                  *parts.chronicle,
                                                  parts.log);
  parts.navigation =
      std::make_unique<NavigationSources>(parts.loop,
                                          parts.options.open_source,
                                          parts.decode->queue(),
                                          parts.clocks,
                                          parts.log);
}

// What is recorded, for the planning of solves.
RecordedFacts recorded_facts(RecordIndex& index, const Parts& parts) {
  RecordedFacts facts;
  const auto segments = index.list(parts.recording->facts());
  for (const RecordedSegment& segment :
       segments.value_or(std::vector<RecordedSegment>())) {
    // Without tags (the power went): received as it happened, if it did.
    if (!segment.received_from ||
        (!segment.epochs && parts.decode->names_day())) {
      continue;
    }
    RecordedSpan span;
    span.received_from = *segment.received_from;
    span.received_to = segment.received_to.value_or(parts.clocks.wall());
    span.first = segment.epochs ? segment.epochs->first : span.received_from;
    span.last = segment.epochs ? segment.epochs->last : span.received_to;
    facts.spans.push_back(span);
  }
  const auto control = parts.board.control();
  facts.idle_s = control->status.decode.last_epoch_age_s.value_or(0);
  return facts;
}

// A document of `locate` becomes a position record.
Result<std::int64_t> store_record(const Parts& parts,
                                  const std::string& document,
                                  JobKind kind,
                                  const std::string& by) {
  auto sha256 = sha256_of_text(document);
  if (!sha256) {
    return fail(std::move(sha256.error()));
  }
  auto record = report::parse_record_document(
      document, std::move(*sha256), "record.json");
  if (!record) {
    return fail(std::move(record.error()));
  }
  record->origin = RecordOrigin::kStation;
  record->source = std::string(job_word(kind));
  auto store = Store::open(parts.folder->database());
  if (!store) {
    return fail(std::move(store.error()));
  }
  return store->positions().add(*record, {parts.clocks.wall(), by});
}

Status make_jobs(Parts& parts) {
  JobsOptions options;
  options.folder = parts.folder->jobs();
  options.cache = parts.folder->products();
  options.config = parts.options.config_path;
  options.free_bytes = free_bytes_of(parts.folder->path());
  auto index = std::make_shared<RecordIndex>(*parts.files, parts.folder->raw());
  options.recorded = [&parts, index] { return recorded_facts(*index, parts); };
  options.store = [&parts](const std::string& document,
                           JobKind kind,
                           const std::string& by) {
    return store_record(parts, document, kind, by);
  };
  parts.jobs = std::make_unique<Jobs>(std::move(options),
                                      parts.settings.config,
                                      parts.clocks,
                                      *parts.chronicle,
                                      parts.log);
  return parts.jobs->open();
}

}  // namespace

std::vector<std::string> certificate_names() {
  return {host_name()};
}

void publish(Parts& parts) {
  auto facts = std::make_shared<ControlFacts>();
  facts->status = status_of(parts);
  facts->verdict = parts.trust->verdict();
  facts->sent = parts.trust->sent();
  facts->config = parts.settings.config;
  facts->at = parts.clocks.steady();
  parts.board.put(std::move(facts));
}

Result<std::unique_ptr<Parts>> make_parts(StationOptions options,
                                          config::StationConfig config) {
  auto profile = load_profile(config.receiver.profile);
  if (!profile) {
    return fail(std::move(profile.error()));
  }
  auto source = net::parse_source(config.receiver.source);
  if (!source) {
    return fail(std::move(source.error()));
  }
  auto parts = std::make_unique<Parts>();
  parts->options = std::move(options);
  parts->started = parts->clocks.wall();
  parts->started_steady = parts->clocks.steady();
  parts->settings = {std::move(config), parts->started, ""};
  make_log(*parts);
  auto folder = StateFolder::open(parts->settings.config.station.state);
  if (!folder) {
    return fail(std::move(folder.error()));
  }
  parts->folder.emplace(std::move(*folder));
  DecodeOptions decode;
  decode.config = parts->settings.config;
  decode.framings = profile->framings;
  decode.recorded = source->kind == net::SourceKind::kFile;
  decode.day = day_of(*source);
  parts->decode = std::make_unique<DecodePath>(
      std::move(decode), parts->clocks, parts->log);
  make_records(*parts);
  if (auto made = make_caster(*parts); !made) {
    return fail(std::move(made.error()));
  }
  parts->decode->connect(*parts->chronicle, *parts->fan_out);
  make_receiver(*parts, std::move(*source), std::move(*profile));
  if (auto made = make_jobs(*parts); !made) {
    return fail(std::move(made.error()));
  }
  publish(*parts);
  auto pages = Pages::make(*parts);
  if (!pages) {
    return fail(std::move(pages.error()));
  }
  parts->pages = std::move(*pages);
  // Last: nobody is let in before everything is there.
  const config::RoversSection& rovers = parts->settings.config.rovers;
  for (const bool tls : {false, true}) {
    if (auto opened =
            open_port(*parts, tls ? rovers.tls_listen : rovers.listen, tls);
        !opened) {
      return fail(std::move(opened.error()));
    }
  }
  return parts;
}

}  // namespace stillpoint::station
