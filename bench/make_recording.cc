// make_recording CAPTURE FOLDER HOURS [START]
//
// A recording of many hours out of a short capture: its epochs again and again,
// each second a second later, encoded anew as MSM7, with the ephemerides and
// station messages of the capture at every beginning. START is the first epoch
// (2026-06-02 of GPS time); the segments go to FOLDER, the plain bytes to
// standard output.
#include <fmt/format.h>

#include <cstdio>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/archive/recorder.h"
#include "stillpoint/core/text.h"
#include "stillpoint/intake/stream_reader.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;
using Bytes = std::vector<std::uint8_t>;

// Epochs, channels, and every other frame once a type and satellite set.
class Capture final : public intake::StreamSink {
 public:
  std::vector<Epoch> epochs;
  std::vector<Bytes> others;
  rtcm::GlonassChannels channels;

  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override {
    if (!origin.legacy) {
      epochs.push_back(epoch);
    }
  }
  void on_ephemeris(const StateEphemeris& e, bool /*week_known*/) override {
    channels.set(e.sat, e.channel);
  }
  using StreamSink::on_ephemeris;
  void on_rtcm(std::optional<int> type, ByteSpan frame) override {
    constexpr std::size_t kMostOthers = 200;
    if (type && !rtcm::msm_type(*type) && (*type < 1001 || *type > 1004) &&
        (*type < 1009 || *type > 1012) && others.size() < kMostOthers) {
      others.emplace_back(frame.begin(), frame.end());
    }
  }
};

Result<Capture> read_capture(const std::string& path) {
  auto stream = open_unpacked(path);
  if (!stream) {
    return fail(std::move(stream.error()));
  }
  Capture capture;
  intake::StreamReader reader(
      {.decoder = {.day = {}, .era = GnssTime::from_gps_week(2400, 0)},
       .framings = {}},
      capture);
  std::vector<char> piece(1 << 16);
  while (true) {
    const auto n = (*stream)->read(piece);
    if (!n) {
      return fail(n.error());
    }
    if (*n == 0) {
      break;
    }
    reader.push({reinterpret_cast<const std::uint8_t*>(piece.data()), *n});
  }
  reader.finish();
  return capture;
}

class Output {
 public:
  Output(std::string root, GnssTime start)
      : files_(archive::posix_file_system()) {
    archive::RecorderOptions options;
    options.root = std::move(root);
    auto opened = archive::Recorder::open(
        *files_, options, start, [](const archive::ArchiveEvent&) {});
    if (opened) {
      recorder_ = std::move(*opened);
    }
  }
  [[nodiscard]] bool good() const { return recorder_ != nullptr; }
  void add(const Bytes& bytes, GnssTime time) {
    recorder_->append(bytes, time);
    std::fwrite(bytes.data(), 1, bytes.size(), stdout);
  }
  void tick(GnssTime time) { recorder_->tick(time); }
  bool close(GnssTime time) { return recorder_->close(time).has_value(); }

 private:
  std::unique_ptr<FileSystem> files_;
  std::unique_ptr<archive::Recorder> recorder_;
};

int make(const Capture& capture,
         const std::string& root,
         double hours,
         GnssTime start) {
  Output output(root, start);
  if (!output.good()) {
    fmt::print(stderr, "{} cannot be written\n", root);
    return 4;
  }
  rtcm::MsmEncoder encoder({.station_id = 5});
  const auto count = static_cast<std::size_t>(hours * 3600);
  for (std::size_t s = 0; s < count; ++s) {
    const std::size_t at = s % capture.epochs.size();
    const GnssTime time = start + Duration{static_cast<double>(s)};
    Epoch epoch = capture.epochs[at];
    epoch.time = time;
    const GnssTime received = time + Duration{0.2};
    if (at == 0) {
      // Nothing goes on from the end of the capture to its begin.
      for (Observation& row : epoch.observations) {
        row.lli |= 1;
      }
      for (const Bytes& frame : capture.others) {
        output.add(frame, received);
      }
    }
    const auto frames = encoder.encode_frames(epoch, capture.channels);
    if (!frames) {
      fmt::print(stderr, "{}\n", frames.error().text());
      return 3;
    }
    for (const Bytes& frame : *frames) {
      output.add(frame, received);
    }
    output.tick(received);
  }
  return output.close(start + Duration{hours * 3600}) ? 0 : 4;
}

}  // namespace

int main(int count, char** words) {
  const auto hours =
      count >= 4 ? parse_double(words[3]) : std::optional<double>();
  const auto start = parse_time(count == 5 ? words[4] : "2026-06-02");
  if (!hours || !(*hours > 0) || !start || count > 5) {
    fmt::print(stderr, "make_recording CAPTURE FOLDER HOURS [START]\n");
    return 2;
  }
  const auto capture = read_capture(words[1]);
  if (!capture || capture->epochs.empty()) {
    fmt::print(stderr, "{}: no epochs of MSM\n", words[1]);
    return 3;
  }
  return make(*capture, words[2], *hours, *start);
}
