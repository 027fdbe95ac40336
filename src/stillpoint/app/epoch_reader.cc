#include "stillpoint/app/epoch_reader.h"

#include <fmt/format.h>

#include <array>
#include <utility>

#include "stillpoint/app/locate_inputs.h"
#include "stillpoint/app/stream_source.h"
#include "stillpoint/net/source_address.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/source_day.h"

namespace stillpoint::app {
namespace {

constexpr std::size_t kHead = std::size_t{64} * 1024;

class RinexEpochs final : public EpochReader {
 public:
  RinexEpochs(rinex::ObservationReader reader, std::string path)
      : reader_(std::move(reader)), path_(std::move(path)) {}
  [[nodiscard]] const rinex::ObservationHeader& header() const override {
    return reader_.header();
  }
  Result<bool> next(Epoch& epoch) override { return reader_.next(epoch); }
  void warn(std::vector<solve::Warning>& warnings) const override {
    warn_damaged(path_, reader_.problem_count(), reader_.problems(), warnings);
  }

 private:
  rinex::ObservationReader reader_;
  std::string path_;
};

class CaptureReader final : public EpochReader {
 public:
  CaptureReader(intake::CaptureEpochs epochs,
                const intake::CaptureFacts& facts,
                std::string path)
      : epochs_(std::move(epochs)),
        counts_(facts.counts),
        path_(std::move(path)) {
    header_.antenna_type = facts.antenna;
    header_.receiver_type = facts.receiver;
    header_.first_obs = facts.first;
    header_.last_obs = facts.last;
    if (facts.position) {
      header_.approx_position_m = facts.position->arp_m;
      header_.antenna_delta_enu_m.u_m =
          facts.position->antenna_height_m.value_or(0);
    }
  }
  [[nodiscard]] const rinex::ObservationHeader& header() const override {
    return header_;
  }
  Result<bool> next(Epoch& epoch) override { return epochs_.next(epoch); }
  void warn(std::vector<solve::Warning>& warnings) const override {
    const auto& split = counts_.split;
    if (split.bad_checksum > 0 || counts_.malformed > 0) {
      warnings.push_back(
          {"input_damaged",
           fmt::format("{}: {} failed checksums and {} unreadable messages "
                       "were stepped over, {} bytes in no frame",
                       path_,
                       split.bad_checksum,
                       counts_.malformed,
                       split.skipped_bytes),
           std::nullopt});
    }
  }

 private:
  intake::CaptureEpochs epochs_;
  intake::StreamCounts counts_;
  std::string path_;
  rinex::ObservationHeader header_;
};

Result<std::unique_ptr<EpochReader>> open_capture(const InputPath& input) {
  const auto facts = capture_facts(input);
  if (!facts) {
    return fail(facts.error());
  }
  if (!facts->first) {
    return fail(ErrorCode::kNoData,
                "there are no observations in this recorded stream",
                input.path,
                "record a stream with MSM or the messages 1001 to 1012");
  }
  if (!facts->week_known) {
    return fail(ErrorCode::kNoData,
                "nothing in this recorded stream tells its week",
                input.path,
                "name the day: file:" + input.path + "?date=YYYY-MM-DD");
  }
  auto bytes = open_packed_file(input.path);
  if (!bytes) {
    return fail(std::move(bytes.error()));
  }
  return std::make_unique<CaptureReader>(
      intake::CaptureEpochs(std::move(*bytes), *facts), *facts, input.path);
}

}  // namespace

Result<InputPath> parse_input(const std::string& text) {
  if (!text.starts_with("file:")) {
    return InputPath{text, std::nullopt};
  }
  const auto address = net::parse_source(text);
  if (!address) {
    return fail(address.error());
  }
  return InputPath{address->path, station::day_of(*address)};
}

bool is_capture(const std::string& path) {
  auto bytes = open_packed_file(path);
  if (!bytes) {
    return false;
  }
  std::vector<char> head(kHead);
  std::size_t size = 0;
  while (size < head.size()) {
    const auto n = (*bytes)(std::span(head).subspan(size));
    if (!n || *n == 0) {
      break;
    }
    size += *n;
  }
  return intake::looks_like_capture(
      {reinterpret_cast<const std::uint8_t*>(head.data()), size});
}

Result<intake::CaptureFacts> capture_facts(const InputPath& input) {
  auto bytes = open_packed_file(input.path);
  if (!bytes) {
    return fail(std::move(bytes.error()));
  }
  return intake::read_capture_facts(*bytes, input.day, station::wall_now());
}

Result<std::unique_ptr<EpochReader>> open_epochs(const std::string& text) {
  const auto input = parse_input(text);
  if (!input) {
    return fail(input.error());
  }
  if (is_capture(input->path)) {
    return open_capture(*input);
  }
  auto stream = open_unpacked(input->path);
  if (!stream) {
    return fail(std::move(stream.error()));
  }
  auto reader = rinex::ObservationReader::open(std::move(*stream));
  if (!reader) {
    return fail(std::move(reader.error()));
  }
  return std::make_unique<RinexEpochs>(std::move(*reader), input->path);
}

}  // namespace stillpoint::app
