#include "stillpoint/trust/trust.h"

#include <algorithm>
#include <string_view>

#include "stillpoint/trust/conditions.h"

namespace stillpoint::trust {
namespace {

// Longer between two judgements, and nothing has been seen to last.
constexpr double kUnseenS = 120;

Memory::Condition& remembered(Memory& memory, const char* code) {
  const auto at = std::find_if(
      memory.conditions.begin(),
      memory.conditions.end(),
      [code](const Memory::Condition& c) { return c.code == code; });
  if (at != memory.conditions.end()) {
    return *at;
  }
  Memory::Condition fresh;
  fresh.code = code;
  return memory.conditions.emplace_back(fresh);
}

void hold(Memory::Condition& c, bool held, GnssTime now) {
  c.held = held;
  c.changed.reset();
  c.since = now;
  c.what = held ? c.what : "";
}

// Where the clock went back, or nobody looked for long.
void begin_times_anew(Memory& memory, GnssTime now) {
  for (Memory::Condition& c : memory.conditions) {
    c.changed.reset();
    c.since = std::min(c.since, now);
  }
  memory.since = std::min(memory.since, now);
}

// Another coordinate is adopted, or none.
void forget_record(Look seen, Memory::Condition& c) {
  c.held = c.held && seen == Look::kBad;
  c.looked = c.held;
  c.changed.reset();
}

void update(const Condition& row,
            const Inputs& in,
            Look seen,
            Memory::Condition& c) {
  if (seen == Look::kBad || seen == Look::kBetween) {
    c.what = row.what(in);
  }
  if (seen != Look::kUnknown) {
    if (!c.looked && seen == Look::kBad && row.at_first) {
      hold(c, true, in.now);
    }
    c.looked = true;
  }
  if (seen != (c.held ? Look::kGood : Look::kBad)) {
    c.changed.reset();
    return;
  }
  if (!c.changed) {
    c.changed = in.now;
  }
  const double after_s = c.held ? leave_after_s(row, in) : row.enter_after_s;
  if ((in.now - *c.changed).s >= after_s) {
    hold(c, !c.held, in.now);
  }
}

Reason reason_of(const Condition& row, const Memory::Condition& c) {
  Reason reason{
      row.part, row.code, row.state, c.what, row.remedy, row.brief, c.since};
  if (c.changed) {
    reason.what += " It looks good again, which has to last before it counts.";
    reason.remedy = "Wait; nothing is to be done if it stays so.";
  }
  return reason;
}

bool is_told(const Condition& row, Memory& memory) {
  return *row.graver == '\0' || !remembered(memory, row.graver).held;
}

}  // namespace

const char* state_name(State state) {
  switch (state) {
    case State::kBuilding:
      return "building";
    case State::kTrusted:
      return "trusted";
    case State::kDoubtful:
      return "doubtful";
    case State::kWithheld:
      return "withheld";
  }
  return "";
}

int gravity(State state) {
  switch (state) {
    case State::kTrusted:
      return 0;
    case State::kDoubtful:
      return 1;
    case State::kBuilding:
      return 2;
    case State::kWithheld:
      return 3;
  }
  return 3;
}

const char* part_name(Part part) {
  switch (part) {
    case Part::kCoordinate:
      return "coordinate";
    case Part::kSource:
      return "source";
    case Part::kSky:
      return "sky";
    case Part::kDisk:
      return "disk";
    case Part::kClock:
      return "clock";
  }
  return "";
}

Verdict judge(const Inputs& inputs, Memory& memory) {
  if (memory.last) {
    const double step_s = (inputs.now - *memory.last).s;
    if (step_s < 0 || step_s > kUnseenS) {
      begin_times_anew(memory, inputs.now);
    }
  }
  std::optional<std::int64_t> record;
  if (inputs.adopted) {
    record = inputs.adopted->record;
  }
  const bool other_record = record != memory.record;
  for (const Condition& row : conditions()) {
    Memory::Condition& c = remembered(memory, row.code);
    const Look seen = look(row, inputs);
    if (row.of_record && other_record) {
      forget_record(seen, c);
    }
    update(row, inputs, seen, c);
  }
  Verdict verdict;
  verdict.state = State::kTrusted;
  for (const Condition& row : conditions()) {
    const Memory::Condition& c = remembered(memory, row.code);
    if (!c.held || !is_told(row, memory)) {
      continue;
    }
    auto& list =
        row.state == State::kTrusted ? verdict.warnings : verdict.reasons;
    list.push_back(reason_of(row, c));
    if (gravity(row.state) > gravity(verdict.state)) {
      verdict.state = row.state;
    }
  }
  std::stable_sort(verdict.reasons.begin(),
                   verdict.reasons.end(),
                   [](const Reason& a, const Reason& b) {
                     return gravity(a.state) > gravity(b.state);
                   });
  if (memory.state != verdict.state) {
    memory.since = inputs.now;
  }
  memory.state = verdict.state;
  memory.last = inputs.now;
  memory.record = record;
  verdict.since = memory.since;
  return verdict;
}

Gate gate(State state, bool provisional, bool withhold_all) {
  switch (state) {
    case State::kBuilding:
      return {.observations = true,
              .position = provisional,
              .notice = provisional,
              .provisional = provisional};
    case State::kTrusted:
      return {.observations = true, .position = true};
    case State::kDoubtful:
      return {.observations = true, .position = true, .notice = true};
    case State::kWithheld:
      break;
  }
  return {.observations = !withhold_all, .position = false, .notice = true};
}

}  // namespace stillpoint::trust
