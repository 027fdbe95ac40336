// The certificate that rovers see, kept up to date: the owner's files are read
// again when they change, the station's own is made anew before it ends. Rovers
// that are connected stay so.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/log.h"
#include "stillpoint/core/result.h"
#include "stillpoint/ntrip/server/fan_out.h"
#include "stillpoint/station/certificates.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"

namespace stillpoint::station {

struct RoverCertificateOptions {
  std::string certificate, key;    // PEM files; both empty: the station's own
  std::string own_folder;          // for the station's own
  std::vector<std::string> names;  // that it is for
  std::chrono::nanoseconds look_every = std::chrono::minutes{1};
};

//   threads  one: that of the loop
class RoverCertificate {
 public:
  // Both outlive it.
  RoverCertificate(RoverCertificateOptions options,
                   Clocks clocks,
                   ntrip::FanOut& fan_out,
                   Chronicle& chronicle,
                   Logger log);

  // Hands it to the fan-out.
  //
  //   errors   as read_certificate(), own_certificate(); the one before stays
  Status load();
  // At the next tick.
  void look_now() { looked_at_ = clocks_.steady() - options_.look_every; }
  // Loads it again where it is due.
  void tick();

  [[nodiscard]] std::optional<std::int64_t> end_unix_s() const { return end_; }
  [[nodiscard]] const std::string& fingerprint() const { return fingerprint_; }

 private:
  Result<CertificatePair> read() const;

  const RoverCertificateOptions options_;
  const Clocks clocks_;
  ntrip::FanOut& fan_out_;
  Chronicle& chronicle_;
  const Logger log_;
  std::string fingerprint_;
  std::optional<std::int64_t> end_;
  std::string last_error_;
  std::chrono::nanoseconds looked_at_{0};
};

}  // namespace stillpoint::station
