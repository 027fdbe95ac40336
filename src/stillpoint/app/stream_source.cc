#include "stillpoint/app/stream_source.h"

#include <cstdlib>
#include <random>
#include <utility>

#include "stillpoint/intake/epoch_pace.h"
#include "stillpoint/ntrip/client_source.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::app {
namespace {

class PaceByEpochs final : public net::Pacer {
 public:
  Step next(ByteSpan ahead, bool /*all*/) override {
    const intake::EpochPace::Step step = pace_.next(ahead);
    return {step.bytes, step.due_s};
  }

 private:
  intake::EpochPace pace_;
};

std::optional<std::string> environment(const std::string& name) {
  const char* value = std::getenv(name.c_str());
  return value == nullptr ? std::nullopt : std::optional<std::string>(value);
}

net::SourceOptions source_options() {
  net::SourceOptions options;
  options.random = [engine = std::mt19937(std::random_device{}())]() mutable {
    return std::uniform_real_distribution<double>(0, 1)(engine);
  };
  options.environment = environment;
  options.open_file = open_packed_file;
  options.pacer = std::make_shared<PaceByEpochs>();
  return options;
}

}  // namespace

Result<net::FileReader> open_packed_file(const std::string& path) {
  auto stream = open_unpacked(path);
  if (!stream) {
    return fail(std::move(stream.error()));
  }
  // std::function wants something that can be copied.
  std::shared_ptr<ByteStream> shared = std::move(*stream);
  return [shared](std::span<char> into) { return shared->read(into); };
}

Result<std::unique_ptr<net::ByteSource>> open_stream(
    net::Loop& loop, const net::SourceAddress& address) {
  return ntrip::open_any_source(
      loop,
      address,
      source_options(),
      {.program_version = STILLPOINT_VERSION, .gga = {}});
}

std::optional<GnssTime> day_of(const net::SourceAddress& address) {
  if (address.date.empty()) {
    return std::nullopt;
  }
  const auto day = parse_time(address.date);
  return day ? std::optional<GnssTime>(*day + Duration{43'200}) : std::nullopt;
}

}  // namespace stillpoint::app
