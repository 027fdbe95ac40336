// When a feed counts as frozen, and how long to wait before the next try.

// The station sends `now` every second; three periods without one are silence.
export const kSilence_ms = 3000;

export function feedIsFrozen(last_ms: number, now_ms: number): boolean {
  return now_ms - last_ms >= kSilence_ms;
}

// Wait before try number `failures` [ms]: 1, 2, 4, … at most 30 s, spread by a
// quarter so that many tabs do not come back in the same instant.
//
//   chance   0 .. 1
export function backOff_ms(failures: number, chance: number): number {
  const base = Math.min(30000, 1000 * 2 ** Math.max(0, failures - 1));
  return Math.round(base * (0.75 + 0.5 * chance));
}
