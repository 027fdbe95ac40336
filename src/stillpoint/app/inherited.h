// What a program takes over from whoever starts it, and cannot do without.
#pragma once

namespace stillpoint::app {

// Makes good what a careless parent leaves behind:
// - standard input, output or error that is closed is put on /dev/null, in the
//   direction that fails, so that no file of ours gets its number and no
//   message lands in a recording, while a write to it is an error as before;
// - an ignored SIGCHLD is default again, or a child's end would never be told.
void mend_what_was_inherited();

}  // namespace stillpoint::app
