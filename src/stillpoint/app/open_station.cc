#include "stillpoint/app/open_station.h"

#include <utility>

#include "stillpoint/app/act_as_owner.h"
#include "stillpoint/app/exit_codes.h"
#include "stillpoint/app/output.h"
#include "stillpoint/station/clock.h"
#include "stillpoint/station/settings_file.h"

namespace stillpoint::app {

Result<OpenStation> open_station(const std::string& config) {
  auto settings = station::read_settings(config);
  if (!settings) {
    return fail(std::move(settings.error()));
  }
  const std::string& state = settings->station.state;
  const Status ready =
      act_as_owner(state,
                   "start the station once, with stillpoint run --config " +
                       config + ", or name its folder in 'state' of [station]");
  if (!ready) {
    return fail(ready.error());
  }
  const std::string database = state + "/station.db";
  const std::string claim_path = state + "/claim-code";
  Result<Store> store = Store::open(database);
  if (!store) {
    return fail(std::move(store.error()));
  }
  return OpenStation{
      std::move(*settings), database, claim_path, std::move(*store)};
}

int report_station_error(const Error& error,
                         const std::string& config,
                         bool json) {
  if (!json && error.code == ErrorCode::kConfig &&
      error.where.starts_with(config)) {
    print_note(config::mistake_lines(error));
    return kExitInput;
  }
  return report_error(error, json);
}

ChangeNote note_by(std::string name) {
  return {station::wall_now(), std::move(name)};
}

}  // namespace stillpoint::app
