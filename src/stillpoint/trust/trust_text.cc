// The verdict in words.
#include <fmt/format.h>

#include <cctype>
#include <cmath>
#include <string>
#include <string_view>

#include "stillpoint/time/scales.h"
#include "stillpoint/trust/conditions.h"
#include "stillpoint/trust/trust.h"

namespace stillpoint::trust {
namespace {

constexpr std::size_t kMaxCharacters = 127;  // DF138, seven bits

bool same_day(const Calendar& a, const Calendar& b) {
  return a.year == b.year && a.month == b.month && a.day == b.day;
}

std::string since_text(GnssTime since, GnssTime now) {
  const Calendar then = to_calendar(since, TimeScale::kUtc);
  const std::string clock =
      fmt::format("{:02}:{:02} UTC", then.hour, then.minute);
  return same_day(then, to_calendar(now, TimeScale::kUtc))
             ? clock
             : fmt::format("{:04}-{:02}-{:02} {}",
                           then.year,
                           then.month,
                           then.day,
                           clock);
}

const char* capital_name(State state) {
  switch (state) {
    case State::kBuilding:
      return "Building";
    case State::kTrusted:
      return "Trusted";
    case State::kDoubtful:
      return "Doubtful";
    case State::kWithheld:
      return "Withheld";
  }
  return "";
}

// Every sentence of the table begins with a common word, but for "C/N0".
std::string lower_first(std::string text) {
  if (text.size() > 1 &&
      std::isalpha(static_cast<unsigned char>(text[1])) != 0) {
    text[0] =
        static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
  }
  return text;
}

std::string others_text(std::size_t others) {
  if (others == 0) {
    return "";
  }
  return others == 1 ? " There is one more reason."
                     : fmt::format(" There are {} more reasons.", others);
}

}  // namespace

std::string sentence(const Verdict& verdict, GnssTime now) {
  const std::string head = fmt::format("{} since {}",
                                       capital_name(verdict.state),
                                       since_text(verdict.since, now));
  if (!verdict.reasons.empty()) {
    const Reason& main = verdict.reasons.front();
    return fmt::format("{}: {}{} Next: {}",
                       head,
                       lower_first(main.what),
                       others_text(verdict.reasons.size() - 1),
                       lower_first(main.remedy));
  }
  if (!verdict.warnings.empty()) {
    const Reason& main = verdict.warnings.front();
    return fmt::format("{}. To note: {} Next: {}",
                       head,
                       lower_first(main.what),
                       lower_first(main.remedy));
  }
  return head + ". Nothing is to be done.";
}

std::string notice_text(const Verdict& verdict,
                        const Gate& gate,
                        std::optional<double> provisional_sigma_m) {
  if (!gate.notice) {
    return "";
  }
  std::string text;
  if (gate.provisional) {
    text = provisional_sigma_m && std::isfinite(*provisional_sigma_m)
               ? fmt::format("Provisional position, uncertain by {} (1 sigma)",
                             length_text(*provisional_sigma_m))
               : std::string(
                     "Provisional position, its uncertainty is not "
                     "known");
  } else {
    text = capital_name(verdict.state);
  }
  if (!verdict.reasons.empty()) {
    text += ": " + verdict.reasons.front().brief;
  }
  text += '.';
  if (!gate.position) {
    text += gate.observations ? " No position is sent."
                              : " Nothing is sent for positioning.";
  }
  text.resize(std::min(text.size(), kMaxCharacters));
  return text;
}

}  // namespace stillpoint::trust
