import assert from "node:assert/strict";
import test from "node:test";
import {
  compareIds, heightWord, markPath, placeLabels, ringRadius, skyPlace, stepAlong, trackParts, windWord,
} from "./dome.ts";

const near = (a: number, b: number) => assert.ok(Math.abs(a - b) < 1e-9, `${a} is not ${b}`);

test("the zenith is the middle, the horizon the rim, north up and east right", () => {
  near(skyPlace(123, 90).x, 0);
  near(skyPlace(123, 90).y, 0);
  near(skyPlace(0, 0).y, -1);
  near(skyPlace(90, 0).x, 1);
  near(skyPlace(180, 0).y, 1);
  near(skyPlace(270, 0).x, -1);
  near(skyPlace(90, -5).x, 1);
});

// kind: closed form   source: the part of the half sphere above elevation e is
// 1 - sin e (Archimedes' hat-box theorem).
test("equal parts of the sky take equal areas", () => {
  for (const e of [0, 10, 30, 45, 60, 89]) {
    near(ringRadius(e) ** 2, 1 - Math.sin((e * Math.PI) / 180));
  }
  near(ringRadius(30) ** 2, 0.5);
});

test("winds and heights in words", () => {
  assert.equal(windWord(0), "north");
  assert.equal(windWord(359), "north");
  assert.equal(windWord(44), "north-east");
  assert.equal(windWord(-90), "west");
  assert.equal(windWord(200), "south");
  assert.equal(heightWord(9.9), "close to the horizon");
  assert.equal(heightWord(24), "low");
  assert.equal(heightWord(60), "high");
});

test("each system has a shape of its own", () => {
  const shapes = new Set([..."GRECJIS?"].map((system) => markPath(system, 6)));
  assert.equal(shapes.size, 8);
});

test("satellites are listed by system, then by number", () => {
  const ids = ["S23", "C02", "E01", "G11", "R03", "G02", "X01"];
  assert.deepEqual(ids.sort(compareIds), ["G02", "G11", "R03", "E01", "C02", "S23", "X01"]);
});

test("a track fades with age and breaks where points are missing", () => {
  const times = [0, 300, 600, 5000, 5300];
  const places = [0, 1, 2, 3, 4].map((x) => ({ x, y: 0 }));
  const parts = trackParts(times, places, 5400, 5400, 2);
  assert.equal(parts.length, 2);
  assert.equal(parts[0]?.path, "M3 0L4 0"); // the newest; nothing from 600 to 5000
  assert.equal(parts[1]?.path, "M0 0L1 0M1 0L2 0");
  assert.deepEqual(trackParts(times, [places[0] ?? null, null, null, null, null], 5400, 5400, 2), []);
});

test("labels do not lie on each other as long as there is room", () => {
  const marks = [{ x: 100, y: 100 }, { x: 104, y: 100 }, { x: 100, y: 104 }];
  const labels = placeLabels(marks, 5, 20, 12);
  for (const [i, a] of labels.entries()) {
    for (const b of labels.slice(i + 1)) {
      assert.ok(Math.abs(a.x - b.x) >= 20 || Math.abs(a.y - b.y) >= 12, "two labels overlap");
    }
  }
  const alone = placeLabels([{ x: 0, y: 0 }], 5, 20, 12);
  const pushed = placeLabels([{ x: 0, y: 0 }], 5, 20, 12, [{ x: 5, y: -10, width: 40, height: 20 }]);
  assert.ok((alone[0]?.x ?? 0) > 0);
  assert.ok((pushed[0]?.x ?? 1) <= 0, "the other box is not avoided");
});

test("arrow keys reach every satellite and go round", () => {
  const sky = [
    { id: "G01", azimuthDeg: 10, elevationDeg: 80 },
    { id: "G02", azimuthDeg: 200, elevationDeg: 10 },
    { id: "E05", azimuthDeg: 100, elevationDeg: 40 },
  ];
  assert.equal(stepAlong(sky, null, "right"), "G01");
  assert.equal(stepAlong(sky, "G01", "right"), "E05");
  assert.equal(stepAlong(sky, "G01", "left"), "G02");
  assert.equal(stepAlong(sky, "G02", "up"), "E05");
  assert.equal(stepAlong(sky, "G01", "up"), "G02");
  assert.equal(stepAlong(sky, "E05", "first"), "G01");
  assert.equal(stepAlong(sky, "E05", "last"), "E05");
  assert.equal(stepAlong([], null, "up"), null);
});
