// Parts of a run of received bytes, counted in bytes.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "stillpoint/archive/piece.h"

namespace stillpoint::archive {

using ReceivedRun = std::vector<Received>;

std::size_t byte_count(std::span<const Received> run);
// The first `count` bytes, all of them where there are no more.
ReceivedRun first_bytes(std::span<const Received> run, std::size_t count);
// What is left behind them.
ReceivedRun without_first(std::span<const Received> run, std::size_t count);
// As many of the first bytes as surely make a body of at most `size`.
ReceivedRun first_within(std::span<const Received> run, std::size_t size);

}  // namespace stillpoint::archive
