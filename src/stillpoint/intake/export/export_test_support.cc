#include "stillpoint/intake/export/export_test_support.h"

#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/rtcm/ephemeris.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/legacy_encode.h"
#include "stillpoint/rtcm/station.h"

namespace stillpoint::intake::export_test {
namespace {

rtcm::GlonassChannels channels() {
  rtcm::GlonassChannels known;
  known.set(kR03, 5);
  return known;
}

Observation observation(const char* signal, double code_m, double wave_m) {
  Observation o;
  o.signal = {signal[0], signal[1]};
  o.code_m = code_m;
  o.phase_cyc = code_m / wave_m;
  o.doppler_hz = -19 / wave_m;
  o.cn0_dbhz = 45;
  return o;
}

Epoch epoch_at(GnssTime time) {
  const double t_s = time.tow_s();
  Epoch epoch;
  epoch.time = time;
  epoch.observations = {observation("1C", 2.1e7 + 20 * t_s / 1e3, 0.19029),
                        observation("2W", 2.1e7 + 20 * t_s / 1e3, 0.24421),
                        observation("1C", 2.0e7 - 20 * t_s / 1e3, 0.187),
                        observation("2C", 2.0e7 - 20 * t_s / 1e3, 0.240)};
  epoch.satellites = {{kG07, 2, 0}, {kR03, 2, 2}};
  return epoch;
}

void append(const Frames& more, Frames& to) {
  to.insert(to.end(), more.begin(), more.end());
}

template <class Raw>
Frames framed(const Raw& raw) {
  return rtcm::make_frame(rtcm::encode_fields(raw));
}

}  // namespace

Frames PaperBase::epoch(GnssTime time) {
  Epoch epoch = epoch_at(time);
  if (hidden_) {
    std::erase_if(epoch.satellites,
                  [&](const SatRows& rows) { return rows.sat == *hidden_; });
  }
  if (lost_) {
    for (const SatRows& rows : epoch.satellites) {
      for (std::size_t i = rows.first; i < rows.first + rows.count; ++i) {
        if (rows.sat == lost_->first &&
            epoch.observations[i].signal == lost_->second) {
          epoch.observations[i].lli = 1;
          lost_.reset();
          break;
        }
      }
    }
  }
  Frames bytes;
  const auto frames = encoder_.encode_frames(epoch, channels());
  EXPECT_TRUE(frames);
  for (const auto& frame : *frames) {
    append(frame, bytes);
  }
  return bytes;
}

Frames PaperBase::position(const Ecef& arp_m, std::optional<double> height_m) {
  rtcm::StationPosition position;
  position.arp_m = arp_m;
  position.antenna_height_m = height_m;
  position.quarter_cycle = rtcm::QuarterCycle::kCorrected;
  return framed(*to_raw(position));
}

Frames PaperBase::antenna(const std::string& name) {
  rtcm::AntennaDescription antenna;
  antenna.descriptor = name;
  antenna.serial = "0001";
  antenna.receiver_type = "SPDEMO-R1";
  antenna.firmware = "1.0";
  antenna.receiver_serial = "77";
  return framed(*to_raw(antenna, 1033));
}

Frames PaperBase::ephemeris(std::uint8_t gps, GnssTime toe) {
  KeplerEphemeris e;
  e.sat = {System::kGps, gps};
  e.toc = e.toe = toe;
  e.sqrt_a_sqrt_m = 5153.6;
  e.accuracy_m = 2;
  return framed(*rtcm::to_raw_gps(e));
}

Frames PaperBase::older(GnssTime time) {
  rtcm::LegacyEncodeOptions options;
  options.lock_s = [](SatId, SignalCode) { return 1e6; };
  return framed(*rtcm::to_raw_legacy_gps(1004, epoch_at(time), options));
}

Recording::Recording() : files_(archive::posix_file_system()) {
  std::string name = std::filesystem::temp_directory_path() / "recordingXXXXXX";
  root_ = ::mkdtemp(name.data()) == nullptr ? "" : name;
  EXPECT_FALSE(root_.empty());
}

Recording::~Recording() {
  std::error_code ignored;
  std::filesystem::remove_all(root_, ignored);
}

void Recording::open(GnssTime now) {
  archive::RecorderOptions options;
  options.root = root_;
  options.new_stream = 0x4C484F4C;
  auto opened = archive::Recorder::open(
      *files_, options, now, [](const archive::ArchiveEvent&) {});
  ASSERT_TRUE(opened) << opened.error().text();
  recorder_ = std::move(*opened);
}

void Recording::add(const Frames& bytes, GnssTime received) {
  if (!recorder_) {
    open(received);
  }
  recorder_->append(bytes, received);
  recorder_->tick(received);
  now_ = received;
  bytes_ += bytes.size();
}

void Recording::add_epochs(PaperBase& base, GnssTime from, int seconds) {
  for (int s = 0; s < seconds; ++s) {
    const GnssTime time = from + Duration{static_cast<double>(s)};
    add(base.epoch(time), time + Duration{0.2});
  }
}

void Recording::close() {
  if (recorder_) {
    EXPECT_TRUE(recorder_->close(now_));
    recorder_.reset();
  }
}

void Recording::break_off() {
  recorder_->tick(now_ + Duration{10});
  recorder_.reset();
}

std::vector<std::string> Recording::segments() const {
  std::vector<std::string> paths;
  for (const auto& entry :
       std::filesystem::recursive_directory_iterator(root_)) {
    if (entry.path().extension() == ".seg") {
      paths.push_back(entry.path());
    }
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

ReadBack Exported::observations(const std::string& name) const {
  ReadBack back;
  const auto file = files.find(name);
  EXPECT_TRUE(file != files.end()) << name;
  if (file == files.end()) {
    return back;
  }
  auto reader =
      rinex::ObservationReader::open(memory_stream(file->second, name));
  EXPECT_TRUE(reader) << reader.error().text();
  if (!reader) {
    return back;
  }
  Epoch epoch;
  while (true) {
    const auto more = reader->next(epoch);
    EXPECT_TRUE(more) << more.error().text();
    if (!more || !*more) {
      break;
    }
    back.epochs.push_back(epoch);
  }
  EXPECT_EQ(reader->problem_count(), 0U);
  back.header = reader->header();
  return back;
}

rinex::NavigationFile Exported::navigation(const std::string& name) const {
  const auto file = files.find(name);
  EXPECT_TRUE(file != files.end()) << name;
  if (file == files.end()) {
    return {};
  }
  auto read = rinex::read_navigation(memory_stream(file->second, name));
  EXPECT_TRUE(read) << read.error().text();
  return read ? std::move(*read) : rinex::NavigationFile{};
}

bool Exported::warns(const std::string& code) const {
  return std::any_of(answer.warnings.begin(),
                     answer.warnings.end(),
                     [&](const auto& w) { return w.code == code; });
}

std::vector<std::string> Exported::names() const {
  std::vector<std::string> list;
  for (const ExportedFile& file : answer.files) {
    list.push_back(file.name);
  }
  return list;
}

ExportRequest request() {
  ExportRequest r;
  r.naming.station = "LHOL00XXX";
  r.program = "test";
  r.run_date = "20261129 041500 UTC";
  r.era = GnssTime::from_gps_week(2400, 0);
  return r;
}

Exported exported(Recording& recording, const ExportRequest& request) {
  recording.close();
  Exported done;
  auto answer = export_archive(
      recording.files(),
      recording.root(),
      request,
      [&](const std::string& name) -> Result<std::unique_ptr<ByteSink>> {
        return memory_sink(done.files[name]);
      },
      {});
  EXPECT_TRUE(answer) << answer.error().text();
  if (answer) {
    done.answer = std::move(*answer);
  }
  return done;
}

Result<ExportAnswer> tried(Recording& recording, const ExportRequest& request) {
  recording.close();
  std::map<std::string, std::string> files;
  return export_archive(
      recording.files(),
      recording.root(),
      request,
      [&](const std::string& name) -> Result<std::unique_ptr<ByteSink>> {
        return memory_sink(files[name]);
      },
      {});
}

std::vector<double> times_of(const ReadBack& back, GnssTime since) {
  std::vector<double> times;
  for (const Epoch& epoch : back.epochs) {
    times.push_back((epoch.time - since).s);
  }
  return times;
}

Observation row_of(const Epoch& epoch, SatId sat, const char* signal) {
  for (const SatRows& rows : epoch.satellites) {
    for (const Observation& row : epoch.rows(rows)) {
      if (rows.sat == sat && row.signal.text() == signal) {
        return row;
      }
    }
  }
  ADD_FAILURE() << sat.text() << " " << signal << " is not there";
  return {};
}

}  // namespace stillpoint::intake::export_test
