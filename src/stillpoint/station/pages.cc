#include "stillpoint/station/pages.h"

#include <initializer_list>
#include <utility>

#include "stillpoint/api/health_pages.h"
#include "stillpoint/station/health_view.h"
#include "stillpoint/station/parts.h"

namespace stillpoint::station {
namespace {

using std::chrono::nanoseconds;

constexpr nanoseconds kTick = std::chrono::milliseconds{200};
constexpr nanoseconds kHealthHolds = std::chrono::milliseconds{100};
constexpr nanoseconds kRecordsEvery = std::chrono::seconds{1};
constexpr std::size_t kMostConsoleConnections = 100;

}  // namespace

Pages::Pages(Parts& parts) : parts_(parts) {}

Pages::~Pages() = default;

Result<std::unique_ptr<Pages>> Pages::make(Parts& parts) {
  std::unique_ptr<Pages> pages(new Pages(parts));
  if (Status opened = pages->open(); !opened) {
    return fail(std::move(opened.error()));
  }
  return pages;
}

Status Pages::open() {
  auto store = Store::open(parts_.folder->database());
  if (!store) {
    return fail(std::move(store.error()));
  }
  store_ = std::make_unique<Store>(std::move(*store));
  adopted_ = std::make_unique<AdoptedWatch>(
      *store_,
      [decode = parts_.decode.get()] { return decode->data_now(); },
      parts_.log);
  people_ =
      std::make_unique<people::ConsolePeople>(*store_, parts_.folder->claim());
  backend_ = std::make_unique<ConsoleBackend>(
      parts_, *store_, *people_, *adopted_, [this] {
        records_at_ = {};
        if (console_) {
          console_->changed(api::Topic::kCoordinate);
          console_->changed(api::Topic::kStream);
          console_->changed(api::Topic::kLogbook);
        }
      });
  // Before the first verdict: a station that was trusted begins as such.
  look_at_records();
  if (Status opened = open_health(); !opened) {
    return opened;
  }
  return open_console();
}

Status Pages::open_health() {
  const auto& at = parts_.settings.config.health.listen;
  if (!at) {
    return ok();
  }
  auto server = net::HttpServer::listen(
      loop_, at->host, at->port, {}, [this](const net::HttpRequest& request) {
        return api::answer(request, [this] { return health_status(); });
      });
  if (!server) {
    return fail(std::move(server.error()));
  }
  health_server_ = std::move(*server);
  return ok();
}

Status Pages::open_console() {
  const config::ConsoleSection& settings = parts_.settings.config.console;
  if (!settings.listen) {
    return ok();
  }
  net::HttpServerOptions options;
  options.most_connections = kMostConsoleConnections;
  options.methods = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"};
  options.body_limit = [](const net::HttpRequest& head) {
    return api::Console::most_body(head);
  };
  options.on_refusal = api::Console::shape_refusal;
  if (config::console_uses_tls(settings)) {
    ServedCertificateOptions certificate;
    certificate.who = "browsers";
    certificate.certificate = settings.certificate;
    certificate.key = settings.key;
    certificate.own_folder = parts_.folder->keys();
    certificate.names = certificate_names();
    certificate_ = std::make_unique<ServedCertificate>(
        std::move(certificate),
        parts_.clocks,
        [this](const CertificatePair& pair) -> Status {
          backend_->set_fingerprint(pair.fingerprint);
          return console_server_
                     ? console_server_->set_certificate({pair.chain, pair.key})
                     : ok();
        },
        *parts_.chronicle,
        parts_.log);
    if (Status loaded = certificate_->load(); !loaded) {
      return loaded;
    }
    auto pair = certificate_->read();
    if (!pair) {
      return fail(std::move(pair.error()));
    }
    options.tls = net::HttpCertificate{pair->chain, pair->key};
  }
  console_ = std::make_unique<api::Console>(*backend_);
  auto server =
      net::HttpServer::listen(loop_,
                              settings.listen->host,
                              settings.listen->port,
                              options,
                              [this](const net::HttpRequest& request) {
                                return console_->answer(request);
                              });
  if (!server) {
    return fail(std::move(server.error()));
  }
  console_server_ = std::move(*server);
  offer_claim();
  return ok();
}

// A station without an owner opens a claim by itself; the code lies in a file
// that only who is on this computer can read, and in no log.
void Pages::offer_claim() {
  const auto claimed = people_->claimed();
  const auto open = people_->claim_open(parts_.clocks.wall());
  if (!claimed || *claimed || (open && *open)) {
    return;
  }
  const auto made = people::open_claim(
      *store_, parts_.folder->claim(), {parts_.clocks.wall(), "station"});
  if (!made) {
    parts_.log.log(LogLevel::kError,
                   "a claim code cannot be made",
                   {{"why", made.error().text()}});
    return;
  }
  parts_.log.log(
      LogLevel::kInfo,
      "the station has no owner yet: the claim code lies in a file",
      {{"path", parts_.folder->claim()}, {"for_s", people::kClaimHoldsS}});
}

// A client that asks without pause gets the same facts for a while, so that it
// costs little.
const api::StationStatus& Pages::health_status() {
  const nanoseconds now = parts_.clocks.steady();
  if (!health_at_ || now - *health_at_ >= kHealthHolds) {
    health_at_ = now;
    health_ = backend_->now().status;
    add_process(parts_, parts_.board.control()->at, health_);
  }
  return health_;
}

void Pages::run() {
  tick();
  loop_.run();
  if (console_) {
    console_->close();
  }
  console_server_.reset();
  health_server_.reset();
}

void Pages::stop() {
  loop_.post([this] { loop_.stop(); });
}

void Pages::tick() {
  const nanoseconds now = parts_.clocks.steady();
  heart_.beat(now);
  if (now - records_at_ >= kRecordsEvery) {
    records_at_ = now;
    look_at_records();
  }
  if (certificate_) {
    certificate_->tick();
  }
  if (console_) {
    const auto tell_if = [&](std::uint64_t& seen,
                             std::uint64_t is,
                             std::initializer_list<api::Topic> topics) {
      if (std::exchange(seen, is) != is) {
        for (const api::Topic topic : topics) {
          console_->changed(topic);
        }
      }
    };
    tell_if(jobs_version_,
            parts_.jobs->version(),
            {api::Topic::kJobs, api::Topic::kCoordinate});
    const ntrip::FanOutCounts counts = parts_.fan_out->counts();
    tell_if(
        rovers_seen_, counts.sessions + counts.rovers, {api::Topic::kStream});
    tell_if(logbook_seen_,
            parts_.chronicle->facts().entries_written,
            {api::Topic::kLogbook, api::Topic::kRecord});
    console_->tick();
  }
  loop_.after(kTick, [this] { tick(); });
}

void Pages::look_at_records() {
  if (!adopted_->look()) {
    return;
  }
  const AdoptedFacts& facts = adopted_->facts();
  parts_.decode->set_adopted(facts.adopted
                                 ? std::optional(facts.adopted->broadcast.arp_m)
                                 : std::nullopt);
  parts_.board.put_adopted(facts);
  if (console_) {
    console_->changed(api::Topic::kCoordinate);
  }
}

}  // namespace stillpoint::station
