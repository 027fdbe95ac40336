// A door with invented accounts, and hashes that are counted.
#pragma once

#include <gtest/gtest.h>

#include <atomic>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "stillpoint/people/door.h"

namespace stillpoint::people {

class DoorTest : public ::testing::Test {
 protected:
  static constexpr std::string_view kAddress = "192.0.2.7";

  const SecretKey key_ = SecretKey::random();
  const NewToken token_ = make_stream_token(key_);
  std::map<std::string, User, std::less<>> users_;
  std::atomic<int> lookups_ = 0;
  std::vector<std::string> hashed_;  // the stored hash of every slow check
  std::optional<Error> lookup_error_, check_error_;
  Door::Time now_ = std::chrono::hours{100};
  std::unique_ptr<Door> door_;

  void SetUp() override {
    users_["ditch-1"] = {
        "ditch-1", UserKind::kStream, token_.hash, {}, {}, true};
    // Here the "hash" of a password is the password itself.
    users_["club-guest"] = {
        "club-guest", UserKind::kPerson, "four words", {}, {}, true};
    door_ = std::make_unique<Door>(
        SecretKey(key_.bytes()),
        [this](std::string_view name) { return look_up(name); },
        DoorConfig{{{"LHOL", false, 0}, {"OPEN", true, 0}}},
        [this](std::string_view hash, std::string_view password) {
          return slow_check(hash, password);
        });
  }

  static Question question(std::string_view user,
                           std::string_view password,
                           std::string_view mount = "LHOL",
                           std::string_view address = kAddress) {
    return {mount, user, password, address};
  }

  // As the station asks: the second stage where the first gives nothing.
  Decision ask(const Question& question) {
    const auto first = door_->first(question, now_);
    return first ? *first : door_->finish(question, now_);
  }
  Admission admission(const Question& question) {
    return ask(question).admission;
  }
  Admission guess(std::string_view password,
                  std::string_view user = "club-guest") {
    return admission(question(user, password));
  }

 private:
  Result<std::optional<User>> look_up(std::string_view name) {
    ++lookups_;
    if (lookup_error_) {
      return fail(*lookup_error_);
    }
    const auto found = users_.find(name);
    return found == users_.end() ? std::nullopt : std::optional(found->second);
  }
  Result<bool> slow_check(std::string_view hash, std::string_view password) {
    hashed_.emplace_back(hash);
    if (check_error_) {
      return fail(*check_error_);
    }
    return hash == password;
  }
};

}  // namespace stillpoint::people
