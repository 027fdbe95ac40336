// Random numbers that are a function of their place: a key and an index give
// the same number on every machine, in any order, without a state.
#pragma once

#include <cstdint>

namespace stillpoint::simulate {

// One sequence of random numbers. Different streams of a seed are
// independent.
struct RandomKey {
  std::uint64_t seed = 0;
  std::uint64_t stream = 0;
};

// The mixing function under all of it: every bit of the result depends on
// every bit of the argument.
//
//   source    Steele, Lea, Flood, "Fast splittable pseudorandom number
//             generators", OOPSLA 2014, with the constants of its common form
//             (from memory)
std::uint64_t mix_bits(std::uint64_t v);

// A key for a part of what a key stands for, e.g. a satellite of a station.
RandomKey sub_key(const RandomKey& key, std::uint64_t part);

// 64 random bits.
std::uint64_t random_bits(const RandomKey& key, std::uint64_t index);

// Uniform in (0, 1), never an end.
double random_uniform(const RandomKey& key, std::uint64_t index);

// Mean 0, variance 1; within +-8.3.
double random_gaussian(const RandomKey& key, std::uint64_t index);

// The value below which a standard normal variable falls with probability p.
// Only + - * / and sqrt, so that all machines agree to the last bit.
//
//   p         (0, 1)
//   accuracy  1e-14 relative
//   source    Wichura, algorithm AS 241 (PPND16), Appl. Statist. 37 (1988),
//             p. 477 (coefficients from memory, checked against erfc)
double normal_quantile(double p);

}  // namespace stillpoint::simulate
