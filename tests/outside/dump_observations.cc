// Test program: what our reader makes of an observation file, as plain text
// for comparison with general-purpose libraries.
//
//   dump_observations [--limit EPOCHS] [--digest | --rinex-text]
//                     [--break-field FIELD] FILE
//
// One line an epoch and one a signal; "-" is a value that is not there, and a
// number has all the digits that its double needs:
//   epoch 2024-05-08T10:00:00 FLAG CLOCK_S SATELLITES
//   G07 1C CODE_M PHASE_CYC DOPPLER_HZ CN0_DBHZ LLI PHASE_STRENGTH
//   CODE_STRENGTH
// and at the end
//   end EPOCHS SATELLITE_EPOCHS ROWS PROBLEMS
// --digest prints counts only. --rinex-text restores the RINEX text of a
// Hatanaka-compressed file. --break-field alters one digit of the tenth value
// of its kind (time code phase doppler cn0 lli phase_strength code_strength
// satellite text), to prove that a comparison notices.
// Exit: 0; 2 usage; 3 the file cannot be read to its end.
#include <array>
#include <charconv>
#include <cstdio>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <utility>

#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/rinex/hatanaka_text.h"
#include "stillpoint/rinex/observation_reader.h"
#include "stillpoint/time/scales.h"

namespace {

using namespace stillpoint;

struct Options {
  long limit = -1;  // epochs; negative: all
  bool digest = false, rinex_text = false;
  std::string break_field, file;
};

bool parse_options(int argc, char** argv, Options& options) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word == "--digest") {
      options.digest = true;
    } else if (word == "--rinex-text") {
      options.rinex_text = true;
    } else if (word == "--break-field" && i + 1 < argc) {
      options.break_field = argv[++i];
    } else if (word == "--limit" && i + 1 < argc) {
      const std::string_view text = argv[++i];
      const auto [end, error] = std::from_chars(
          text.data(), text.data() + text.size(), options.limit);
      if (error != std::errc() || end != text.data() + text.size()) {
        return false;
      }
    } else if (options.file.empty() && !word.starts_with("--")) {
      options.file = word;
    } else {
      return false;
    }
  }
  return !options.file.empty();
}

// Text that leaves in large pieces.
class Output {
 public:
  Output() { text_.reserve(kPiece + 4096); }
  Output(const Output&) = delete;
  Output& operator=(const Output&) = delete;
  ~Output() { flush(); }

  Output& operator<<(std::string_view text) {
    text_ += text;
    if (text_.size() > kPiece) {
      flush();
    }
    return *this;
  }
  Output& operator<<(std::size_t number) {
    return *this << std::string_view(std::to_string(number));
  }
  // " 1234.5" with the fewest digits that give the same double again.
  Output& value(double number) {
    if (!is_present(number)) {
      return *this << " -";
    }
    std::array<char, 400> text{};
    const auto [end, error] = std::to_chars(text.data(),
                                            text.data() + text.size(),
                                            number,
                                            std::chars_format::fixed);
    return *this << " "
                 << std::string_view(
                        text.data(),
                        static_cast<std::size_t>(end - text.data()));
  }

 private:
  void flush() {
    std::fwrite(text_.data(), 1, text_.size(), stdout);
    text_.clear();
  }
  static constexpr std::size_t kPiece = std::size_t{1} << 16;
  std::string text_;
};

// Alters the tenth present value of one kind, once.
class Breaker {
 public:
  explicit Breaker(std::string field) : field_(std::move(field)) {}

  void spoil(Epoch& epoch) {
    if (field_ == "time" && due()) {
      epoch.time = epoch.time + Duration{1e-7};
    }
    for (SatRows& sat : epoch.satellites) {
      if (field_ == "satellite" && due()) {
        sat.sat.number = static_cast<std::uint8_t>(sat.sat.number % 99 + 1);
      }
    }
    for (Observation& row : epoch.observations) {
      spoil(row.code_m, "code");
      spoil(row.phase_cyc, "phase");
      spoil(row.doppler_hz, "doppler");
      spoil(row.cn0_dbhz, "cn0");
      spoil(row.lli, "lli", is_present(row.phase_cyc));
      spoil(row.phase_strength, "phase_strength", is_present(row.phase_cyc));
      spoil(row.code_strength, "code_strength", is_present(row.code_m));
    }
  }

  std::string spoil(std::string_view line) {
    std::string text(line);
    if (field_ == "text" && !text.empty() && due()) {
      text.back() = text.back() == '0' ? '1' : '0';
    }
    return text;
  }

 private:
  bool due() { return ++seen_ == 10; }
  void spoil(double& value, std::string_view name) {
    if (field_ == name && is_present(value) && due()) {
      value += 1e-3;  // the last digit of a file
    }
  }
  void spoil(std::uint8_t& value, std::string_view name, bool present) {
    if (field_ == name && present && due()) {
      value = value == 0 ? 1 : 0;
    }
  }

  std::string field_;
  int seen_ = 0;
};

// Counts of a file: values by system and signal.
struct Digest {
  std::map<std::string, std::size_t> values;  // "G 1C phase"
  std::set<SatId> satellites;

  void add(SatId sat, const Observation& row) {
    satellites.insert(sat);
    const std::string key =
        std::string{system_letter(sat.system)} + " " + row.signal.text() + " ";
    values[key + "code"] += is_present(row.code_m) ? 1U : 0U;
    values[key + "phase"] += is_present(row.phase_cyc) ? 1U : 0U;
    values[key + "doppler"] += is_present(row.doppler_hz) ? 1U : 0U;
    values[key + "cn0"] += is_present(row.cn0_dbhz) ? 1U : 0U;
  }
};

void print_epoch(const Epoch& epoch, Output& out) {
  out << "epoch " << format_gpst(epoch.time) << " "
      << static_cast<std::size_t>(epoch.flag);
  out.value(epoch.receiver_clock_s.value_or(kMissing));
  out << " " << epoch.satellites.size() << "\n";
  for (const SatRows& sat : epoch.satellites) {
    const std::string name = sat.sat.text();
    for (const Observation& row : epoch.rows(sat)) {
      out << name << " " << row.signal.text();
      out.value(row.code_m).value(row.phase_cyc);
      out.value(row.doppler_hz).value(row.cn0_dbhz);
      out << " " << std::size_t{row.lli} << " "
          << std::size_t{row.phase_strength} << " "
          << std::size_t{row.code_strength} << "\n";
    }
  }
}

int complain(const Error& error) {
  std::fprintf(stderr, "%s\n", error.text().c_str());
  return 3;
}

int dump_epochs(std::unique_ptr<ByteStream> stream, const Options& options) {
  auto reader = rinex::ObservationReader::open(std::move(stream));
  if (!reader) {
    return complain(reader.error());
  }
  Output out;
  Breaker breaker(options.break_field);
  Digest digest;
  Epoch epoch;
  std::size_t epochs = 0, satellites = 0, rows = 0;
  while (options.limit < 0 ||
         epochs < static_cast<std::size_t>(options.limit)) {
    const Result<bool> got = reader->next(epoch);
    if (!got) {
      return complain(got.error());
    }
    if (!*got) {
      break;
    }
    breaker.spoil(epoch);
    ++epochs;
    satellites += epoch.satellites.size();
    rows += epoch.observations.size();
    if (!options.digest) {
      print_epoch(epoch, out);
      continue;
    }
    for (const SatRows& sat : epoch.satellites) {
      for (const Observation& row : epoch.rows(sat)) {
        digest.add(sat.sat, row);
      }
    }
  }
  for (const auto& [key, count] : digest.values) {
    out << key << " " << count << "\n";
  }
  if (options.digest) {
    out << "satellites " << digest.satellites.size() << "\n";
  }
  for (const rinex::Problem& problem : reader->problems()) {
    std::fprintf(
        stderr, "%s: %s\n", problem.where.c_str(), problem.what.c_str());
  }
  out << "end " << epochs << " " << satellites << " " << rows << " "
      << reader->problem_count() << "\n";
  return 0;
}

int restore_text(std::unique_ptr<ByteStream> stream, const Options& options) {
  auto text = rinex::HatanakaText::open(std::move(stream));
  if (!text) {
    return complain(text.error());
  }
  Output out;
  Breaker breaker(options.break_field);
  std::string_view line;
  for (;;) {
    const Result<bool> got = text->next(line);
    if (!got) {
      return complain(got.error());
    }
    if (!*got) {
      return 0;
    }
    out << breaker.spoil(line) << "\n";
  }
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  if (!parse_options(argc, argv, options)) {
    std::fputs(
        "usage: dump_observations [--limit EPOCHS] [--digest | --rinex-text] "
        "[--break-field FIELD] FILE\n",
        stderr);
    return 2;
  }
  auto stream = open_unpacked(options.file);
  if (!stream) {
    return complain(stream.error());
  }
  return options.rinex_text ? restore_text(std::move(*stream), options)
                            : dump_epochs(std::move(*stream), options);
}
