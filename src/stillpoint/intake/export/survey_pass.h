// The first pass: what the headers must say.
#pragma once

#include <map>
#include <utility>

#include "stillpoint/intake/export/archive_pass.h"
#include "stillpoint/intake/export/period_facts.h"
#include "stillpoint/rtcm/raw_legacy.h"
#include "stillpoint/rtcm/raw_msm.h"

namespace stillpoint::intake {

struct SurveyFindings {
  FactsByPeriod periods;
  StationFacts station;  // as last said
  std::map<SatId, int> glonass_channels;
  // By how much the coordinate that was sent changed, at most [m].
  double position_moved_m = 0;
  // A name of antenna or receiver that was sent changed.
  bool names_changed = false;
};

class SurveyPass final : public ArchivePass {
 public:
  SurveyPass(const ExportRequest& request, StretchDays days)
      : ArchivePass(request, std::move(days), nullptr) {}

  // After run().
  SurveyFindings findings();

 private:
  void take(const Period& period,
            const RecordedEpoch& recorded,
            bool legacy) override;
  void on_rtcm(std::optional<int> type, ByteSpan frame) override;
  void on_ephemeris(const StateEphemeris& e, bool week_known) override;
  using StreamSink::on_ephemeris;
  void on_position(const rtcm::StationPosition& position, int type) override;
  void on_antenna(const rtcm::AntennaDescription& antenna, int type) override;
  void on_glonass_biases(const rtcm::GlonassBiases& biases) override;
  void on_system_parameters(const rtcm::SystemParameters& p) override;

  void read_msm_channels(ByteSpan payload);
  void read_legacy_channels(ByteSpan payload);

  SurveyFindings found_;
  std::optional<Period> newest_;
  std::uint64_t no_news_ = 0;  // messages of satellites that are known
  rtcm::RawMsm msm_;
  rtcm::RawLegacyGlonass legacy_;
};

}  // namespace stillpoint::intake
