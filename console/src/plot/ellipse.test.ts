import assert from "node:assert/strict";
import test from "node:test";
import { awayWords, chooseWindow, rimLabels, stepSize, type Spread } from "./ellipse.ts";

const spread = (id: number, e: number, n: number, u: number, sigma: number): Spread => ({
  id, e, n, u, sigmaE: sigma, sigmaN: sigma, sigmaU: 2 * sigma,
});

test("a code position does not squeeze the phase solutions", () => {
  const window = chooseWindow([spread(1, 0, 0, 0, 5), spread(2, 3, -2, 6, 5), spread(3, 300, 200, -400, 600)]);
  assert.deepEqual(window.inside.map((s) => s.id), [1, 2]);
  assert.deepEqual(window.outside.map((s) => s.id), [3]);
  assert.ok(window.half >= 13 && window.half <= 16);
  assert.ok(window.halfUp >= 26 && window.halfUp <= 32);
});

test("everything is inside when it is asked for, and one always is", () => {
  const all = [spread(1, 0, 0, 0, 5), spread(3, 300, 200, -400, 600)];
  assert.equal(chooseWindow(all, Infinity).outside.length, 0);
  assert.equal(chooseWindow([spread(3, 300, 200, -400, 600)]).inside.length, 1);
  assert.equal(chooseWindow([]).inside.length, 0);
});

test("all of what is inside fits into the window", () => {
  for (const size of [0.01, 1, 7.3, 99, 1234]) {
    const window = chooseWindow([spread(1, size, -size, size, size)]);
    assert.ok(window.half >= 3 * size && window.halfUp >= 5 * size);
  }
});

test("steps and directions", () => {
  assert.deepEqual(stepSize([3, 4, -7]), { plane: 5, up: -7 });
  assert.equal(awayWords(spread(5, 41, -63, 120, 5)), "75.2 mm south-east, 120 mm up");
});

test("numbers at the rims keep off each other", () => {
  const same = { x: 50, y: 50, rx: 10, ry: 10 };
  const labels = rimLabels([same, same, same, same], 18, 12);
  for (const [i, a] of labels.entries()) {
    for (const b of labels.slice(i + 1)) {
      assert.ok(Math.abs(a.x - b.x) >= 18 || Math.abs(a.y - b.y) >= 12, "two numbers overlap");
    }
  }
});
