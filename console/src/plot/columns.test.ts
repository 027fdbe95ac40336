import assert from "node:assert/strict";
import test from "node:test";
import { belowSince, bucketSize, buckets, extent, stepRow, usualStep } from "./columns.ts";
import { toCsv } from "./csv.ts";
import { fieldOf, spanMistakes, timeOf } from "./utc_field.ts";

test("buckets keep mean, lowest and highest; an empty one is a gap", () => {
  const x = [0, 60, 120, 180, 600, 660];
  const made = buckets(x, [1, 3, null, 5, 7, 9], 120);
  assert.deepEqual(made.x, [0, 120, 240, 360, 480, 600]);
  assert.deepEqual(made.mean, [2, 5, null, null, null, 8]);
  assert.deepEqual(made.low, [1, 5, null, null, null, 7]);
  assert.deepEqual(made.high, [3, 5, null, null, null, 9]);
});

test("rows that are missing can count as nothing", () => {
  const made = buckets([0, 60, 240, 300], [60, 60, 60, 60], 120, 0);
  assert.deepEqual(made.mean, [60, 0, 60]);
  const half = buckets([0, 60, 180, 240, 300], [60, 60, 60, 60, 60], 120, 0);
  assert.deepEqual(half.mean, [60, 30, 60]);
  assert.deepEqual(half.low, [60, 0, 60]);
});

test("buckets of no rows", () => {
  assert.deepEqual(buckets([], [], 60).x, []);
  assert.equal(usualStep([]), 1);
  assert.equal(usualStep([0, 60, 120, 9000]), 60);
});

test("a week is drawn in half hours, a day in five minutes", () => {
  assert.equal(bucketSize(7 * 86400, 400), 1800);
  assert.equal(bucketSize(86400, 400), 300);
  assert.equal(bucketSize(3600, 400), 60);
});

test("what a column holds", () => {
  assert.deepEqual(extent([null, 3, 1, 8]), { count: 3, mean: 4, low: 1, lowAt: 2, high: 8, highAt: 3, last: 8 });
  assert.equal(extent([null]), null);
});

test("since when a column stays below a limit", () => {
  assert.equal(belowSince([1, 2, 3, 4], [9, 4, 12, 3], 10), 4);
  assert.equal(belowSince([1, 2, 3], [9, 4, 3], 10), 1);
  assert.equal(belowSince([1, 2], [9, 14], 10), null);
});

test("the cursor stays within the rows", () => {
  assert.equal(stepRow(10, null, "ArrowLeft"), 8);
  assert.equal(stepRow(10, 9, "ArrowRight"), 9);
  assert.equal(stepRow(100, 50, "PageDown"), 40);
  assert.equal(stepRow(0, null, "Home"), null);
  assert.equal(stepRow(10, 3, "x"), null);
});

// kind: published   source: RFC 4180, section 2 (quoting); formulas: common
// practice, no source.
test("tables for spreadsheets", () => {
  assert.equal(toCsv(["a", "b"], [[1, null], ['say "x", y', "=1+1"], [-2.5, true]]),
    'a,b\r\n1,\r\n"say ""x"", y",\'=1+1\r\n-2.5,true\r\n');
});

test("times in fields are UTC", () => {
  assert.equal(timeOf("2026-06-02T08:14"), "2026-06-02T08:14:00Z");
  assert.equal(timeOf("2026-02-30T08:14"), null);
  assert.equal(timeOf("tomorrow"), null);
  assert.equal(fieldOf(Date.UTC(2026, 5, 2, 8, 14, 59) / 1000), "2026-06-02T08:14");
  const now = Date.UTC(2026, 5, 3) / 1000;
  assert.deepEqual(spanMistakes("2026-06-02T00:00", "2026-06-03T00:00", now), []);
  assert.equal(spanMistakes("2026-06-02T00:00", "2026-06-02T00:00", now)[0]?.field, "end");
  assert.equal(spanMistakes("2026-06-04T00:00", "2026-06-05T00:00", now)[0]?.field, "start");
  assert.equal(spanMistakes("", "", now).length, 2);
});
