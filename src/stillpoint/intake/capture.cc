#include "stillpoint/intake/capture.h"

#include <array>

#include "stillpoint/core/check.h"
#include "stillpoint/rtcm/safe_text.h"

namespace stillpoint::intake {
namespace {

constexpr std::size_t kPiece = std::size_t{64} * 1024;
// Sets beyond this are no recording of a receiver.
constexpr std::size_t kMostSets = 200'000;

ByteSpan as_bytes(const char* data, std::size_t size) {
  return {reinterpret_cast<const std::uint8_t*>(data), size};
}

class FactsSink final : public StreamSink {
 public:
  CaptureFacts facts;

  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override {
    if (!origin.legacy && !facts.has_msm) {
      facts.has_msm = true;
      facts.first.reset();
      facts.epochs = 0;
    }
    if (origin.legacy == facts.has_msm) {
      return;
    }
    ++facts.epochs;
    facts.last = epoch.time;
    if (!facts.first) {
      facts.first = epoch.time;
    }
  }
  void on_ephemeris(const KeplerEphemeris& e) override {
    if (facts.navigation.kepler.size() < kMostSets) {
      facts.navigation.kepler.push_back(e);
    }
  }
  void on_ephemeris(const StateEphemeris& e, bool week_known) override {
    if (week_known && facts.navigation.state.size() < kMostSets) {
      facts.navigation.state.push_back(e);
    }
  }
  void on_position(const rtcm::StationPosition& p, int /*type*/) override {
    // 1005 between two 1006 says nothing about the height.
    const auto height = facts.position ? facts.position->antenna_height_m
                                       : std::optional<double>();
    facts.position = p;
    if (!p.antenna_height_m) {
      facts.position->antenna_height_m = height;
    }
  }
  void on_antenna(const rtcm::AntennaDescription& a, int /*type*/) override {
    facts.antenna = rtcm::safe_text(a.descriptor);
    if (a.receiver_type) {
      facts.receiver = rtcm::safe_text(*a.receiver_type);
    }
  }
  void on_week_moved(int weeks) override {
    const std::int64_t ns = weeks * GnssTime::kWeekNs;
    for (auto* t : {&facts.first, &facts.last}) {
      if (*t) {
        *t = GnssTime::from_ns((*t)->ns() + ns);
      }
    }
  }
};

}  // namespace

Result<CaptureFacts> read_capture_facts(const CaptureBytes& bytes,
                                        std::optional<GnssTime> day,
                                        GnssTime era) {
  FactsSink sink;
  StreamReader reader({.decoder = {.day = day, .era = era}, .framings = {}},
                      sink);
  std::vector<char> piece(kPiece);
  while (true) {
    const auto n = bytes(piece);
    if (!n) {
      return fail(n.error());
    }
    if (*n == 0) {
      break;
    }
    reader.push(as_bytes(piece.data(), *n));
  }
  reader.finish();
  sink.facts.week_known = reader.week_known();
  sink.facts.counts = reader.counts();
  return std::move(sink.facts);
}

struct CaptureEpochs::State final : StreamSink {
  State(CaptureBytes b, const CaptureFacts& facts)
      : bytes(std::move(b)),
        legacy(!facts.has_msm),
        reader({.decoder = {.day = facts.first, .era = *facts.first},
                .framings = {}},
               *this) {}
  void on_epoch(const Epoch& epoch, rtcm::EpochOrigin origin) override {
    if (origin.legacy == legacy) {
      waiting.push_back(epoch);
    }
  }

  CaptureBytes bytes;
  bool legacy;
  bool ended = false;
  std::deque<Epoch> waiting;
  std::vector<char> piece = std::vector<char>(kPiece);
  StreamReader reader;
};

CaptureEpochs::CaptureEpochs(CaptureBytes bytes, const CaptureFacts& facts) {
  STILLPOINT_CHECK(facts.week_known && facts.first);
  state_ = std::make_unique<State>(std::move(bytes), facts);
}
CaptureEpochs::~CaptureEpochs() = default;
CaptureEpochs::CaptureEpochs(CaptureEpochs&&) noexcept = default;
CaptureEpochs& CaptureEpochs::operator=(CaptureEpochs&&) noexcept = default;

Result<bool> CaptureEpochs::next(Epoch& epoch) {
  while (state_->waiting.empty() && !state_->ended) {
    const auto n = state_->bytes(state_->piece);
    if (!n) {
      return fail(n.error());
    }
    if (*n == 0) {
      state_->ended = true;
      state_->reader.finish();
    } else {
      state_->reader.push(as_bytes(state_->piece.data(), *n));
    }
  }
  if (state_->waiting.empty()) {
    return false;
  }
  epoch = std::move(state_->waiting.front());
  state_->waiting.pop_front();
  return true;
}

}  // namespace stillpoint::intake
