// Names of simulated files.
#pragma once

#include <optional>
#include <string>

#include "stillpoint/app/simulate_args.h"
#include "stillpoint/intake/export/file_name.h"

namespace stillpoint::app {

// Long names of RINEX and of products, agency SIM. Those of one receiver:
// LHOL00XXX_R_20261530000_02D_01S_MO.rnx.
class SimulatedNames {
 public:
  // [from, to)
  SimulatedNames(const SimulateArgs& args,
                 const simulate::ReceiverScenario& receiver,
                 GnssTime from,
                 GnssTime to);

  [[nodiscard]] std::string observations() const;
  //   only  of version 2.11: the one system
  [[nodiscard]] std::string navigation(std::optional<System> only) const;
  // "LHOL00XXX_truth.csv".
  [[nodiscard]] std::string beside(const char* what) const;
  // SIM0OPSFIN_20261530000_02D_05M_ORB.SP3
  //
  //   source   IGS, "Guidelines for long product filenames", from memory
  [[nodiscard]] std::string product(const char* content,
                                    std::optional<double> interval_s,
                                    const char* format) const;
  [[nodiscard]] std::string antennas() const;

 private:
  [[nodiscard]] const char* packed() const { return naming_.gzip ? ".gz" : ""; }

  intake::FileNaming naming_;
  intake::Period period_;
  double interval_s_;
};

}  // namespace stillpoint::app
