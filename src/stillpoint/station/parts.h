// Every part of a running station, in the order in which they need each other.
// Internal to the module.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/config/station_config.h"
#include "stillpoint/core/log.h"
#include "stillpoint/net/loop.h"
#include "stillpoint/ntrip/server/fan_out.h"
#include "stillpoint/people/door.h"
#include "stillpoint/station/caster_door.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/decode_path.h"
#include "stillpoint/station/jobs.h"
#include "stillpoint/station/log_output.h"
#include "stillpoint/station/navigation_sources.h"
#include "stillpoint/station/pages.h"
#include "stillpoint/station/raw_path.h"
#include "stillpoint/station/receiver_link.h"
#include "stillpoint/station/recording.h"
#include "stillpoint/station/served_certificate.h"
#include "stillpoint/station/service_notify.h"
#include "stillpoint/station/state_folder.h"
#include "stillpoint/station/station.h"
#include "stillpoint/station/status_board.h"
#include "stillpoint/station/trust_watch.h"
#include "stillpoint/station/user_table.h"
#include "stillpoint/station/worker.h"

namespace stillpoint::station {

// What the owner may have changed since the start.
struct Settings {
  config::StationConfig config;
  GnssTime loaded_at;
  std::string last_error;  // of the last reload; empty: it was taken
};

struct Parts {
  StationOptions options;
  Settings settings;
  Clocks clocks;
  GnssTime started;
  std::chrono::nanoseconds started_steady{0};
  std::unique_ptr<LogOutput> output;
  Logger log;
  ServiceNotify service;
  net::Loop loop;
  std::optional<StateFolder> folder;
  std::unique_ptr<FileSystem> files;

  std::unique_ptr<Chronicle> chronicle;
  std::unique_ptr<Recording> recording;
  std::unique_ptr<UserTable> users;
  std::unique_ptr<people::Door> door;
  std::unique_ptr<CasterDoor> ledger;
  std::unique_ptr<ntrip::FanOut> fan_out;
  std::unique_ptr<ServedCertificate> certificate;  // nothing: no TLS
  std::vector<std::string> listening;              // for rovers
  std::unique_ptr<DecodePath> decode;
  std::unique_ptr<RawPath> raw;
  std::unique_ptr<ReceiverLink> receiver;
  std::unique_ptr<NavigationSources> navigation;
  std::unique_ptr<TrustWatch> trust;
  StatusBoard board;
  std::unique_ptr<Jobs> jobs;
  std::unique_ptr<Pages> pages;

  unsigned fan_workers = 1;
  // Last: they work on the others and end before them.
  std::vector<std::unique_ptr<Worker>> workers;
};

// Names that a certificate of the station's own is for.
std::vector<std::string> certificate_names();

// Puts what the control thread knows on the board.
void publish(Parts& parts);

// Makes everything that can fail for a reason that the owner must mend; opens
// the ports. Starts no thread.
Result<std::unique_ptr<Parts>> make_parts(StationOptions options,
                                          config::StationConfig config);

}  // namespace stillpoint::station
