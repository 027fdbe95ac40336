#include "stillpoint/people/guessing.h"

#include <algorithm>
#include <string>

namespace stillpoint::people {
namespace {

// WrongLogins counts by address; a name must not be taken for one.
std::string person(std::string_view name) {
  return "person " + std::string(name);
}

}  // namespace

Guessing::Time Guessing::wait(std::string_view address, Time now) const {
  Time all{0};
  if (newest_.size() >= kMostInAMinute) {
    all = newest_.front() + std::chrono::minutes{1} - now;
  }
  return std::max({by_address_.wait(address, now), all, Time{0}});
}

void Guessing::wrong(std::string_view address,
                     std::string_view name,
                     Time now) {
  by_address_.wrong(address, name, now);
  newest_.push_back(now);
  if (newest_.size() > kMostInAMinute) {
    newest_.pop_front();
  }
}

void Guessing::right(std::string_view address, std::string_view name) {
  by_address_.right(address, name);
}

Guessing::Time Guessing::wait_in_session(std::string_view address,
                                         std::string_view name,
                                         Time now) const {
  return std::max(by_address_.wait(address, now),
                  by_person_.wait(person(name), now));
}

void Guessing::wrong_in_session(std::string_view address,
                                std::string_view name,
                                Time now) {
  by_address_.wrong(address, name, now);
  by_person_.wrong(person(name), name, now);
}

void Guessing::right_in_session(std::string_view address,
                                std::string_view name) {
  by_address_.right(address, name);
  by_person_.right(person(name), name);
}

}  // namespace stillpoint::people
