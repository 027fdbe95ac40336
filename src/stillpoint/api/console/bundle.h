// The page in the browser, as it was built into the program.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "stillpoint/net/http_message.h"

namespace stillpoint::api {

struct BundleFile {
  std::string_view path;  // "/assets/index-1a2b3c4d.js"
  std::string_view type;
  std::string_view plain, gzip;  // gzip is empty where it saves nothing
};

std::span<const BundleFile> bundle_files();
// Eight letters that change when any file does.
std::string_view bundle_id();

// A file of the page; nothing where there is none of that name. "/" is the page
// itself. Packed where the browser takes that.
std::optional<net::HttpResponse> bundle_answer(const net::HttpRequest& request);

}  // namespace stillpoint::api
