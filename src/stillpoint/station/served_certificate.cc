#include "stillpoint/station/served_certificate.h"

#include <utility>

namespace stillpoint::station {

ServedCertificate::ServedCertificate(ServedCertificateOptions options,
                                     Clocks clocks,
                                     Use use,
                                     Chronicle& chronicle,
                                     Logger log)
    : options_(std::move(options)),
      clocks_(std::move(clocks)),
      use_(std::move(use)),
      chronicle_(chronicle),
      log_(std::move(log)) {}

Result<CertificatePair> ServedCertificate::read() const {
  return options_.certificate.empty()
             ? own_certificate(
                   options_.own_folder, options_.names, unix_now_s())
             : read_certificate(options_.certificate, options_.key);
}

Status ServedCertificate::load() {
  looked_at_ = clocks_.steady();
  auto pair = read();
  if (!pair) {
    return fail(std::move(pair.error()));
  }
  if (auto set = use_(*pair); !set) {
    return set;
  }
  if (pair->fingerprint != fingerprint_) {
    log_.log(LogLevel::kInfo,
             "a certificate is in use",
             {{"for", options_.who},
              {"sha256", pair->fingerprint},
              {"own", options_.certificate.empty()}});
    if (!fingerprint_.empty()) {
      chronicle_.tell(LogKind::kCertificateReloaded,
                      std::string(options_.who) + " see a new certificate",
                      {{"sha256", pair->fingerprint}});
    }
  }
  fingerprint_ = pair->fingerprint;
  end_ = pair->end_unix_s;
  return ok();
}

void ServedCertificate::tick() {
  if (clocks_.steady() - looked_at_ < options_.look_every) {
    return;
  }
  const auto loaded = load();
  const std::string why = loaded ? "" : loaded.error().text();
  if (why != last_error_ && !loaded) {
    log_.log(LogLevel::kError,
             "the certificate cannot be read again; the one before stays",
             {{"why", why}});
  }
  last_error_ = why;
}

}  // namespace stillpoint::station
