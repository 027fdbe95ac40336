import assert from "node:assert/strict";
import test from "node:test";
import { calendarDays, epochInterval, percent, recordBegins, seconds, stepCell, tally, type HourIn } from "./calendar.ts";

const kDay = Date.UTC(2026, 5, 2) / 1000;
const time = (s: number) => new Date(s * 1000).toISOString();

function hour(n: number, epochs: number | null, more: Partial<HourIn> = {}): HourIn {
  const start = kDay + n * 3600;
  return {
    start: time(start), path: null, bytes: 1000, disk_bytes: 400,
    first_epoch: epochs === null ? null : time(start), last_epoch: epochs === null ? null : time(start + 3599),
    epochs, open: false, ...more,
  };
}

test("the interval is the densest hour's, as receivers are set", () => {
  assert.equal(epochInterval([hour(0, 3600), hour(1, 1800)]), 1);
  assert.equal(epochInterval([hour(0, 121, { last_epoch: time(kDay + 3600) })]), 30);
  assert.equal(epochInterval([hour(0, null)]), null);
});

test("cells tell whole, partial, absent, unknown, open and ahead", () => {
  const now = kDay + 5 * 3600 + 900;
  const hours = [hour(0, 3600), hour(1, 2700), hour(3, null), hour(5, 900, { open: true })];
  const days = calendarDays(kDay, now, now, hours, [
    { from: time(kDay + 3600 + 60), to: time(kDay + 3600 + 960), cause: "the receiver was silent" },
  ]);
  assert.equal(days.length, 1);
  const cells = days[0]?.cells ?? [];
  assert.equal(cells.length, 24);
  assert.deepEqual(cells.slice(0, 7).map((c) => c.kind), ["counted", "counted", "absent", "unknown", "absent", "open", "ahead"]);
  assert.equal(cells[0]?.share, 1);
  assert.equal(cells[1]?.share, 0.75);
  assert.equal(cells[1]?.gaps.length, 1);
  assert.equal(cells[0]?.gaps.length, 0);
  assert.equal(cells[3]?.share, null);
  assert.equal(cells[5]?.share, 1, "a quarter of an hour has passed, all of it is there");
  assert.equal(cells[5]?.fill, 0.25);
});

test("days begin at midnight UTC, the newest first", () => {
  const days = calendarDays(kDay - 3600, kDay + 90000, kDay + 90000, [], []);
  assert.deepEqual(days.map((d) => d.startS), [kDay + 86400, kDay, kDay - 86400]);
  assert.equal(days[2]?.cells[0]?.kind, "ahead", "before the range nothing was asked for");
  assert.equal(days[2]?.cells[23]?.kind, "absent");
});

test("an hour that was begun twice is one cell", () => {
  const days = calendarDays(kDay, kDay + 3600, kDay + 7200, [hour(0, 1000), hour(0, 2000), hour(1, 3600)], []);
  assert.equal(days[0]?.cells[0]?.epochs, 3000);
  assert.equal(days[0]?.cells[0]?.hours.length, 2);
});

test("the tally counts absent hours as missing epochs", () => {
  const sum = tally(calendarDays(kDay, kDay + 7200, kDay + 7200, [hour(0, 3600)], []));
  assert.deepEqual(sum, { hours: 2, recorded: 1, whole: 1, share: 0.5, bytes: 400 });
});

test("100 % is said only of what is whole", () => {
  assert.equal(percent(1), "100 %");
  assert.equal(percent(0.99999), "99.9 %");
  assert.equal(percent(0.0123), "1.23 %");
});

test("arrow keys stay within the calendar", () => {
  assert.deepEqual(stepCell(7, { row: 0, column: 0 }, "ArrowLeft"), { row: 0, column: 0 });
  assert.deepEqual(stepCell(7, { row: 0, column: 22 }, "ArrowRight"), { row: 0, column: 23 });
  assert.deepEqual(stepCell(7, { row: 5, column: 3 }, "PageDown"), { row: 6, column: 3 });
  assert.equal(stepCell(7, { row: 5, column: 3 }, "a"), null);
});

test("a record begins with its first hour or its first gap, never before what was asked for", () => {
  const at = (start: string) => ({
    start, path: null, bytes: 0, disk_bytes: 0, first_epoch: null, last_epoch: null, epochs: 60, open: false,
  });
  const from = seconds("2026-06-01T00:00:00Z");
  const hours = [at("2026-06-02T05:00:00Z"), at("2026-06-02T06:00:00Z")];
  assert.equal(recordBegins(from, hours, []), seconds("2026-06-02T05:00:00Z"));
  const gap = { from: "2026-06-01T22:10:00Z", to: "2026-06-02T05:00:00Z", cause: "the station was off" };
  assert.equal(recordBegins(from, hours, [gap]), seconds(gap.from));
  assert.equal(recordBegins(seconds("2026-06-02T05:30:00Z"), hours, [gap]), seconds("2026-06-02T05:30:00Z"));
  assert.equal(recordBegins(from, [], []), from);
  assert.equal(calendarDays(recordBegins(from, hours, []), from + 2 * 86400, from + 2 * 86400, hours, []).length, 1);
});
