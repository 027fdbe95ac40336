import assert from "node:assert/strict";
import { test } from "node:test";
import { nextOnRoad, spoken } from "../shell/head.tsx";
import { roomOf } from "../state.ts";
import type { LogEntry, Now } from "../types.ts";
import { wholeNumber } from "./limits.ts";
import { byDay } from "./logbook.tsx";
import { detailWords } from "./logbook_words.ts";
import { checkNewPassword } from "./passwords.ts";
import { messageName } from "./stream_messages.ts";

const plain = (words: string): string => words.replace(/[\u202f\u00a0]/g, " ");

test("an address leads to a room, any other to the first", () => {
  assert.equal(roomOf("#/stream"), "stream");
  assert.equal(roomOf("#/logbook?kind=gap,moved"), "logbook");
  assert.equal(roomOf("#/cautions"), "cautions");
  for (const odd of ["", "#", "#/", "#/nowhere", "#/constructor"]) assert.equal(roomOf(odd), "now");
});

test("a limit is empty, a number, or wrong", () => {
  assert.equal(wholeNumber("  ", 1, 1), null);
  assert.equal(wholeNumber("3", 1, 1), 3);
  assert.equal(wholeNumber("4.5", 1e6, 1), 4500000);
  assert.equal(wholeNumber("4,5", 1e6, 1), 4500000);
  for (const wrong of ["0", "-1", "1.5", "x", "1e3", "1 000", "9999999999999"]) {
    assert.equal(wholeNumber(wrong, 1, 1), undefined, wrong);
  }
  assert.equal(wholeNumber("0", 1e6, 1), undefined);
});

test("a password is long enough and typed twice", () => {
  assert.equal(checkNewPassword("", "", "p", "a")[0]?.field, "p");
  assert.equal(checkNewPassword("short", "short", "p", "a")[0]?.field, "p");
  assert.equal(checkNewPassword("eight si", "eight s.", "p", "a")[0]?.field, "a");
  assert.deepEqual(checkNewPassword("eight si", "eight si", "p", "a"), []);
  // Six signs, each two UTF-16 units: still too short.
  const stones = "\u{1FAA8}".repeat(6);
  assert.equal(checkNewPassword(stones, stones, "p", "a")[0]?.field, "p");
});

test("entries are put under the UTC day they belong to, in their order", () => {
  const entry = (id: number, at: string): LogEntry => ({ id, at, kind: "k", text: "", details: {} });
  const days = byDay([entry(3, "2026-06-02T00:00:00Z"), entry(2, "2026-06-01T23:59:59Z"), entry(1, "2026-06-01T00:00:00Z")]);
  assert.deepEqual(
    days.map((day) => [day.day, day.entries.map((one) => one.id)]),
    [
      ["2 Jun 2026", [3]],
      ["1 Jun 2026", [2, 1]],
    ],
  );
});

test("details carry the unit of their key", () => {
  assert.equal(plain(detailWords({ east_mm: -12, azimuth_deg: 134, record: 7, by: "mara" })), "east \u221212 mm; azimuth 134°; record 7; by mara");
  assert.equal(detailWords({ s: 4, why: null, on: true }), "s 4; why not known; on yes");
  assert.equal(detailWords({}), "");
  assert.equal(detailWords({ from: "2026-06-02T10:00:00.000Z" }), "from 2 Jun 2026 10:00:00 UTC");
  assert.equal(plain(detailWords({ lasted_s: 2.053192444 })), "lasted 2.0532 s");
});

test("messages are named by number, unknown ones said to have none", () => {
  assert.equal(messageName(1077), "Observations of GPS (MSM7)");
  assert.equal(messageName(1124), "Observations of BeiDou (MSM4)");
  assert.equal(messageName(1006).startsWith("Coordinate"), true);
  assert.equal(messageName(1078), "No name for it here");
  assert.equal(messageName(4072), "A maker's own message");
});

test("the sentence is cut at its state and its next step, or shown as it came", () => {
  assert.deepEqual(spoken("Doubtful since 08:14 UTC: the antenna moved. Next: look at the mast.", "doubtful"), {
    state: "Doubtful",
    rest: " since 08:14 UTC: the antenna moved.",
    next: "Look at the mast.",
  });
  assert.deepEqual(spoken("Trusted since 08:14 UTC. Nothing is to be done.", "trusted"), {
    state: "Trusted",
    rest: " since 08:14 UTC. Nothing is to be done.",
    next: null,
  });
  assert.deepEqual(spoken("All is well.", "trusted"), { state: "Trusted", rest: ": All is well.", next: null });
});

test("the road tells what it waits for, and nothing when it is gone", () => {
  const at = (remaining_s: number | null): Now =>
    ({
      road: [
        { state: "done", what: "Done." },
        { state: "working", what: "Recording.", remaining_s },
      ],
    }) as unknown as Now;
  assert.equal(nextOnRoad(at(null)), "Recording.");
  assert.equal(plain(nextOnRoad(at(7200)) ?? ""), "Recording. About 2 h to go.");
  assert.equal(nextOnRoad({ road: [{ state: "done" }] } as unknown as Now), null);
});
