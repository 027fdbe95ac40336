// What is said aloud by screen readers: at most one sentence in ten seconds, the
// newest of those that waited.
import { signal } from "@preact/signals";
import type { JSX } from "preact";

export const kQuiet_ms = 10000;

// Holds back sentences: `say` hands one on at once or after the quiet time. The
// clock and the timer are passed in, so that a test can turn them.
export class Throttle {
  private last_ms = -Infinity;
  private waiting: string | null = null;
  constructor(
    private readonly hand: (words: string) => void,
    private readonly clock_ms: () => number,
    private readonly later: (run: () => void, delay_ms: number) => void,
    private readonly quiet_ms = kQuiet_ms,
  ) {}

  say(words: string): void {
    const waited = this.clock_ms() - this.last_ms;
    if (this.waiting === null && waited >= this.quiet_ms) {
      this.last_ms = this.clock_ms();
      this.hand(words);
      return;
    }
    const first = this.waiting === null;
    this.waiting = words;
    if (!first) return;
    this.later(() => {
      const newest = this.waiting;
      this.waiting = null;
      if (newest === null) return;
      this.last_ms = this.clock_ms();
      this.hand(newest);
    }, this.quiet_ms - waited);
  }
}

const said = signal("");
const throttle = new Throttle(
  (words) => (said.value = words),
  () => Date.now(),
  (run, delay_ms) => void setTimeout(run, delay_ms),
);

export function announce(words: string): void {
  throttle.say(words);
}

export function Announcer(): JSX.Element {
  return (
    <div class="unseen" role="status">
      {said.value}
    </div>
  );
}
