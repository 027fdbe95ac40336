#include <sys/statvfs.h>
#include <unistd.h>

#include <array>
#include <random>
#include <string>
#include <thread>
#include <utility>

#include "stillpoint/api/health_pages.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/people/server_key.h"
#include "stillpoint/station/health_view.h"
#include "stillpoint/station/parts.h"
#include "stillpoint/station/receiver_profile.h"
#include "stillpoint/station/settings_map.h"
#include "stillpoint/station/source_day.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::station {
namespace {

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
    RoverCertificateOptions certificate;
    certificate.certificate = config.rovers.certificate;
    certificate.key = config.rovers.key;
    certificate.own_folder = parts.folder->keys();
    certificate.names = {host_name()};
    parts.certificate =
        std::make_unique<RoverCertificate>(std::move(certificate),
                                           parts.clocks,
                                           *parts.fan_out,
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
  parts.raw = std::make_unique<RawPath>(
      std::move(raw), *parts.fan_out, *parts.recording, parts.decode->queue());
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

// The pages are made on the receiver's loop: a client that asks without pause
// gets the same facts for a while, so that it costs little.
struct Shown {
  static constexpr std::chrono::nanoseconds kFor =
      std::chrono::milliseconds{100};

  const api::StationStatus& status(const Parts& parts) {
    const auto now = parts.clocks.steady();
    if (!at || now - *at >= kFor) {
      at = now;
      last = status_of(parts);
    }
    return last;
  }
  std::optional<std::chrono::nanoseconds> at;
  api::StationStatus last;
};

Status make_health(Parts& parts) {
  const auto& at = parts.settings.config.health.listen;
  if (!at) {
    return ok();
  }
  auto server = net::HttpServer::listen(
      parts.loop,
      at->host,
      at->port,
      {},
      [&parts,
       shown = std::make_shared<Shown>()](const net::HttpRequest& request) {
        return api::answer(request, [&] { return shown->status(parts); });
      });
  if (!server) {
    return fail(std::move(server.error()));
  }
  parts.health = std::move(*server);
  return ok();
}

}  // namespace

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
  if (auto made = make_health(*parts); !made) {
    return fail(std::move(made.error()));
  }
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
