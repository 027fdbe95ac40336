#include "stillpoint/app/inherited.h"

#include <fcntl.h>

#include <cerrno>
#include <csignal>

namespace stillpoint::app {

void mend_what_was_inherited() {
  // The lowest free number is given: from 0 on, each one that is closed.
  for (int number = 0; number < 3; ++number) {
    if (::fcntl(number, F_GETFD) < 0 && errno == EBADF) {
      ::open("/dev/null", number == 0 ? O_WRONLY : O_RDONLY);
    }
  }
  std::signal(SIGCHLD, SIG_DFL);
}

}  // namespace stillpoint::app
