import assert from "node:assert/strict";
import { test } from "node:test";
import { Throttle } from "./announce.tsx";

// A clock and a timer that are turned by hand.
function hand(): { said: string[]; throttle: Throttle; pass: (ms: number) => void } {
  const said: string[] = [];
  let at = 0;
  let waiting: { due: number; run: () => void }[] = [];
  const throttle = new Throttle(
    (words) => said.push(`${at}: ${words}`),
    () => at,
    (run, delay_ms) => waiting.push({ due: at + delay_ms, run }),
  );
  const pass = (ms: number): void => {
    at += ms;
    const due = waiting.filter((one) => one.due <= at);
    waiting = waiting.filter((one) => one.due > at);
    for (const one of due) one.run();
  };
  return { said, throttle, pass };
}

test("the first sentence is said at once", () => {
  const { said, throttle } = hand();
  throttle.say("trusted");
  assert.deepEqual(said, ["0: trusted"]);
});

test("of what comes within ten seconds only the newest is said, when they are over", () => {
  const { said, throttle, pass } = hand();
  throttle.say("one");
  pass(1000);
  throttle.say("two");
  pass(1000);
  throttle.say("three");
  pass(7000);
  assert.deepEqual(said, ["0: one"]);
  pass(1000);
  assert.deepEqual(said, ["0: one", "10000: three"]);
  pass(30000);
  throttle.say("four");
  assert.deepEqual(said, ["0: one", "10000: three", "40000: four"]);
});
