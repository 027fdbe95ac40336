// rinex.read_text          observations of a station-day, RINEX 3 text in
// memory rinex.from_chars         the bare loop it is measured against: every
// field of
//                          14 columns of every satellite line, blanks trimmed,
//                          std::from_chars(double), summed
// rinex.read_hatanaka      the same day, Hatanaka-compressed lines in memory
// rinex.read_hatanaka_gz   the same, gzip-packed
// rinex.unpack_gz          unpacking alone, what gzip -dc does
//
// Input: the day of ESBC (2020-06-25, 24 h at 30 s, six systems, 130800
// satellite lines; the text is 33 MB, 55 % of its fields are blank), found
// through STILLPOINT_DATA; without it the cases say so and end.
// Budget: read_text at most 0.8 x from_chars.
#include <benchmark/benchmark.h>

#include <array>
#include <charconv>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <string>
#include <string_view>

#include "stillpoint/rinex/hatanaka_text.h"
#include "stillpoint/rinex/observation_reader.h"

namespace {

using stillpoint::Epoch;
using stillpoint::memory_stream;
using stillpoint::unpack_memory;
using stillpoint::rinex::HatanakaText;
using stillpoint::rinex::ObservationReader;

struct Inputs {
  std::string packed, compact, text;
  [[nodiscard]] bool good() const { return !text.empty(); }
};

Inputs load() {
  Inputs in;
  const char* root = std::getenv("STILLPOINT_DATA");
  if (root == nullptr) {
    return in;
  }
  std::ifstream file(std::string(root) +
                         "/esbc-2020-177/"
                         "ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz",
                     std::ios::binary);
  in.packed.assign(std::istreambuf_iterator<char>(file), {});
  const auto unpacked = unpack_memory(in.packed, "packed");
  std::array<char, 65536> piece{};
  for (auto got = unpacked->read(piece); got && *got > 0;
       got = unpacked->read(piece)) {
    in.compact.append(piece.data(), *got);
  }
  auto restored = HatanakaText::open(memory_stream(in.compact, "compact"));
  if (!restored) {
    return in;
  }
  std::string_view line;
  for (auto got = restored->next(line); got && *got;
       got = restored->next(line)) {
    in.text += line;
    in.text += '\n';
  }
  return in;
}

const Inputs& inputs() {
  static const Inputs loaded = load();
  return loaded;
}

// True when there is an input; says what is missing otherwise.
bool ready(benchmark::State& state) {
  if (!inputs().good()) {
    state.SkipWithError("no data: set STILLPOINT_DATA");
  }
  return inputs().good();
}

void read_all(benchmark::State& state,
              std::unique_ptr<stillpoint::ByteStream> stream) {
  auto reader = ObservationReader::open(std::move(stream));
  if (!reader) {
    state.SkipWithError(reader.error().text().c_str());
    return;
  }
  Epoch epoch;
  std::size_t rows = 0;
  for (auto got = reader->next(epoch); got && *got; got = reader->next(epoch)) {
    rows += epoch.observations.size();
  }
  benchmark::DoNotOptimize(rows);
}

void rinex_read_text(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  for (auto _ : state) {
    read_all(state, memory_stream(inputs().text, "text"));
  }
  state.SetBytesProcessed(state.iterations() *
                          static_cast<std::int64_t>(inputs().text.size()));
}
BENCHMARK(rinex_read_text)->Unit(benchmark::kMillisecond);

double sum_of_fields(std::string_view line) {
  double sum = 0;
  for (std::size_t at = 3; at < line.size(); at += 16) {
    std::string_view text = line.substr(at, 14);
    const std::size_t first = text.find_first_not_of(' ');
    if (first == std::string_view::npos) {
      continue;
    }
    text.remove_prefix(first);
    double value = 0;
    std::from_chars(text.data(), text.data() + text.size(), value);
    sum += value;
  }
  return sum;
}

void rinex_from_chars(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  const std::string_view text = inputs().text;
  const std::size_t body = text.find('\n', text.find("END OF HEADER")) + 1;
  for (auto _ : state) {
    double sum = 0;
    for (std::size_t at = body; at < text.size();) {
      const std::size_t end = text.find('\n', at);
      const std::string_view line = text.substr(at, end - at);
      if (line[0] != '>') {
        sum += sum_of_fields(line);
      }
      at = end + 1;
    }
    benchmark::DoNotOptimize(sum);
  }
  state.SetBytesProcessed(state.iterations() *
                          static_cast<std::int64_t>(text.size()));
}
BENCHMARK(rinex_from_chars)->Unit(benchmark::kMillisecond);

void rinex_read_hatanaka(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  for (auto _ : state) {
    read_all(state, memory_stream(inputs().compact, "compact"));
  }
}
BENCHMARK(rinex_read_hatanaka)->Unit(benchmark::kMillisecond);

void rinex_read_hatanaka_gz(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  for (auto _ : state) {
    read_all(state, unpack_memory(inputs().packed, "packed"));
  }
}
BENCHMARK(rinex_read_hatanaka_gz)->Unit(benchmark::kMillisecond);

void rinex_unpack_gz(benchmark::State& state) {
  if (!ready(state)) {
    return;
  }
  std::array<char, 65536> piece{};
  for (auto _ : state) {
    const auto stream = unpack_memory(inputs().packed, "packed");
    std::size_t bytes = 0;
    for (auto got = stream->read(piece); got && *got > 0;
         got = stream->read(piece)) {
      bytes += *got;
    }
    benchmark::DoNotOptimize(bytes);
  }
}
BENCHMARK(rinex_unpack_gz)->Unit(benchmark::kMillisecond);

}  // namespace
