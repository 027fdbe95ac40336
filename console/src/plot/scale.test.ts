import assert from "node:assert/strict";
import test from "node:test";
import {
  figures, logRange, logTicks, millimetres, momentLabel, niceStep, plainRange, signed, ticks, timeLabel, timeTicks,
} from "./scale.ts";

test("steps are 1, 2 or 5 times a power of ten", () => {
  assert.equal(niceStep(0.03), 0.05);
  assert.equal(niceStep(1), 1);
  assert.equal(niceStep(1.1), 2);
  assert.equal(niceStep(7), 10);
});

test("ticks lie inside and are round", () => {
  assert.deepEqual(ticks(0, 10, 5), [0, 2, 4, 6, 8, 10]);
  assert.deepEqual(ticks(-0.25, 0.25, 5), [-0.2, -0.1, 0, 0.1, 0.2]);
  assert.deepEqual(ticks(3, 3, 5), []);
});

test("logarithmic ticks fall back to decades", () => {
  assert.deepEqual(logTicks(2, 50), [2, 5, 10, 20, 50]);
  assert.deepEqual(logTicks(1, 100000, 8), [1, 10, 100, 1000, 10000, 100000]);
  assert.deepEqual(logTicks(0, 10), []);
});

test("a logarithmic axis holds all positive values", () => {
  assert.deepEqual(logRange([3.8, null, 1300, 0, -4]), [2, 2000]);
  assert.deepEqual(logRange([5, 5]), [2.5, 10]);
  assert.deepEqual(logRange([]), [1, 10]);
});

test("a plain axis ends on round values", () => {
  assert.deepEqual(plainRange([25.2, 34.1, null]), [25, 35]);
  assert.deepEqual(plainRange([58, 60], 0), [0, 60]);
  const [low, high] = plainRange([7, 7]);
  assert.ok(low <= 7 && high > 7);
  assert.deepEqual(plainRange([]), [0, 1]);
});

test("time ticks are whole in UTC", () => {
  const day = Date.UTC(2026, 5, 2) / 1000;
  assert.deepEqual(timeTicks(day - 10, day + 86400, 5).map((t) => (t - day) / 3600), [0, 6, 12, 18, 24]);
  assert.equal(timeLabel(day), "2 Jun");
  assert.equal(timeLabel(day + 6 * 3600), "06:00");
  assert.equal(momentLabel(day + 61), "2 Jun 2026, 00:01 UTC");
});

test("figures never say more than they know", () => {
  assert.equal(figures(0.034), "0.03");
  assert.equal(figures(4.23), "4.2");
  assert.equal(figures(123.4), "123");
  assert.equal(figures(0), "0");
  assert.equal(millimetres(-4.23), "−4.2 mm");
  assert.equal(millimetres(12345), "12.3 m");
  assert.equal(signed(3.21), "+3.2");
  assert.equal(signed(-0.04), "0.0");
});
