// An owner's archives.toml: which archives may be asked, for which products.
// docs/fetch.md explains it, examples/archives.toml is one.
#pragma once

#include <string_view>

#include "stillpoint/core/result.h"
#include "stillpoint/fetch/product_line.h"

namespace stillpoint::fetch {

// Reads the text of the file (up to 256 KB; 20 archives, 200 products, 20
// logins).
//
//   name     of the file, for messages
//   errors   kConfig with every mistake as "name:line:column" (at most 20 are
//            told). No value is repeated, as it might be a secret
Result<ArchiveList> parse_archives(std::string_view toml,
                                   std::string_view name);

}  // namespace stillpoint::fetch
