#include "stillpoint/rtcm/ephemeris_scale.h"

#include <string>

namespace stillpoint::rtcm {

Result<SatId> satellite_of(System system, unsigned number, unsigned last) {
  if (number < 1 || number > last) {
    return fail(ErrorCode::kOutOfRange,
                std::string(system_name(system)) + " has no satellite " +
                    std::to_string(number));
  }
  return SatId{system, static_cast<std::uint8_t>(number)};
}

Result<KeplerEphemeris> kepler_start(
    const RawKepler& m, SatId sat, WeekCount count, int step_s, GnssTime near) {
  const auto toe =
      reference_time(count, m.week, static_cast<double>(m.toe) * step_s, near);
  if (!toe) {
    return fail(ErrorCode::kOutOfRange,
                sat.text() + ": toe is outside the week");
  }
  const auto toc =
      nearest_in_week(count, static_cast<double>(m.toc) * step_s, *toe);
  if (!toc) {
    return fail(ErrorCode::kOutOfRange,
                sat.text() + ": toc is outside the week");
  }
  KeplerEphemeris e;
  e.sat = sat;
  e.toe = *toe;
  e.toc = *toc;
  return e;
}

Status put_start(const KeplerEphemeris& e,
                 WeekCount count,
                 int step_s,
                 RawKepler& m) {
  const auto toe = week_fields(count, e.toe, step_s);
  const auto toc = week_fields(count, e.toc, step_s);
  if (!toe || !toc) {
    return fail(ErrorCode::kOutOfRange,
                e.sat.text() + ": toe or toc is no multiple of " +
                    std::to_string(step_s) + " s");
  }
  m.satellite = e.sat.number;
  m.week = toe->week;
  m.toe = toe->steps;
  m.toc = toc->steps;
  return ok();
}

Result<KeplerEphemeris> checked(KeplerEphemeris e) {
  if (!is_plausible(e)) {
    return fail(ErrorCode::kOutOfRange,
                e.sat.text() + ": the numbers cannot be an orbit and clock");
  }
  return e;
}

Status expect_kind(const KeplerEphemeris& e,
                   System system,
                   NavMessage message) {
  if (e.sat.system != system || e.message != message) {
    return fail(ErrorCode::kUnsupported,
                e.sat.text() + ": the message takes " + system_name(system) +
                    " " + message_name(message) + ", not " +
                    message_name(e.message));
  }
  return ok();
}

Error does_not_fit(SatId sat, int type) {
  return {ErrorCode::kOutOfRange,
          sat.text() + ": a value does not fit message " + std::to_string(type),
          {},
          {}};
}

}  // namespace stillpoint::rtcm
