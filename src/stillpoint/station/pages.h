// The thread that serves people and their monitoring: console, health pages,
// and the adopted record, which it reads from station.db. Nothing of it holds
// up the receiver, and nothing that the receiver's thread does is waited for.
#pragma once

#include <memory>

#include "stillpoint/api/console/console.h"
#include "stillpoint/core/result.h"
#include "stillpoint/net/http_server.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/station/adopted_watch.h"
#include "stillpoint/station/console_backend.h"
#include "stillpoint/station/served_certificate.h"
#include "stillpoint/station/worker.h"

namespace stillpoint::station {

struct Parts;

class Pages {
 public:
  // Opens station.db and the ports. All of `parts` that the console shows is
  // there, and outlives it.
  //
  //   errors   kIo, kConfig: a port or certificate that cannot be used; as
  //            Store::open()
  static Result<std::unique_ptr<Pages>> make(Parts& parts);
  ~Pages();
  Pages(const Pages&) = delete;
  Pages& operator=(const Pages&) = delete;

  // The thread's work, until stop().
  void run();
  //   threads  any
  void stop();
  [[nodiscard]] const Heartbeat& heart() const { return heart_; }

 private:
  explicit Pages(Parts& parts);
  Status open();
  Status open_health();
  Status open_console();
  void offer_claim();
  void tick();
  void look_at_records();
  const api::StationStatus& health_status();

  Parts& parts_;
  Heartbeat heart_;
  net::Loop loop_;
  std::unique_ptr<Store> store_;
  std::unique_ptr<AdoptedWatch> adopted_;
  std::unique_ptr<people::ConsolePeople> people_;
  std::unique_ptr<ConsoleBackend> backend_;
  std::unique_ptr<api::Console> console_;
  std::unique_ptr<ServedCertificate> certificate_;  // nothing: plain HTTP
  std::unique_ptr<net::HttpServer> console_server_, health_server_;
  std::chrono::nanoseconds records_at_{0};
  std::optional<std::chrono::nanoseconds> health_at_;
  api::StationStatus health_;
  std::uint64_t jobs_version_ = 0;
  std::uint64_t rovers_seen_ = 0, logbook_seen_ = 0;
};

}  // namespace stillpoint::station
