import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { messageName, oldestGood_s } from "./stream_messages.ts";

// The program's own list, as it is compiled in. npm runs tests in console/.
function programNames(): Map<number, string> {
  const text = readFileSync("../src/stillpoint/rtcm/message_names.cc", "utf8");
  return new Map([...text.matchAll(/Name\{(\d+),\s*"([^"]+)"\}/g)].map(([, type, words]) => [Number(type), words ?? ""]));
}
const kUnknown = messageName(1);

test("what the program can name, the page can name, and nothing else", () => {
  const program = programNames();
  assert.ok(program.size > 100, `only ${program.size} names were read`);
  for (let type = 1; type <= 4000; type += 1) {
    assert.equal(messageName(type) !== kUnknown, program.has(type), `message ${type}`);
  }
  assert.notEqual(messageName(4001), kUnknown);
  assert.notEqual(messageName(4095), kUnknown);
});

test("systems, levels and bands are the same in both", () => {
  for (const [type, words] of programNames()) {
    const ours = messageName(type);
    for (const part of ["GPS", "GLONASS", "Galileo", "BeiDou", "QZSS", "SBAS", "NavIC", "F/NAV", "I/NAV", "SSR"]) {
      assert.equal(ours.includes(part), words.includes(part), `${type}: ${ours} | ${words}`);
    }
    const level = /MSM\d/.exec(words)?.[0];
    if (level !== undefined) assert.ok(ours.includes(`(${level})`), `${type}: ${ours}`);
    assert.equal(/extended/i.test(ours), /extended/i.test(words), `${type}: ${ours} | ${words}`);
    assert.equal(/orbits/i.test(ours), /ephemerides|orbit/i.test(words), `${type}: ${ours} | ${words}`);
    assert.equal(/clock/i.test(ours), /clock/i.test(words), `${type}: ${ours} | ${words}`);
  }
});

test("an epoch may be as old as the receiver's interval and a lag of the link", () => {
  assert.equal(oldestGood_s([]), 5);
  assert.equal(oldestGood_s([{ type: 1006, rate_hz: 0.01 }]), 5);
  assert.equal(oldestGood_s([{ type: 1077, rate_hz: 0.1 }, { type: 1087, rate_hz: null }]), 15);
  assert.equal(oldestGood_s([{ type: 1004, rate_hz: 1 }, { type: 1127, rate_hz: 0.5 }]), 6);
});
