#include "stillpoint/report/tie_json.h"

#include <nlohmann/json.hpp>

#include "stillpoint/report/json_number.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

using Json = nlohmann::ordered_json;

// 0.01 mm, as everywhere.
constexpr double kSteps = 1e5;

Json known_json(const TieReport& tie, bool used) {
  const solve::KnownCoordinate& k = tie.known;
  return {
      {"typed", tie.typed},
      {"ecef_m", triple(k.position_m, kSteps)},
      {"sigma_ecef_m", k.sigma_m ? triple(*k.sigma_m, kSteps) : Json()},
      {"frame", k.frame.empty() ? Json() : Json(k.frame)},
      {"epoch", k.epoch ? Json(format_utc(*k.epoch)) : Json()},
      {"moved_by", used ? Json(tie.moved.moved_by) : Json()},
      {"moved_m", used ? number(tie.moved.moved_m, kSteps) : Json()},
      {"used_ecef_m", used ? triple(tie.moved.position_m, kSteps) : Json()},
  };
}

Json residuals_json(const solve::Solution& s, bool solved) {
  return {{"phase_rms_m", s.phase_rms_m ? number(*s.phase_rms_m, 1e5) : Json()},
          {"code_rms_m", solved ? number(s.code_rms_m, 1e4) : Json()}};
}

Json tie_row(const TieReport& tie) {
  const bool solved = has_vector(tie);
  const solve::TieAnswer& a = tie.answer;
  return {
      {"to", tie.to},
      {"status", status_name(a.solution.status)},
      {"why", a.solution.why},
      {"vector_ecef_m", solved ? triple(a.vector_m, kSteps) : Json()},
      {"covariance_ecef_m2", solved ? matrix(a.covariance_m2) : Json()},
      {"length_m", solved ? number(a.length_m, kSteps) : Json()},
      {"residual_enu_m",
       tie.network ? triple(tie.network->residual_enu_m, kSteps) : Json()},
      {"test", tie.network ? number(tie.network->test, 1e2) : Json()},
      {"fixed", a.solution.fixed},
      {"ambiguities", ambiguities_json(a.solution)},
      {"residuals", residuals_json(a.solution, solved)},
      {"epochs", a.solution.counts.epochs},
      {"ionosphere", solved ? Json(ionosphere_name(a.ionosphere)) : Json()},
      {"air_estimated", solved ? Json(a.air_estimated) : Json()},
      {"handling", solved ? Json(a.handling) : Json()},
      {"antenna",
       {{"type", tie.antenna_type},
        {"delta_enu_m", triple(tie.antenna_delta_enu_m, kSteps)}}},
      {"known", known_json(tie, tie.network.has_value())},
  };
}

Json network_json(const TieContext& c) {
  if (!c.network) {
    return nullptr;
  }
  const solve::Network& n = *c.network;
  const TieReport* suspect = suspected(c);
  const bool tested = n.dof > 0;
  return {{"chi2", number(n.chi2, 1e3)},
          {"dof", n.dof},
          {"limit", tested ? number(n.limit, 1e3) : Json()},
          {"passed", n.passed},
          {"suspect", suspect != nullptr ? Json(name_of(*suspect)) : Json()},
          {"why", n.why}};
}

}  // namespace

Json tie_json(const solve::Solution& solution, const TieContext& context) {
  LocateContext here = context.here;
  here.method = tie_method(context);
  Json document = locate_json(solution, here);
  Json ties = Json::array();
  for (const TieReport& tie : context.ties) {
    ties.push_back(tie_row(tie));
  }
  document["ties"] = std::move(ties);
  document["network"] = network_json(context);
  return document;
}

}  // namespace stillpoint::report
