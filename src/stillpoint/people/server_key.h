// The key under which the tokens of streams are hashed: 32 random bytes in a
// file of their own, so that a stolen database alone opens nothing. Its loss
// makes every token useless, so it is never replaced in silence.
#pragma once

#include <filesystem>

#include "stillpoint/core/result.h"
#include "stillpoint/people/secrets.h"

namespace stillpoint::people {

//   errors   kNoData where there is no such file; kBadFormat for another length
//            than 32 bytes; kConfig where others than its owner may read or
//            write it; kIo
Result<SecretKey> read_server_key(const std::filesystem::path& path);

// Makes the file, and the folder that it is in (0700); the folder above must
// be there. Once this has returned, the key survives the loss of power; before,
// there is no file of that name. Where another program made it meanwhile,
// gives that one's key.
//
//   errors   kIo; as read_server_key() where there is a file already
Result<SecretKey> make_server_key(const std::filesystem::path& path);

// Whether tokens exist that were hashed under the key.
enum class Tokens : std::uint8_t { kNone, kSome };

// The key; where there is none, a new one if no token needs the old.
//
//   errors   kNoData where the key is missing and tokens need it; as above
Result<SecretKey> open_server_key(const std::filesystem::path& path,
                                  Tokens tokens);

}  // namespace stillpoint::people
