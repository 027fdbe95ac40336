#include "stillpoint/api/console/bundle.h"

#include <algorithm>
#include <string>

namespace stillpoint::api {

std::optional<net::HttpResponse> bundle_answer(
    const net::HttpRequest& request) {
  const std::string_view path =
      request.path() == "/" ? "/index.html" : request.path();
  const auto files = bundle_files();
  const auto file =
      std::find_if(files.begin(), files.end(), [&](const BundleFile& one) {
        return one.path == path;
      });
  if (file == files.end()) {
    return std::nullopt;
  }
  net::HttpResponse answer;
  answer.content_type = file->type;
  answer.extra.push_back({"Vary", "Accept-Encoding"});
  const bool packed =
      !file->gzip.empty() &&
      request.field("Accept-Encoding").find("gzip") != std::string::npos;
  if (packed) {
    answer.extra.push_back({"Content-Encoding", "gzip"});
  }
  answer.body = packed ? file->gzip : file->plain;
  // Names of assets change with their bytes; the page's own does not.
  answer.extra.push_back({"Cache-Control",
                          path.starts_with("/assets/")
                              ? "public, max-age=31536000, immutable"
                              : "no-cache"});
  return answer;
}

}  // namespace stillpoint::api
