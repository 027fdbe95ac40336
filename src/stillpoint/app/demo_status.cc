#include "stillpoint/app/demo_status.h"

#include <array>
#include <nlohmann/json.hpp>
#include <string_view>

namespace stillpoint::app {
namespace {

using nlohmann::json;

constexpr std::size_t kMostAnswer = std::size_t{1} << 20U;
constexpr double kPatienceS = 10;
constexpr std::array kCuts{
    "error", "slow", "too_old", "budget", "flood", "limit"};

const json* find(const json& document, const char* path) {
  const json::json_pointer pointer(path);
  return document.contains(pointer) ? &document.at(pointer) : nullptr;
}

std::uint64_t count_at(const json& document, const char* path) {
  const json* found = find(document, path);
  return found != nullptr && found->is_number_unsigned()
             ? found->get<std::uint64_t>()
             : 0;
}

StationView view_of(const json& document) {
  StationView view;
  const json* good = find(document, "/store/good");
  view.store_good = good != nullptr && *good == true;
  view.received_bytes = count_at(document, "/receiver/bytes");
  view.recorded_bytes = count_at(document, "/archive/end_offset");
  view.safe_bytes = count_at(document, "/archive/durable_offset");
  view.dropped_bytes = count_at(document, "/archive/dropped_bytes");
  view.undecoded_bytes = count_at(document, "/decode/queue_dropped_bytes");
  view.epochs = count_at(document, "/decode/epochs/received");
  view.rovers = count_at(document, "/rovers/rovers");
  view.offered_bytes = count_at(document, "/rovers/offered_bytes");
  view.sent_bytes = count_at(document, "/rovers/sent_bytes");
  view.unsent_bytes = count_at(document, "/rovers/unsent_bytes");
  view.resident_bytes = count_at(document, "/process/resident_bytes");
  if (const json* satellites = find(document, "/decode/satellites")) {
    for (const json& count : *satellites) {
      view.satellites += count.get<std::uint64_t>();
    }
  }
  for (const char* reason : kCuts) {
    const std::string path = std::string("/rovers/departures/") + reason;
    if (const std::uint64_t count = count_at(document, path.c_str())) {
      view.cuts[reason] = count;
    }
  }
  const json* trust = find(document, "/trust/state");
  if (trust != nullptr && trust->is_string()) {
    view.trust = trust->get<std::string>();
  }
  const json* offset = find(document, "/decode/code_offset_m");
  if (offset != nullptr && offset->is_number()) {
    view.code_offset_m = offset->get<double>();
  }
  return view;
}

}  // namespace

void StatusPage::ask() {
  if (asking_) {
    return;
  }
  asking_ = true;
  text_.clear();
  const net::Endpoint page{.host = "127.0.0.1",
                           .port = port_,
                           .tls = false,
                           .ca_file = "",
                           .connect_s = kPatienceS,
                           .silence_s = kPatienceS};
  net::ConnectionHandler& handler = *this;  // a private matter
  connection_ = std::make_unique<net::Connection>(loop_, page, handler);
  connection_->send(
      "GET /status.json HTTP/1.1\r\nHost: 127.0.0.1\r\n"
      "Connection: close\r\n\r\n");
}

void StatusPage::on_bytes(ByteSpan bytes) {
  if (text_.size() < kMostAnswer) {
    text_.append(bytes.begin(), bytes.end());
  }
}

// The end of the answer, or nobody was there.
void StatusPage::on_closed(const Error& /*why*/) {
  asking_ = false;
  const std::string_view answer(text_);
  const auto head = answer.find("\r\n\r\n");
  if (!answer.starts_with("HTTP/1.1 200") || head == std::string_view::npos) {
    return;
  }
  const json document =
      json::parse(answer.substr(head + 4), nullptr, /*allow_exceptions=*/false);
  if (document.is_object()) {
    view_ = view_of(document);
    ++answers_;
  }
}

}  // namespace stillpoint::app
