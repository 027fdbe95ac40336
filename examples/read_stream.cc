// What is in a recorded stream of a receiver, and what a base still lacks:
//   read_stream FILE
// Without a file it reads a frame with the coordinate of an invented station.
#include <cstdio>
#include <fstream>
#include <iterator>
#include <vector>

#include "stillpoint/intake/survey.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/station.h"

namespace {

using namespace stillpoint;

std::vector<std::uint8_t> invented() {
  rtcm::StationPosition position;
  position.station_id = 7;
  position.arp_m = to_ecef({0.8255, 0.1553, 512.0});
  const auto raw = rtcm::to_raw(position);
  return raw ? rtcm::make_frame(rtcm::encode_fields(*raw))
             : std::vector<std::uint8_t>{};
}

std::vector<std::uint8_t> bytes_of(const char* path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

int main(int argc, char** argv) {
  const auto bytes = argc > 1 ? bytes_of(argv[1]) : invented();
  intake::Survey survey(
      {.decoder = {.day = {}, .era = GnssTime::from_gps_week(2400, 0)},
       .framings = {}});
  survey.push(bytes);  // in pieces of any size, as they come
  survey.finish();
  const intake::SurveyReport report = survey.report(std::nullopt);
  for (const intake::MessageReport& m : report.messages) {
    std::printf("%d: %llu\n",
                m.type.value_or(-1),
                static_cast<unsigned long long>(m.count));
  }
  for (const std::string& lack : report.lacks) {
    std::printf("lacks %s\n", lack.c_str());
  }
  return report.any_frame() ? 0 : 1;
}
