#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <boost/asio/error.hpp>
#include <cerrno>
#include <system_error>
#include <utility>

#include "stillpoint/net/descriptor_source.h"
#include "stillpoint/net/source_kinds.h"

namespace stillpoint::net {
namespace {

constexpr int kInput = STDIN_FILENO;
constexpr const char* kName = "standard input";

Error input_error(int number) {
  return {ErrorCode::kIo,
          "it cannot be read: " + std::generic_category().message(number),
          kName,
          "check what is piped into the program"};
}

Result<int> duplicate_input() {
  const int copy = fcntl(kInput, F_DUPFD_CLOEXEC, 3);
  if (copy < 0) {
    return fail(input_error(errno));
  }
  return copy;
}

SourceOptions without_retry(SourceOptions options) {
  options.reconnect = false;
  return options;
}

// Reads that do not block are a property of what is open, not of the
// descriptor: on a terminal they would change our own output and the shell
// too. So it is opened once more; where that cannot be (a socket, another
// user's pipe) a copy is read, and the property put back at the end.
class StdinSource final : public DescriptorSource {
 public:
  StdinSource(Loop& loop, const SourceOptions& options)
      : DescriptorSource(loop, without_retry(options)) {}

  Status send(ByteSpan) override {
    return fail(ErrorCode::kUnsupported,
                "standard input takes no bytes",
                kName,
                "give a source that is a receiver");
  }

 private:
  Result<int> open_descriptor() override {
    const int again =
        ::open("/proc/self/fd/0", O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
    if (again >= 0) {
      return again;
    }
    auto copy = duplicate_input();
    if (copy) {
      flags_ = fcntl(*copy, F_GETFL);
    }
    return copy;
  }

  void before_close(int descriptor) override {
    if (flags_ != -1) {
      fcntl(descriptor, F_SETFL, std::exchange(flags_, -1));
    }
  }

  void read_failed(const boost::system::error_code& code) override {
    if (code == boost::asio::error::eof) {
      end(std::nullopt);
    } else {
      end(input_error(code.value()));
    }
  }

  int flags_ = -1;  // to put back; -1: none
};

// What the system can wait for; all else (files, /dev/null) is always ready.
bool is_waitable() {
  struct stat status {};
  return fstat(kInput, &status) == 0 &&
         (S_ISFIFO(status.st_mode) || S_ISSOCK(status.st_mode) ||
          isatty(kInput) == 1);
}

}  // namespace

std::shared_ptr<SourceCore> make_stdin_source(Loop& loop,
                                              const SourceOptions& options) {
  if (is_waitable()) {
    return std::make_shared<StdinSource>(loop, options);
  }
  const auto open_copy = []() -> Result<FileReader> {
    auto copy = duplicate_input();
    if (!copy) {
      return fail(std::move(copy.error()));
    }
    return descriptor_reader(*copy, kName);
  };
  return make_reader_source(loop, open_copy, kName, 0, options);
}

}  // namespace stillpoint::net
