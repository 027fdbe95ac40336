#include "stillpoint/simulate/sky/rounded_sets.h"

#include "stillpoint/rtcm/ephemeris.h"

namespace stillpoint::simulate {
namespace {

template <class Set, class Raw>
Set through(const Set& e, const Result<Raw>& raw) {
  if (!raw) {
    return e;
  }
  auto back = rtcm::to_ephemeris(*raw, e.toe);
  if (!back) {
    return e;
  }
  back->transmitted = e.transmitted;
  return *back;
}

}  // namespace

KeplerEphemeris rounded(const KeplerEphemeris& e) {
  switch (e.sat.system) {
    case System::kGps:
      return through(e, rtcm::to_raw_gps(e));
    case System::kQzss:
      return through(e, rtcm::to_raw_qzss(e));
    case System::kBeidou:
      return through(e, rtcm::to_raw_beidou(e));
    case System::kGalileo:
      return e.message == NavMessage::kFnav
                 ? through(e, rtcm::to_raw_galileo_fnav(e))
                 : through(e, rtcm::to_raw_galileo_inav(e));
    default:
      return e;
  }
}

StateEphemeris rounded(const StateEphemeris& e) {
  return through(e, rtcm::to_raw_glonass(e));
}

}  // namespace stillpoint::simulate
