import assert from "node:assert/strict";
import { test } from "node:test";
import { ago, bytes, kUnknown, list, number, plural, quantity, relative, span, utc, utcNear } from "./format.ts";

const plain = (words: string): string => words.replace(/[\u202f\u00a0]/g, " ");

test("number groups from five digits on and has a true minus", () => {
  assert.equal(number(1234), "1234");
  assert.equal(plain(number(4277342.418, 4)), "4 277 342.4180");
  assert.equal(number(-3.25, 1), "\u22123.3");
  assert.equal(number(-0.04, 1), "0.0");
});

test("what is not known is said, never shown as 0", () => {
  for (const value of [null, undefined, NaN, Infinity]) {
    assert.equal(number(value), kUnknown);
    assert.equal(bytes(value), kUnknown);
    assert.equal(quantity(value, "m"), kUnknown);
    assert.equal(span(value), kUnknown);
  }
  assert.equal(ago(null), kUnknown);
  assert.equal(utc("no time"), kUnknown);
  assert.equal(utcNear("no time", 0), kUnknown);
});

test("bytes keep three digits across every step", () => {
  const cases: [number, string][] = [
    [0, "0 B"],
    [999, "999 B"],
    [1000, "1.00 kB"],
    [9994, "9.99 kB"],
    [9995, "10.0 kB"],
    [99940, "99.9 kB"],
    [99960, "100 kB"],
    [999499, "999 kB"],
    [999500, "1.00 MB"],
    [21.4e9, "21.4 GB"],
    [5e15, "5000 TB"],
  ];
  for (const [value, words] of cases) assert.equal(plain(bytes(value)), words);
});

test("spans have at most two units and round without a 60", () => {
  const cases: [number, string][] = [
    [0.4, "0 s"],
    [59.6, "1 min"],
    [90, "2 min"],
    [3570, "1 h"],
    [7500, "2 h 5 min"],
    [47 * 3600 + 3599, "2 days"],
    [50 * 3600, "2 days 2 h"],
    [30 * 86400, "30 days"],
    [-5, "0 s"],
  ];
  for (const [value, words] of cases) assert.equal(plain(span(value)), words);
});

test("relative tells past from future", () => {
  assert.equal(plain(relative(0, 12000)), "12 s ago");
  assert.equal(plain(relative(180000, 0)), "in 3 min");
  assert.equal(relative(1000, 0), "just now");
  assert.equal(ago(0.2), "just now");
});

test("times are in UTC and say so", () => {
  assert.equal(utc("2026-06-02T08:04:05Z"), "2 Jun 2026 08:04 UTC");
  assert.equal(utc("2026-06-02T08:04:05Z", true), "2 Jun 2026 08:04:05 UTC");
  assert.equal(utc("2026-12-31T23:30:00-01:00"), "1 Jan 2027 00:30 UTC");
  assert.equal(utcNear("2026-06-02T08:04:05Z", Date.parse("2026-06-02T23:59:59Z")), "08:04 UTC");
  assert.equal(utcNear("2026-06-02T08:04:05Z", Date.parse("2026-06-03T00:00:00Z")), "2 Jun 2026 08:04 UTC");
});

test("lists and counts read as a sentence", () => {
  assert.equal(list([]), "");
  assert.equal(list(["a"]), "a");
  assert.equal(list(["a", "b", "c"]), "a, b and c");
  assert.equal(plural(1, "rover"), "1 rover");
  assert.equal(plural(0, "rover"), "0 rovers");
});
