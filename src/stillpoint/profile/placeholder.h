// What stands between the braces of a template: "x_m:scale=10000,i64le".
#pragma once

#include <string_view>

#include "stillpoint/profile/template.h"

namespace stillpoint::profile {

//   inside   without the braces
//   is_text  decimals are allowed, else forms of bytes, one of which is needed
Understood<Placeholder> parse_placeholder(std::string_view inside,
                                          bool is_text);

}  // namespace stillpoint::profile
