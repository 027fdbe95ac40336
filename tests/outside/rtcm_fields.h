// The fields of RTCM messages by their DF numbers, as text for comparison with
// a general-purpose library. One list of fields a message: whoever gives a raw
// struct a field must name it here, or the test programs stop.
#pragma once

#include <concepts>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "stillpoint/rtcm/raw_ephemeris.h"
#include "stillpoint/rtcm/raw_legacy.h"
#include "stillpoint/rtcm/raw_msm.h"
#include "stillpoint/rtcm/raw_station.h"

namespace stillpoint::outside {

// "DF025" and its values, in the order of the message; a field that repeats
// has several. Names that are no DF number are those of the library.
class Fields {
 public:
  template <std::integral T>
  void add(const char* name, T value) {
    put(name, std::to_string(broken(name) ? value + 1 : value + 0));
    ++count_;
  }
  void add(const char* name, rtcm::SignMagnitude value) {
    add(name, value.value());
  }
  // A count and the bytes that follow it.
  void text(const char* count, const char* name, std::string_view bytes);
  // A field of which the library names every bit: name_1 is the highest.
  void bits(const char* name, unsigned value, unsigned count);
  // What follows from other fields.
  void word(const char* name, std::string value);

  // The first value of this name will be off by one.
  void break_field(std::string name) { break_ = std::move(name); }
  // Integers that the message itself has.
  [[nodiscard]] std::size_t count() const { return count_; }
  // A line a name: "DF009 2 3 21"; "7*3" stands for "7 7 7". Empties the list.
  std::string take();

 private:
  bool broken(std::string_view name);
  void put(std::string_view name, std::string value);

  std::vector<std::pair<std::string, std::vector<std::string>>> lines_;
  std::string break_;
  std::size_t count_ = 0;
};

void visit(Fields& out, const rtcm::RawStationPosition& m);
void visit(Fields& out, const rtcm::RawAntenna& m);
void visit(Fields& out, const rtcm::RawSystemParameters& m);
void visit(Fields& out, const rtcm::RawText& m);
void visit(Fields& out, const rtcm::RawGlonassBiases& m);
void visit(Fields& out, const rtcm::RawLegacyGps& m);
void visit(Fields& out, const rtcm::RawLegacyGlonass& m);
void visit(Fields& out, const rtcm::RawGpsEphemeris& m);
void visit(Fields& out, const rtcm::RawQzssEphemeris& m);
void visit(Fields& out, const rtcm::RawNavicEphemeris& m);
void visit(Fields& out, const rtcm::RawBeidouEphemeris& m);
void visit(Fields& out, const rtcm::RawGalileoEphemeris& m);
void visit(Fields& out, const rtcm::RawGlonassEphemeris& m);
void visit(Fields& out, const rtcm::RawMsm& m);

// Counts the integers of a message by its own list of fields.
class FieldCounter {
 public:
  template <class T>
  void u(const T&, unsigned) {
    ++count;
  }
  template <class T>
  void s(const T&, unsigned) {
    ++count;
  }
  void sm(const rtcm::SignMagnitude&, unsigned) { ++count; }
  template <class T, class Each>
  void list(const std::vector<T>& items, std::size_t, Each each) {
    for (const T& item : items) {
      each(*this, item);
    }
  }
  void text(const std::string& bytes) { count += 1 + bytes.size(); }
  void rest(const rtcm::Rest&) {}

  std::size_t count = 0;
};

// visit(), and false where it does not name every field. RawMsm, which has no
// list of its own, is held to by the compiler.
template <class Message>
bool visit_all(Fields& out, const Message& m) {
  const std::size_t before = out.count();
  visit(out, m);
  if constexpr (std::same_as<Message, rtcm::RawMsm>) {
    return true;
  } else {
    FieldCounter counter;
    fields(counter, m);
    return out.count() - before == counter.count;
  }
}

// Calls `use` with an empty message of the struct that a number belongs to;
// false for numbers that we do not decode.
template <class Use>
bool with_message(int number, Use use) {
  const auto start = [&](auto message) {
    message.type = static_cast<std::uint16_t>(number);
    use(message);
    return true;
  };
  switch (number) {
    case 1001:
    case 1002:
    case 1003:
    case 1004:
      return start(rtcm::RawLegacyGps{});
    case 1005:
    case 1006:
      return start(rtcm::RawStationPosition{});
    case 1007:
    case 1008:
    case 1033:
      return start(rtcm::RawAntenna{});
    case 1009:
    case 1010:
    case 1011:
    case 1012:
      return start(rtcm::RawLegacyGlonass{});
    case 1013:
      return start(rtcm::RawSystemParameters{});
    case 1019:
      return start(rtcm::RawGpsEphemeris{});
    case 1020:
      return start(rtcm::RawGlonassEphemeris{});
    case 1029:
      return start(rtcm::RawText{});
    case 1041:
      return start(rtcm::RawNavicEphemeris{});
    case 1042:
      return start(rtcm::RawBeidouEphemeris{});
    case 1044:
      return start(rtcm::RawQzssEphemeris{});
    case 1045:
    case 1046:
      return start(rtcm::RawGalileoEphemeris{});
    case 1230:
      return start(rtcm::RawGlonassBiases{});
    default:
      return rtcm::msm_type(number) && start(rtcm::RawMsm{});
  }
}

}  // namespace stillpoint::outside
