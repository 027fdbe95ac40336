// How each kind of source is made; open_source() chooses.
#pragma once

#include <memory>
#include <string>

#include "stillpoint/net/byte_source.h"
#include "stillpoint/net/source_core.h"

namespace stillpoint::net {

std::shared_ptr<SourceCore> make_serial_source(Loop& loop,
                                               const SourceAddress& address,
                                               const SourceOptions& options);

std::shared_ptr<SourceCore> make_tcp_source(Loop& loop,
                                            const SourceAddress& address,
                                            const SourceOptions& options);

// Opens what is read, once.
using OpenReader = std::function<Result<FileReader>()>;

// Reads to the end, paced where `speed` is above 0 (1 is real time); never
// tries again.
//
//   name   for messages
std::shared_ptr<SourceCore> make_reader_source(Loop& loop,
                                               OpenReader open,
                                               std::string name,
                                               double speed,
                                               const SourceOptions& options);

std::shared_ptr<SourceCore> make_file_source(Loop& loop,
                                             const SourceAddress& address,
                                             const SourceOptions& options);

// Standard input, descriptor 0, whatever it is: pipe, terminal, socket, file.
std::shared_ptr<SourceCore> make_stdin_source(Loop& loop,
                                              const SourceOptions& options);

// Reads a descriptor that does not keep anyone waiting, and closes it at last.
FileReader descriptor_reader(int descriptor, std::string name);

}  // namespace stillpoint::net
