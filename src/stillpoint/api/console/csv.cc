#include "stillpoint/api/console/csv.h"

#include <string>

namespace stillpoint::api {
namespace {

std::string cell(const Json& value) {
  if (value.is_null()) {
    return {};
  }
  if (!value.is_string() && !value.is_structured()) {
    return json_text(value);
  }
  const std::string text =
      value.is_string() ? value.get<std::string>() : json_text(value);
  std::string out = "\"";
  if (!text.empty() &&
      std::string_view("=+-@\t").find(text.front()) != std::string_view::npos) {
    out += '\'';
  }
  for (const char c : text) {
    out += c;
    if (c == '"') {
      out += c;
    }
  }
  out += '"';
  return out;
}

}  // namespace

net::HttpResponse csv_answer(const Json& rows, const char* file_name) {
  net::HttpResponse answer;
  answer.content_type = "text/csv; charset=utf-8";
  answer.extra.push_back(
      {"Content-Disposition",
       std::string("attachment; filename=\"") + file_name + "\""});
  if (rows.empty()) {
    return answer;
  }
  std::string& out = answer.body;
  for (const auto& [key, value] : rows.front().items()) {
    out += out.empty() ? "" : ",";
    out += key;
  }
  out += "\r\n";
  for (const Json& row : rows) {
    bool first = true;
    for (const auto& [key, value] : row.items()) {
      out += first ? "" : ",";
      out += cell(value);
      first = false;
    }
    out += "\r\n";
  }
  return answer;
}

}  // namespace stillpoint::api
