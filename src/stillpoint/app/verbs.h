// The verbs of the program: those that are built, and those that are planned,
// so that a plan typed as a verb gets an honest answer.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::app {

// What every verb is handed: the arguments behind it, and whether --json stood
// anywhere on the line.
struct Arguments {
  std::vector<std::string> words;
  bool json = false;
  bool plain = false;  // no escape sequences, even on a terminal
};

struct Verb {
  std::string_view name;
  std::string_view does;
  int (*run)(const Arguments&);  // nullptr: not in this version
};

std::span<const Verb> verbs();
const Verb* find_verb(std::string_view name);

int run_adopt(const Arguments& arguments);
int run_candidates(const Arguments& arguments);
int run_check_config(const Arguments& arguments);
int run_check_receiver(const Arguments& arguments);
int run_claim(const Arguments& arguments);
int run_demo(const Arguments& arguments);
int run_export(const Arguments& arguments);
int run_listen(const Arguments& arguments);
int run_locate(const Arguments& arguments);
int run_position(const Arguments& arguments);
int run_replay(const Arguments& arguments);
int run_rovers(const Arguments& arguments);
int run_run(const Arguments& arguments);
int run_simulate(const Arguments& arguments);
int run_tie(const Arguments& arguments);

}  // namespace stillpoint::app
