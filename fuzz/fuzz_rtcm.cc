// Any bytes as payloads of RTCM messages: two bytes of length (the lower ten
// bits), then so many bytes of payload, again and again. Oracle: what the raw
// layer reads it writes bit for bit, and whatever the decoder makes of it stays
// inside what an epoch can be.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "stillpoint/core/check.h"
#include "stillpoint/rtcm/decoder.h"
#include "stillpoint/rtcm/frame.h"
#include "stillpoint/rtcm/message_names.h"
#include "stillpoint/rtcm/msm_encoder.h"
#include "stillpoint/rtcm/peek.h"
#include "stillpoint/rtcm/raw_ephemeris.h"
#include "stillpoint/rtcm/raw_legacy.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "stillpoint/rtcm/raw_station.h"

namespace {

using namespace stillpoint;
using namespace stillpoint::rtcm;

bool same(ByteSpan a, const std::vector<std::uint8_t>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end());
}

template <class Raw>
void comes_back(ByteSpan payload) {
  Raw raw;
  if (decode_fields(payload, raw)) {
    STILLPOINT_CHECK(same(payload, encode_fields(raw)));
  }
}

void raw_layer(int type, ByteSpan payload) {
  if (msm_type(type)) {
    RawMsm msm;
    if (decode_msm(payload, msm)) {
      STILLPOINT_CHECK(same(payload, encode_msm(msm)));
    }
  } else if (type >= 1001 && type <= 1004) {
    comes_back<RawLegacyGps>(payload);
  } else if (type == 1005 || type == 1006) {
    comes_back<RawStationPosition>(payload);
  } else if (type == 1007 || type == 1008 || type == 1033) {
    comes_back<RawAntenna>(payload);
  } else if (type >= 1009 && type <= 1012) {
    comes_back<RawLegacyGlonass>(payload);
  } else if (type == 1013) {
    comes_back<RawSystemParameters>(payload);
  } else if (type == 1019) {
    comes_back<RawGpsEphemeris>(payload);
  } else if (type == 1020) {
    comes_back<RawGlonassEphemeris>(payload);
  } else if (type == 1029) {
    comes_back<RawText>(payload);
  } else if (type == 1041) {
    comes_back<RawNavicEphemeris>(payload);
  } else if (type == 1042) {
    comes_back<RawBeidouEphemeris>(payload);
  } else if (type == 1044) {
    comes_back<RawQzssEphemeris>(payload);
  } else if (type == 1045 || type == 1046) {
    comes_back<RawGalileoEphemeris>(payload);
  } else if (type == 1230) {
    comes_back<RawGlonassBiases>(payload);
  }
}

// What comes out of the decoder goes into the encoder again.
class Sink final : public DecoderSink {
 public:
  void on_epoch(const Epoch& epoch, EpochOrigin origin) override {
    std::size_t rows = 0;
    for (const SatRows& sat : epoch.satellites) {
      STILLPOINT_CHECK(sat.first == rows && sat.count > 0);
      rows += sat.count;
    }
    STILLPOINT_CHECK(rows == epoch.observations.size() && rows > 0);
    for (const Observation& row : epoch.observations) {
      STILLPOINT_CHECK(row.any() && !row.signal.empty());
      STILLPOINT_CHECK(!is_present(row.code_m) || std::abs(row.code_m) < 1e9);
    }
    if (!origin.legacy) {
      const auto frames = encoder_.encode_frames(epoch, channels_);
      STILLPOINT_CHECK(frames.has_value());
    }
  }

 private:
  MsmEncoder encoder_{{.station_id = 1, .level = 7}};
  GlonassChannels channels_;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  ByteSpan bytes(data, size);
  Sink sink;
  Decoder decoder({.day = {}, .era = GnssTime::from_gps_week(2300, 0)}, sink);
  GnssTime received = GnssTime::from_gps_week(2300, 100);
  while (bytes.size() > 2) {
    const std::size_t wanted = (bytes[0] & 3U) * std::size_t{256} + bytes[1];
    const bool live = (bytes[0] & 4U) != 0;
    bytes = bytes.subspan(2);
    const ByteSpan payload = bytes.first(std::min(wanted, bytes.size()));
    bytes = bytes.subspan(payload.size());
    const auto type = message_type(payload);
    if (type) {
      raw_layer(*type, payload);
      message_name(*type);
      peek_epoch(payload, received);
      peek_station_id(payload);
    }
    STILLPOINT_CHECK(is_good_frame(make_frame(payload)));
    received = received + Duration{0.3};
    decoder.push(payload,
                 live ? std::optional<GnssTime>(received) : std::nullopt);
    decoder.tick(received);
  }
  decoder.finish();
  return 0;
}
