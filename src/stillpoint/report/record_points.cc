#include "stillpoint/report/record_points.h"

#include <cmath>

namespace stillpoint::report {

FramedPosition point_of(const FramedPosition& position,
                        const std::array<double, 3>& delta_enu_m,
                        Point wanted) {
  FramedPosition out = position;
  if (position.point == wanted) {
    return out;
  }
  const double way = wanted == Point::kArp ? 1 : -1;
  const Enu offset{
      way * delta_enu_m[0], way * delta_enu_m[1], way * delta_enu_m[2]};
  out.ecef = from_enu(offset, position.ecef);
  out.point = wanted;
  return out;
}

FramedPosition marker_of(const PositionRecord& record) {
  return point_of(record.position, record.delta_enu_m, Point::kMarker);
}

FramedPosition arp_of(const PositionRecord& record) {
  return point_of(record.position, record.delta_enu_m, Point::kArp);
}

std::array<double, 3> sigma_enu_m(const FramedPosition& position) {
  const Cov3 enu = covariance_to_enu(enu_R_ecef(to_geodetic(position.ecef)),
                                     position.covariance_m2);
  return {std::sqrt(enu[0]), std::sqrt(enu[4]), std::sqrt(enu[8])};
}

double sigma_3d_m(const FramedPosition& position) {
  const Cov3& c = position.covariance_m2;
  return std::sqrt(c[0] + c[4] + c[8]);
}

}  // namespace stillpoint::report
