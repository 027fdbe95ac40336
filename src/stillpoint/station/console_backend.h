// What the console shows, gathered from the station's parts.
#pragma once

#include <functional>
#include <string>

#include "stillpoint/api/console/backend.h"
#include "stillpoint/station/adopted_watch.h"
#include "stillpoint/station/record_index.h"
#include "stillpoint/station/status_board.h"

namespace stillpoint::station {

struct Parts;

//   threads  one: that of the pages
class ConsoleBackend final : public api::ConsoleBackend {
 public:
  // All outlive it.
  //
  //   changed  called where the database was changed through the console
  ConsoleBackend(Parts& parts,
                 Store& store,
                 people::ConsolePeople& people,
                 AdoptedWatch& adopted,
                 std::function<void()> changed);

  void set_fingerprint(std::string fingerprint) {
    fingerprint_ = std::move(fingerprint);
  }

  [[nodiscard]] GnssTime wall() const override;
  [[nodiscard]] std::chrono::nanoseconds steady() const override;
  [[nodiscard]] GnssTime data_now() const override;
  [[nodiscard]] api::ConsoleFacts facts() const override;
  [[nodiscard]] api::NowView now() override;
  [[nodiscard]] quality::SkySnapshot sky() override;
  [[nodiscard]] std::optional<api::LiveView> live() override;
  [[nodiscard]] api::StreamView stream() override;
  [[nodiscard]] Result<api::RecordView> record(GnssTime from,
                                               GnssTime to) override;
  [[nodiscard]] std::string raw_folder() const override;
  Store& store() override { return store_; }
  people::ConsolePeople& people() override { return people_; }
  Result<people::NewToken> new_token() override;
  void changed() override { changed_(); }
  [[nodiscard]] std::vector<api::JobView> jobs() override;
  [[nodiscard]] std::string jobs_note() override;
  [[nodiscard]] std::optional<api::JobView> job(const std::string& id) override;
  Result<std::string> ask(const api::JobWish& wish,
                          const std::string& by) override;
  Status cancel(const std::string& id, const std::string& by) override;
  [[nodiscard]] std::optional<std::string> job_report(
      const std::string& id) override;
  [[nodiscard]] std::optional<std::string> job_log(
      const std::string& id) override;
  [[nodiscard]] std::optional<std::string> job_file(
      const std::string& id, const std::string& name) override;

 private:
  [[nodiscard]] api::RoadFacts road(const ControlFacts& control,
                                    const DecodedFacts& decoded);

  Parts& parts_;
  Store& store_;
  people::ConsolePeople& people_;
  AdoptedWatch& adopted_;
  std::function<void()> changed_;
  RecordIndex index_;
  std::string fingerprint_;
  std::array<std::optional<GnssTime>, 8> done_at_{};
};

}  // namespace stillpoint::station
