// A console over a real station.db and invented views, with requests as a
// browser sends them.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <string>

#include "stillpoint/api/console/console.h"

namespace stillpoint::api::test {

class FakeBackend final : public ConsoleBackend {
 public:
  explicit FakeBackend(std::string folder);

  [[nodiscard]] GnssTime wall() const override { return now_at; }
  [[nodiscard]] GnssTime data_now() const override { return now_at; }
  [[nodiscard]] std::chrono::nanoseconds steady() const override {
    return steady_at;
  }
  [[nodiscard]] ConsoleFacts facts() const override { return facts_are; }
  [[nodiscard]] NowView now() override;
  [[nodiscard]] quality::SkySnapshot sky() override { return sky_is; }
  [[nodiscard]] std::optional<LiveView> live() override { return live_is; }
  [[nodiscard]] StreamView stream() override { return stream_is; }
  [[nodiscard]] Result<RecordView> record(GnssTime, GnssTime) override {
    return record_is;
  }
  [[nodiscard]] std::string raw_folder() const override {
    return folder_ + "/raw";
  }
  Store& store() override { return *store_; }
  people::ConsolePeople& people() override { return *people_; }
  Result<people::NewToken> new_token() override;
  void changed() override { ++changes; }
  [[nodiscard]] std::vector<JobView> jobs() override;
  [[nodiscard]] std::string jobs_note() override { return {}; }
  [[nodiscard]] std::optional<JobView> job(const std::string& id) override;
  Result<std::string> ask(const JobWish& wish, const std::string& by) override;
  Status cancel(const std::string& id, const std::string& by) override;
  [[nodiscard]] std::optional<std::string> job_report(
      const std::string& id) override;
  [[nodiscard]] std::optional<std::string> job_log(
      const std::string& id) override;
  [[nodiscard]] std::optional<std::string> job_file(
      const std::string& id, const std::string& name) override;

  // A new claim code.
  std::string open_claim();
  void advance(double seconds);

  GnssTime now_at;
  std::chrono::nanoseconds steady_at{1'000'000'000};
  ConsoleFacts facts_are;
  quality::SkySnapshot sky_is;
  std::optional<LiveView> live_is;
  StreamView stream_is;
  RecordView record_is;
  std::map<std::string, JobView> jobs_are;
  std::optional<JobWish> asked;
  int changes = 0;

 private:
  std::string folder_;
  std::unique_ptr<Store> store_;
  std::unique_ptr<people::ConsolePeople> people_;
};

// One browser: keeps its cookie and token.
class Browser {
 public:
  explicit Browser(Console& console, std::string address = "127.0.0.1")
      : console_(console), address_(std::move(address)) {}

  net::HttpResponse get(const std::string& target);
  net::HttpResponse send(const std::string& method,
                         const std::string& target,
                         const std::string& body = {});
  // The session of an answer to claim or sessions.
  void take(const net::HttpResponse& answer);

  std::string cookie, token;
  std::map<std::string, std::string> fields;  // sent with everything

 private:
  Console& console_;
  std::string address_;
};

class ConsoleTest {
 public:
  ConsoleTest();
  ~ConsoleTest();
  ConsoleTest(const ConsoleTest&) = delete;
  ConsoleTest& operator=(const ConsoleTest&) = delete;

  // Claims the station as "mara" and signs in.
  Browser owner();
  // A person of that role, signed in.
  Browser person(Browser& owner, const std::string& role);

  std::filesystem::path folder;
  std::unique_ptr<FakeBackend> backend;
  std::unique_ptr<Console> console;
};

}  // namespace stillpoint::api::test
