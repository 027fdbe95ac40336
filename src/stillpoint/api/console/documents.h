// Views into the documents of docs/api.md.
#pragma once

#include <vector>

#include "stillpoint/api/console/json_answer.h"
#include "stillpoint/api/console/views.h"
#include "stillpoint/store/users.h"

namespace stillpoint::api {

Json now_document(const NowView& view, bool simulated);
Json sky_document(const quality::SkySnapshot& sky, GnssTime now);
//   guest     names and addresses of rovers, and places, are left out
//   accounts  nothing: not for the one who asks
Json stream_document(const StreamView& view,
                     bool guest,
                     const std::optional<std::vector<User>>& accounts);
Json job_json(const JobView& job);
Json live_json(const std::optional<LiveView>& live, bool guest);

}  // namespace stillpoint::api
