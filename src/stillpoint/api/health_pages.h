// The pages on the health port: /healthz, /livez, /readyz, /metrics,
// /status.json, and / with the list of them. They have no login and tell
// nothing that needs one: no position, no user, no address of a rover.
#pragma once

#include <functional>

#include "stillpoint/api/station_status.h"
#include "stillpoint/net/http_message.h"

namespace stillpoint::api {

// 404 for any other page. The three checks answer 200 or 503 as text, or as
// JSON where the request accepts that or says "?json".
//
//   status   asked once for each page that needs it
net::HttpResponse answer(const net::HttpRequest& request,
                         const std::function<StationStatus()>& status);

}  // namespace stillpoint::api
