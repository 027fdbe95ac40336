// The body of a Hatanaka-compressed file behind a header of our own: the first
// byte chooses version 1 or 3. Oracle: what decodes without a problem is, as
// restored text, read as the same epochs.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "rinex_fuzz_support.h"
#include "stillpoint/rinex/hatanaka_text.h"

namespace {

using namespace stillpoint;

std::string line(std::string content, const char* label) {
  content.resize(60, ' ');
  return content + label + "\n";
}

std::string header(bool old) {
  if (old) {
    return line("1.0                 COMPACT RINEX FORMAT",
                "CRINEX VERS   / TYPE") +
           line("", "CRINEX PROG / DATE") +
           line("     2.11           OBSERVATION DATA    M",
                "RINEX VERSION / TYPE") +
           line("     7    C1    L1    L2    P1    P2    D1    S1",
                "# / TYPES OF OBSERV") +
           line("", "END OF HEADER");
  }
  return line("3.0                 COMPACT RINEX FORMAT",
              "CRINEX VERS   / TYPE") +
         line("", "CRINEX PROG / DATE") +
         line("     3.04           OBSERVATION DATA    M",
              "RINEX VERSION / TYPE") +
         line("G    6 C1C L1C S1C C2W L2W S2W", "SYS / # / OBS TYPES") +
         line("R    3 C1C L1C D1C", "SYS / # / OBS TYPES") +
         line("", "END OF HEADER");
}

// True when the whole text could be restored.
bool restore(const std::string& compact, std::string& text) {
  auto restored = rinex::HatanakaText::open(memory_stream(compact, "fuzz"));
  std::string_view next;
  while (restored) {
    const auto got = restored->next(next);
    if (!got) {
      return false;
    }
    if (!*got) {
      return true;
    }
    text += std::string(next) + "\n";
  }
  return false;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  constexpr std::size_t kMaxSize = std::size_t{64} * 1024;  // bounded time
  if (size < 1 || size > kMaxSize) {
    return 0;
  }
  const bool old = data[0] % 2 != 0;
  const std::string compact = header(old) + std::string(data + 1, data + size);
  const auto direct = fuzz::read(memory_stream(compact, "fuzz"));
  fuzz::check_sound(direct);
  std::string text;
  const bool whole = restore(compact, text);
  if (!whole || !direct.clean()) {
    return 0;
  }
  const auto plain = fuzz::read(memory_stream(text, "fuzz"));
  if (plain.clean()) {
    fuzz::check_same(direct, plain);
  }
  return 0;
}
