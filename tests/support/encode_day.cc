// Observations of a RINEX file as a receiver's stream of MSM7, for tests that
// play a real day into the station:
//
//   encode_day OBSERVATIONS OUT.rtcm3
#include <cstdio>
#include <fstream>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/rtcm/msm_encoder.h"

namespace {

int wrong(const std::string& what) {
  std::fprintf(stderr, "encode_day: %s\n", what.c_str());
  return 1;
}

}  // namespace

int main(int count, char** words) {
  using namespace stillpoint;
  if (count != 3) {
    return wrong("give OBSERVATIONS OUT");
  }
  auto stream = open_unpacked(words[1]);
  if (!stream) {
    return wrong(stream.error().text());
  }
  auto reader = rinex::ObservationReader::open(std::move(*stream));
  if (!reader) {
    return wrong(reader.error().text());
  }
  rtcm::GlonassChannels channels;
  for (const auto& [sat, channel] : reader->header().glonass_channels) {
    channels.set(sat, channel);
  }
  std::ofstream out(words[2], std::ios::binary);
  rtcm::MsmEncoder encoder({.station_id = 177});
  Epoch epoch;
  std::uint64_t epochs = 0;
  while (true) {
    const auto more = reader->next(epoch);
    if (!more) {
      return wrong(more.error().text());
    }
    if (!*more) {
      break;
    }
    const auto frames = encoder.encode_frames(epoch, channels);
    if (!frames) {
      return wrong(frames.error().text());
    }
    for (const auto& frame : *frames) {
      out.write(reinterpret_cast<const char*>(frame.data()),
                static_cast<std::streamsize>(frame.size()));
    }
    ++epochs;
  }
  out.close();
  std::printf("%llu\n", static_cast<unsigned long long>(epochs));
  return out ? 0 : wrong("the output cannot be written");
}
