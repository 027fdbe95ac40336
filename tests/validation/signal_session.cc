#include "tests/validation/signal_session.h"

#include <utility>

#include "stillpoint/gnss/broadcast.h"
#include "stillpoint/pack/byte_stream.h"
#include "stillpoint/quality/signal_statistics.h"
#include "stillpoint/rinex/navigation_reader.h"
#include "stillpoint/rinex/observation_reader.h"
#include "tests/support/test_data.h"

namespace stillpoint::test {
namespace {

void add_session(std::vector<SignalSession>& sessions,
                 const char* name,
                 const char* observations,
                 const char* navigation) {
  SignalSession session{name, data_path(observations), {data_path(navigation)}};
  if (!session.observations.empty() && !session.navigation[0].empty()) {
    sessions.push_back(std::move(session));
  }
}

Status load(const SignalSession& session, BroadcastOrbits& orbits) {
  for (const std::string& path : session.navigation) {
    auto stream = open_unpacked(path);
    if (!stream) {
      return fail(std::move(stream.error()));
    }
    auto file = rinex::read_navigation(std::move(*stream));
    if (!file) {
      return fail(std::move(file.error()));
    }
    orbits.add(file->data);
  }
  return {};
}

Status read(const SignalSession& session,
            const BroadcastOrbits& orbits,
            quality::SignalReport& report) {
  auto stream = open_unpacked(session.observations);
  if (!stream) {
    return fail(std::move(stream.error()));
  }
  auto reader = rinex::ObservationReader::open(std::move(*stream));
  if (!reader) {
    return fail(std::move(reader.error()));
  }
  quality::StatisticsOptions options;
  options.glonass_channels = reader->header().glonass_channels;
  options.interval_s = reader->header().interval_s;
  quality::SignalStatistics statistics(std::move(options));
  const Ecef position = reader->header().approx_position_m.value_or(Ecef());
  Epoch epoch;
  for (;;) {
    const auto more = reader->next(epoch);
    if (!more) {
      return fail(more.error());
    }
    if (!*more) {
      break;
    }
    statistics.add(epoch, position, orbits);
  }
  report = statistics.report();
  return {};
}

}  // namespace

std::vector<SignalSession> signal_sessions() {
  std::vector<SignalSession> sessions;
  add_session(sessions,
              "AJAC",
              "days/AJAC00FRA_R_20242090000_01D_30S_MO.crx.gz",
              "days/GRAS00FRA_R_20242090000_01D_EN.rnx.gz");
  add_session(sessions,
              "ESBC",
              "esbc-2020-177/ESBC00DNK_R_20201770000_01D_30S_MO.crx.gz",
              "esbc-2020-177/ESBC00DNK_R_20201770000_01D_MN.rnx.gz");
  return sessions;
}

SessionRun run(const SignalSession& session) {
  SessionRun out;
  BroadcastOrbits orbits;
  Status done = load(session, orbits);
  if (done) {
    done = read(session, orbits, out.report);
  }
  if (!done) {
    out.failure = done.error().text();
  }
  return out;
}

const quality::SignalFigures* find_signal(const quality::SignalReport& report,
                                          System system,
                                          const char* signal) {
  for (const quality::SignalFigures& figures : report.signals) {
    if (figures.id.system == system && figures.id.code.text() == signal) {
      return &figures;
    }
  }
  return nullptr;
}

const quality::SystemFigures* find_system(const quality::SignalReport& report,
                                          System system) {
  for (const quality::SystemFigures& figures : report.systems) {
    if (figures.system == system) {
      return &figures;
    }
  }
  return nullptr;
}

}  // namespace stillpoint::test
