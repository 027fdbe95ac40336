#include <utility>

#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/source_kinds.h"

namespace stillpoint::net {

Result<std::unique_ptr<ByteSource>> open_source(Loop& loop,
                                                const SourceAddress& address,
                                                const SourceOptions& options) {
  switch (address.kind) {
    case SourceKind::kSerial:
      return source_of(make_serial_source(loop, address, options));
    case SourceKind::kTcp:
      return source_of(make_tcp_source(loop, address, options));
    case SourceKind::kFile:
      if (address.speed > 0 && options.pacer == nullptr) {
        return fail(ErrorCode::kUsage,
                    "this file cannot be played at a speed here",
                    address.text,
                    "leave speed= out");
      }
      return source_of(make_file_source(loop, address, options));
    case SourceKind::kStdin:
      return source_of(make_stdin_source(loop, options));
    case SourceKind::kNtrip:
    case SourceKind::kNtrips:
      break;
  }
  return fail(ErrorCode::kUsage,
              "a caster cannot be the source here",
              address.text,
              "give a serial device, a tcp:// source, a file or -");
}

}  // namespace stillpoint::net
