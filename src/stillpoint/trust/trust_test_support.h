// A station with which nothing is wrong, and how to judge it over a time.
#pragma once

#include <gtest/gtest.h>

#include <functional>
#include <string>
#include <string_view>

#include "stillpoint/trust/trust.h"

namespace stillpoint::trust {

inline const GnssTime kStart = GnssTime::from_gps_week(2340, 345'600);

inline Inputs good_station() {
  Inputs in;
  in.now = kStart;
  in.adopted = Inputs::Adopted{.record = 1,
                               .sigma_h_m = 0.004,
                               .sigma_v_m = 0.009,
                               .plate_motion_m = 0.002,
                               .candidate_apart_m = std::nullopt,
                               .receiver_apart_m = 0.001,
                               .code_apart_m = 0.6,
                               .code_sigma_m = 0.5};
  in.source_open = true;
  in.last_epoch_age_s = 0.4;
  in.epochs_missed_share = 0;
  in.satellites = 31;
  in.cn0_mean_dbhz = 44;
  in.cn0_usual_dbhz = 44;
  in.free_share_of_limit = 20;
  in.clock_offset_s = 0.05;
  return in;
}

// Judges every second for so long, and gives the last verdict; 0: once.
inline Verdict judged_for(double seconds, Inputs& in, Memory& memory) {
  Verdict verdict = judge(in, memory);
  for (double t_s = 1; t_s <= seconds; ++t_s) {
    in.now = in.now + Duration{1};
    verdict = judge(in, memory);
  }
  return verdict;
}

inline bool names(const std::vector<Reason>& reasons, std::string_view code) {
  for (const Reason& reason : reasons) {
    if (reason.code == code) {
      return true;
    }
  }
  return false;
}

}  // namespace stillpoint::trust
