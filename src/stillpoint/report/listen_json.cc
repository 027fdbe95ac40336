#include "stillpoint/report/listen_json.h"

#include "stillpoint/report/json_number.h"
#include "stillpoint/report/locate_json.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::report {
namespace {

using Json = nlohmann::ordered_json;

Json number_or_null(const std::optional<double>& v, double per_unit) {
  return v ? number(*v, per_unit) : Json(nullptr);
}

template <class T>
Json or_null(const std::optional<T>& v) {
  return v ? Json(*v) : Json(nullptr);
}

Json time_or_null(const std::optional<GnssTime>& t) {
  return t ? Json(format_utc(*t)) : Json(nullptr);
}

Json messages_json(const intake::SurveyReport& survey) {
  Json all = Json::array();
  for (const intake::MessageReport& m : survey.messages) {
    all.push_back({{"type", or_null(m.type)},
                   {"count", m.count},
                   {"bytes", m.bytes},
                   {"rate_hz", number_or_null(m.rate_hz, 1e6)},
                   {"decoded", m.decoded}});
  }
  return all;
}

Json station_json(const intake::StationReport& station) {
  Json ecef = nullptr;
  if (station.arp_m) {
    ecef = Json::array({number(station.arp_m->x_m, 1e4),
                        number(station.arp_m->y_m, 1e4),
                        number(station.arp_m->z_m, 1e4)});
  }
  return {{"id", or_null(station.id)},
          {"ecef_m", ecef},
          {"antenna_height_m", number_or_null(station.antenna_height_m, 1e4)},
          {"antenna", or_null(station.antenna)},
          {"receiver", or_null(station.receiver)}};
}

Json systems_json(const intake::SurveyReport& survey) {
  Json all = Json::object();
  for (const System system : kSystems) {
    const auto& seen = survey.systems[static_cast<std::size_t>(system)];
    if (seen) {
      all[std::string(1, system_letter(system))] = {
          {"satellites", seen->satellites},
          {"signals", seen->signals},
          {"ephemerides", seen->ephemerides}};
    }
  }
  return all;
}

}  // namespace

nlohmann::ordered_json listen_json(const intake::SurveyReport& survey,
                                   const std::string& source) {
  Json nmea = Json::array();
  for (const intake::NmeaReport& n : survey.nmea) {
    nmea.push_back({{"type", n.type}, {"count", n.count}});
  }
  return {{"schema_version", kSchemaVersion},
          {"source", source},
          {"seconds", number_or_null(survey.seconds, 1e3)},
          {"bytes", survey.bytes},
          {"messages", messages_json(survey)},
          {"bad",
           {{"crc", survey.bad_crc},
            {"malformed", survey.malformed},
            {"skipped_bytes", survey.skipped_bytes}}},
          {"station", station_json(survey.station)},
          {"systems", systems_json(survey)},
          {"epochs",
           {{"count", survey.epochs.count},
            {"interval_s", number_or_null(survey.epochs.interval_s, 1e3)},
            {"first", time_or_null(survey.epochs.first)},
            {"last", time_or_null(survey.epochs.last)}}},
          {"lacks", survey.lacks},
          {"nmea", nmea},
          {"maker_packets", survey.maker_packets}};
}

}  // namespace stillpoint::report
