// The station's one verdict about itself: a pure function of what is known now
// and of what was thought before. Nothing in here reads a clock or a file.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "stillpoint/time/gnss_time.h"

namespace stillpoint::trust {

enum class State : std::uint8_t { kBuilding, kTrusted, kDoubtful, kWithheld };
const char* state_name(State state);  // "building", …

// How much a state takes from rovers: trusted 0, doubtful 1, building 2,
// withheld 3. The gravest condition that is held decides.
int gravity(State state);

enum class Part : std::uint8_t { kCoordinate, kSource, kSky, kDisk, kClock };
const char* part_name(Part part);  // "coordinate", …

// Missing or not a number: not known (yet), which is no reason for anything by
// itself but where a comment says so. A reason that is held stays while its
// value is not known: it takes knowledge to end it.
struct Inputs {
  GnssTime now;

  // coordinate. Nothing adopted: building.
  struct Adopted {
    // The record's id. Of another record, what was held against the one before
    // ends at once unless it is seen to be as bad.
    std::int64_t record = 0;
    // Of the record, one sigma [m]; one that is no number is taken as endless.
    double sigma_h_m = 0, sigma_v_m = 0;
    // From the record's epoch to now by the plate's motion; warned beyond 10 mm
    // (a notice, doubtful never by this alone unless beyond 50 mm).
    std::optional<double> plate_motion_m{};
    // Largest difference to a better or equal candidate that disagrees with it
    // beyond the test's limit, in metres; missing: all agree.
    std::optional<double> candidate_apart_m{};
    // Distance of the coordinate that the receiver itself sends in 1005/1006;
    // missing: it sends none.
    std::optional<double> receiver_apart_m{};
    // Distance of the mean of an hour of code ranges, and how good that is.
    std::optional<double> code_apart_m{};
    std::optional<double> code_sigma_m{};
  };
  std::optional<Adopted> adopted;

  // source
  bool source_open = false;
  // For how long since a break that was told, and missing where none was.
  // Silence counts from there at the earliest: what did not come while nobody
  // was connected is no silence of the receiver's.
  std::optional<double> source_open_s;
  // Of the receiver's data; missing: none has come since the start, which is a
  // reason while the source is open.
  std::optional<double> last_epoch_age_s;
  double silence_s = 10;                      // the owner's limit
  std::optional<double> epochs_missed_share;  // of the last 10 minutes

  // sky; looked at while data comes
  std::optional<int> satellites;         // tracked, all systems
  std::optional<double> cn0_mean_dbhz;   // now
  std::optional<double> cn0_usual_dbhz;  // of the last day at most

  // disk
  bool disk_writes = true;
  std::optional<double> free_share_of_limit;  // free bytes / leave_free limit

  // clock: the computer's minus the receiver's; looked at while data comes
  std::optional<double> clock_offset_s;
};

// One reason for the state. `what` and `remedy` are sentences for people,
// `brief` a few words for a 1029, at most 70 ASCII characters.
struct Reason {
  Part part = Part::kCoordinate;
  std::string code;                // "no_adopted_position", a word for programs
  State state = State::kBuilding;  // what it alone would make of the station
  std::string what, remedy, brief;
  GnssTime since;  // when it became one
  friend bool operator==(const Reason&, const Reason&) = default;
};

struct Verdict {
  State state = State::kBuilding;
  GnssTime since;               // of the state
  std::vector<Reason> reasons;  // the gravest first; empty where trusted
  // What people should know and what changes no state; theirs is kTrusted.
  std::vector<Reason> warnings;
};

// What has to be remembered from one judgement to the next, for hysteresis.
struct Memory {
  struct Condition {
    std::string code;
    bool held = false;                  // is a reason now
    bool looked = false;                // its value was known once
    std::optional<GnssTime> changed{};  // since when it looks other than held
    GnssTime since{};                   // since when it has been held
    std::string what{};                 // as last seen
  };
  std::vector<Condition> conditions;
  std::optional<State> state;
  GnssTime since;
  std::optional<GnssTime> last;        // judgement
  std::optional<std::int64_t> record;  // that was adopted then
};

// Judges. A bad condition becomes a reason after it has lasted for the time
// that its row says, and ends after it has been good for longer; thresholds of
// entering and leaving differ. docs/trust.md has the table of conditions. To be
// called at least every two minutes: what was not looked at for longer has not
// lasted.
//
//   now      of the inputs; may go back, then times begin anew
//   threads  pure
Verdict judge(const Inputs& inputs, Memory& memory);

// What rovers get in a state (design: the gate on the fan-out).
struct Gate {
  bool observations = true;
  bool position = false;     // 1005/1006
  bool notice = false;       // a 1029 with the reason
  bool provisional = false;  // the notice says that the position is provisional
  friend bool operator==(const Gate&, const Gate&) = default;
};
//   provisional, withhold_all   the owner's settings of [trust]
Gate gate(State state, bool provisional, bool withhold_all);

// The state in a sentence or two for people: state, since when, main reason,
// how many others, next step. "Trusted since 14:02 UTC. Nothing is to be done."
//
//   now  the date is told where it is another UTC day than that of `since`
std::string sentence(const Verdict& verdict, GnssTime now);

// The line for a 1029: ASCII, at most 127 characters; empty where the gate
// wants no notice.
//
//   provisional_sigma_m  one sigma of the position that is sent as provisional,
//                        of its largest component; nothing: not known
std::string notice_text(const Verdict& verdict,
                        const Gate& gate,
                        std::optional<double> provisional_sigma_m = {});

}  // namespace stillpoint::trust
