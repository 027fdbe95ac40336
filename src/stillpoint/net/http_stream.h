// An answer without an end, such as server-sent events: the handler returns it
// in its response and keeps it; what is sent later goes to the client. It is
// told apart from a connection, which may end at any time.
//
//   threads  the loop's; from others by Loop::post()
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <string_view>

namespace stillpoint::net {

class HttpStream {
 public:
  // A client for which more than this would wait is cut.
  static constexpr std::size_t kMostWaiting = std::size_t{256} * 1024;

  HttpStream();
  // As close(); on_closed() is forgotten.
  ~HttpStream();  // NOLINT(bugprone-exception-escape): see there
  HttpStream(const HttpStream&) = delete;
  HttpStream& operator=(const HttpStream&) = delete;

  // Queues the bytes, also before the handler has returned. Never calls back.
  //
  //   returns   false where nobody hears them: the client has gone, or goes now
  //             because too much would wait
  bool send(std::string_view bytes);
  // Whether somebody hears; true before the handler has returned.
  [[nodiscard]] bool open() const;
  // Bytes that the system has not taken yet.
  [[nodiscard]] std::size_t waiting() const;
  // Called once from the loop, never inside another call, when the connection
  // has ended, whoever ended it: also where there was no room for one more
  // stream. Not called when the server has ended.
  void on_closed(std::function<void()> action);
  // Ends the answer and the connection behind what waits.
  void close();

  struct State;  // http_stream_state.h, for the server
  [[nodiscard]] const std::shared_ptr<State>& state() const { return state_; }

 private:
  std::shared_ptr<State> state_;
};

}  // namespace stillpoint::net
