import assert from "node:assert/strict";
import { test } from "node:test";
import { backOff_ms, feedIsFrozen } from "./feed.ts";

test("three periods without a word are silence, two are not", () => {
  assert.equal(feedIsFrozen(1000, 3999), false);
  assert.equal(feedIsFrozen(1000, 4000), true);
});

test("the wait grows twofold to half a minute and stays within a quarter of it", () => {
  const middle = [1, 2, 3, 4, 5, 6, 7, 60].map((failures) => backOff_ms(failures, 0.5));
  assert.deepEqual(middle, [1000, 2000, 4000, 8000, 16000, 30000, 30000, 30000]);
  assert.equal(backOff_ms(3, 0), 3000);
  assert.equal(backOff_ms(3, 1), 5000);
});
