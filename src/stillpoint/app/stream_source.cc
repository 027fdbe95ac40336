#include "stillpoint/app/stream_source.h"

#include <cstdlib>
#include <random>
#include <utility>
#include <variant>

#include "stillpoint/intake/epoch_pace.h"
#include "stillpoint/ntrip/client_source.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rtcm/safe_text.h"

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

constexpr std::size_t kMostNamed = 20;

std::string names_of(const ntrip::Sourcetable& table) {
  std::string names;
  std::size_t count = 0;
  for (const auto& record : table.records) {
    const auto* stream = std::get_if<ntrip::StreamRecord>(&record);
    if (stream != nullptr && ++count <= kMostNamed) {
      names +=
          (names.empty() ? "" : ", ") + rtcm::safe_text(stream->mountpoint);
    }
  }
  if (count > kMostNamed) {
    names += ", and " + std::to_string(count - kMostNamed) + " more";
  }
  return names;
}

}  // namespace

Error mountpoint_missing(const net::SourceAddress& address) {
  net::Loop loop;
  Result<ntrip::Sourcetable> table = fail(ErrorCode::kIo, "no answer");
  const auto request = ntrip::fetch_sourcetable(
      loop,
      address,
      source_options(),
      {.program_version = STILLPOINT_VERSION, .gga = {}},
      [&](Result<ntrip::Sourcetable> answer) {
        table = std::move(answer);
        loop.stop();
      });
  loop.run();
  if (!table) {
    return table.error();
  }
  const std::string names = names_of(*table);
  return {ErrorCode::kUsage,
          "no mountpoint is named; the caster has " +
              (names.empty() ? std::string("none") : names),
          address.host,
          "write one of them behind the host, with a slash between"};
}

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

}  // namespace stillpoint::app
