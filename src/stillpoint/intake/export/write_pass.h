// The second pass: epochs and ephemerides into the files of their periods.
#pragma once

#include <bitset>
#include <optional>
#include <vector>

#include "stillpoint/intake/export/archive_pass.h"
#include "stillpoint/intake/export/export_answer.h"
#include "stillpoint/intake/export/set_collector.h"
#include "stillpoint/intake/export/survey_pass.h"

namespace stillpoint::intake {

class WritePass final : public ArchivePass {
 public:
  // What is handed in outlives the pass; `found` by a pass of the same request
  // over the same bytes.
  WritePass(const ExportRequest& request,
            StretchDays days,
            const StreamEnds& limits,
            const SurveyFindings& found,
            const std::vector<archive::Gap>& gaps,
            const OpenFile& open);

  // After run(): closes what is open.
  //
  //   errors   of the files' writing
  Status finish();

  [[nodiscard]] std::vector<ExportedFile>& files() { return files_; }
  [[nodiscard]] rinex::LeftOutValues& left_out() { return left_out_; }

 private:
  void take(const Period& period,
            const RecordedEpoch& recorded,
            bool legacy) override;
  [[nodiscard]] bool goes_on() const override { return status_.has_value(); }
  void on_ephemeris(const KeplerEphemeris& e) override { add_set(e); }
  void on_ephemeris(const StateEphemeris& e, bool week_known) override {
    if (week_known) {
      add_set(e);
    }
  }

  template <class Set>
  void add_set(const Set& set);
  Status begin_observations(const Period& period, const PeriodFacts& facts);
  Status end_observations();
  Status write_sets();
  Status write_set_file(std::optional<System> only);

  const SurveyFindings& found_;
  const std::vector<archive::Gap>& gaps_;
  const OpenFile& open_;

  std::optional<rinex::ObservationWriter> writer_;
  std::optional<Period> period_;        // of the file in work, or the last
  const PeriodFacts* facts_ = nullptr;  // of it
  ExportedFile file_;                   // of the file in work
  SetCollector sets_;
  std::optional<Period> sets_period_;
  std::vector<ExportedFile> files_;
  rinex::LeftOutValues left_out_;
  Status status_ = ok();
};

}  // namespace stillpoint::intake
