// What the console needs of the station: views, the database, people, jobs.
// The station implements it; tests do so with values.
#pragma once

#include <array>
#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/api/console/views.h"
#include "stillpoint/core/result.h"
#include "stillpoint/people/console_people.h"
#include "stillpoint/people/secrets.h"
#include "stillpoint/store/store.h"

namespace stillpoint::api {

// What does not change while the station runs, but for the names.
struct ConsoleFacts {
  std::string station, place, version;
  bool simulated = false;
  std::string fingerprint;  // of the certificate; empty: none
  // From the marker to the antenna's reference point, and the antenna's name,
  // as the settings say.
  std::array<double, 3> antenna_delta_enu_m{};
  std::string antenna_type;
};

//   threads  all calls come from the console's thread
class ConsoleBackend {
 public:
  virtual ~ConsoleBackend() = default;

  [[nodiscard]] virtual GnssTime wall() const = 0;
  [[nodiscard]] virtual std::chrono::nanoseconds steady() const = 0;
  // Of the data: another than the wall's where the source names their day.
  [[nodiscard]] virtual GnssTime data_now() const = 0;
  [[nodiscard]] virtual ConsoleFacts facts() const = 0;

  [[nodiscard]] virtual NowView now() = 0;
  [[nodiscard]] virtual quality::SkySnapshot sky() = 0;
  [[nodiscard]] virtual std::optional<LiveView> live() = 0;
  [[nodiscard]] virtual StreamView stream() = 0;
  [[nodiscard]] virtual Result<RecordView> record(GnssTime from,
                                                  GnssTime to) = 0;
  // The folder of raw data, for downloads.
  [[nodiscard]] virtual std::string raw_folder() const = 0;

  virtual Store& store() = 0;
  virtual people::ConsolePeople& people() = 0;
  // A new token for a rover; its hash is under the station's key.
  virtual Result<people::NewToken> new_token() = 0;
  // The adopted coordinate, accounts or people have changed: whoever holds
  // values of them looks again.
  virtual void changed() = 0;

  [[nodiscard]] virtual std::vector<JobView> jobs() = 0;
  // Why the station computes less than it could; may be empty.
  [[nodiscard]] virtual std::string jobs_note() = 0;
  [[nodiscard]] virtual std::optional<JobView> job(const std::string& id) = 0;
  virtual Result<std::string> ask(const JobWish& wish,
                                  const std::string& by) = 0;
  //   errors   kNoData: no such job; kUsage: it has ended
  virtual Status cancel(const std::string& id, const std::string& by) = 0;
  // Paths of what a job left; nothing where there is none of that name.
  [[nodiscard]] virtual std::optional<std::string> job_report(
      const std::string& id) = 0;
  [[nodiscard]] virtual std::optional<std::string> job_log(
      const std::string& id) = 0;
  [[nodiscard]] virtual std::optional<std::string> job_file(
      const std::string& id, const std::string& name) = 0;
};

}  // namespace stillpoint::api
