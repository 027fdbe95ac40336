// Records ten seconds of invented bytes and reads them back:
//   read_segment [FOLDER]
// With a folder it counts what is recorded there, and names every gap.
#include <cinttypes>
#include <cstdio>
#include <filesystem>
#include <string>
#include <vector>

#include "stillpoint/archive/archive_reader.h"
#include "stillpoint/archive/posix_file_system.h"
#include "stillpoint/archive/recorder.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;

class Count final : public archive::ArchiveSink {
 public:
  void on_bytes(const archive::ArchiveBytes& b) override {
    bytes += b.bytes.size();
    last = b.received;
  }
  void on_gap(const archive::Gap& gap) override {
    std::printf(
        "gap       bytes %" PRIu64 " to %" PRIu64 "\n", gap.from, gap.to);
  }
  std::uint64_t bytes = 0;
  GnssTime last;
};

void record_something(FileSystem& files, const std::string& folder) {
  const GnssTime start = GnssTime::from_gps_week(2394, 302'400);  // invented
  archive::RecorderOptions options;
  options.root = folder;
  auto recorder = archive::Recorder::open(files, options, start, {});
  for (int i = 0; recorder && i < 10; ++i) {
    (*recorder)->append(std::vector<std::uint8_t>(200, 0xD3),
                        start + Duration{static_cast<double>(i)});
  }
  if (recorder && (*recorder)->close(start + Duration{10})) {
    std::printf("recorded  %" PRIu64 " bytes, all safe\n",
                (*recorder)->durable_offset());
  }
}

}  // namespace

int main(int count, char** words) {
  const auto files = archive::posix_file_system();
  std::string folder;
  if (count > 1) {
    folder = words[1];
  } else {
    folder = std::filesystem::temp_directory_path() / "stillpoint-read-segment";
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);
    record_something(*files, folder);
  }
  Count sink;
  const auto end = archive::read_archive(*files,
                                         folder,
                                         GnssTime::from_gps_week(0, 0),
                                         GnssTime::from_gps_week(6000, 0),
                                         sink);
  if (count <= 1) {
    std::filesystem::remove_all(folder);
  }
  if (!end) {
    std::printf("%s\n", end.error().text().c_str());
    return 1;
  }
  std::printf("read      %" PRIu64 " bytes, the last at %s\n",
              sink.bytes,
              format_utc(sink.last).c_str());
  return count > 1 || sink.bytes == 2000 ? 0 : 1;
}
