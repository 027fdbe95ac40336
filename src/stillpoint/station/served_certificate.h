// The certificate that rovers or browsers see, kept up to date: the owner's
// files are read again when they change, the station's own is made anew before
// it ends. Who is connected stays so.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/core/log.h"
#include "stillpoint/core/result.h"
#include "stillpoint/station/certificates.h"
#include "stillpoint/station/chronicle.h"
#include "stillpoint/station/clock.h"

namespace stillpoint::station {

struct ServedCertificateOptions {
  const char* who = "rovers";      // sees it
  std::string certificate, key;    // PEM files; both empty: the station's own
  std::string own_folder;          // for the station's own
  std::vector<std::string> names;  // that it is for
  std::chrono::nanoseconds look_every = std::chrono::minutes{1};
};

//   threads  one: that of the loop
class ServedCertificate {
 public:
  // Hands a certificate to the server.
  using Use = std::function<Status(const CertificatePair& pair)>;

  // `chronicle` outlives it.
  ServedCertificate(ServedCertificateOptions options,
                    Clocks clocks,
                    Use use,
                    Chronicle& chronicle,
                    Logger log);

  // Hands it to the server.
  //
  //   errors   as read_certificate(), own_certificate(); the one before stays
  Status load();
  // The pair, without handing it anywhere.
  [[nodiscard]] Result<CertificatePair> read() const;
  // At the next tick.
  void look_now() { looked_at_ = clocks_.steady() - options_.look_every; }
  // Loads it again where it is due.
  void tick();

  [[nodiscard]] std::optional<std::int64_t> end_unix_s() const { return end_; }
  [[nodiscard]] const std::string& fingerprint() const { return fingerprint_; }

 private:
  const ServedCertificateOptions options_;
  const Clocks clocks_;
  const Use use_;
  Chronicle& chronicle_;
  const Logger log_;
  std::string fingerprint_;
  std::optional<std::int64_t> end_;
  std::string last_error_;
  std::chrono::nanoseconds looked_at_{0};
};

}  // namespace stillpoint::station
