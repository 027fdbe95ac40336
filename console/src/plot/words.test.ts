import assert from "node:assert/strict";
import test from "node:test";
import type { Candidate, Coordinate, Sky } from "../types.ts";
import {
  adoptionCautions, growthRows, growthSummary, nearEarth, readNumbers, sexagesimal, spreads,
} from "./coordinate_words.ts";
import { gapTotal, moveRange, recordPath } from "./record_words.ts";
import { commonDirection, levelSummary, missing, placeless, skySummary, trend } from "./sky_words.ts";

const satellite = (id: string, azimuth: number | null, elevation: number | null, seen: boolean, cn0: number | null = 40) => ({
  id, azimuth_deg: azimuth, elevation_deg: elevation, seen, signals: seen ? [{ code: "1C", cn0_dbhz: cn0 }] : [],
});

const sky: Sky = {
  schema_version: 1, now: "2026-06-02T08:00:00Z",
  satellites: [
    satellite("G05", 40, 20, false), satellite("G07", 50, 12, false), satellite("E01", 45, 33, false),
    satellite("C03", 180, 70, true, 48), satellite("G09", 200, 10, true, 36), satellite("S23", null, null, true),
  ],
  tracks: [], systems: [], cn0: { bins_deg: [], mean_dbhz: [] },
};

test("the sky in words", () => {
  assert.deepEqual(missing(sky).map((s) => s.id), ["E01", "G05", "G07"]);
  assert.deepEqual(placeless(sky).map((s) => s.id), ["S23"]);
  assert.match(skySummary(sky), /^3 satellites of 3 systems received\. 3 above .*: E01, G05 and G07\.$/);
  assert.match(commonDirection(missing(sky)) ?? "", /^3 of the 3 stand in the north-east/);
  assert.equal(commonDirection(missing(sky).slice(0, 2)), null);
  assert.match(levelSummary(sky), /below 30°: 36\.0 dB-Hz; above 60°: 48\.0 dB-Hz/);
});

test("rising and setting", () => {
  const track = (elevation_deg: (number | null)[]) => ({ id: "G01", unix_s: [], azimuth_deg: [], elevation_deg });
  assert.equal(trend(track([10, 12, null])), "rising");
  assert.equal(trend(track([12, 10])), "setting");
  assert.equal(trend(track([12])), null);
  assert.equal(trend(undefined), null);
});

test("degrees, minutes and seconds carry over", () => {
  assert.equal(sexagesimal(47.3, "NS"), "47° 18′ 00.00000″ N");
  assert.equal(sexagesimal(-8.99999999999, "EW"), "9° 00′ 00.00000″ W");
});

test("numbers as people paste them", () => {
  assert.deepEqual(readNumbers("1.5 2 -3e2"), [1.5, 2, -300]);
  assert.deepEqual(readNumbers("1.5, 2, 3"), [1.5, 2, 3]);
  assert.deepEqual(readNumbers("4277342.4187;669836.9036;4664921.5292"), [4277342.4187, 669836.9036, 4664921.5292]);
  assert.deepEqual(readNumbers("4277342.4187,669836.9036,4664921.5292"), [4277342.4187, 669836.9036, 4664921.5292]);
  assert.equal(readNumbers("4 277 342,4"), null);
  assert.equal(readNumbers("x"), null);
  assert.equal(readNumbers(""), null);
});

// kind: published   source: WGS 84 (NGA.STND.0036), semi-axes 6378137 m and
// 6356752.3142 m.
test("places near the Earth's surface", () => {
  assert.equal(nearEarth([6378137, 0, 0]), true);
  assert.equal(nearEarth([0, 0, 6356752.3142]), true);
  assert.equal(nearEarth([47.3, 8.9, 512]), false);
  assert.equal(nearEarth([4277342]), false);
});

const candidate = (more: Partial<Candidate>): Candidate => ({
  id: 1, method: "ppp-float", products: "final", origin: "station", source: null, added: "2026-06-02T08:00:00Z",
  by: null, first: null, end: null, hours: 24, frame: "IGb14", epoch: "2026-06-01T12:00:00Z",
  ecef_m: [1, 2, 3], geodetic_deg_m: [1, 2, 3], sigma_enu_mm: [5, 5, 11], difference_enu_mm: [1, 2, 3],
  agrees: true, why: "", adopted: false, adoptable: true, ...more,
});
const document_ = (adopted: boolean): Coordinate =>
  ({ adopted: adopted ? { record: 7 } : null, candidates: [] }) as unknown as Coordinate;

test("what speaks against an adoption", () => {
  assert.deepEqual(adoptionCautions(candidate({}), document_(true)), []);
  assert.equal(adoptionCautions(candidate({ method: "code" }), document_(false)).length, 1);
  assert.match(adoptionCautions(candidate({ agrees: false, why: "14 sigma." }), document_(true)).join(), /14 sigma\./);
  assert.match(adoptionCautions(candidate({ sigma_enu_mm: [9, 9, 80] }), document_(true)).join(), /80.0 mm|80 mm/);
});

test("the adopted one is drawn in the middle, one without a difference not at all", () => {
  const drawn = spreads([
    candidate({ id: 1, adopted: true, difference_enu_mm: null }),
    candidate({ id: 2, difference_enu_mm: null }),
    candidate({ id: 3 }),
  ]);
  assert.deepEqual(drawn.map((s) => [s.id, s.e, s.n, s.u]), [[1, 0, 0, 0], [3, 1, 2, 3]]);
});

test("growth by hours, each number of hours once", () => {
  const rows = growthRows({
    unix_s: [10, 20, 30, 40], hours: [2, 1, 2, null], sigma_e_mm: [9, 20, 8, 1], sigma_n_mm: [9, 20, 8, 1],
    sigma_u_mm: [19, 40, 0, 1], method: ["ppp-float", "code", "ppp-fixed", "tie"], record: [1, 2, 3, 4],
  });
  assert.deepEqual(rows.hours, [1, 2]);
  assert.deepEqual(rows.e, [20, 8]);
  assert.deepEqual(rows.u, [40, null], "a logarithm has no place for 0");
  assert.deepEqual(rows.method, ["code", "ppp-fixed"]);
  assert.match(growthSummary(rows), /After 2\.0 h: east 8\.0 mm, north 8\.0 mm, up not known/);
});

test("gaps that overlap are counted once", () => {
  const gap = (from: string, to: string) => ({ from: `2026-06-02T${from}Z`, to: `2026-06-02T${to}Z`, cause: "" });
  assert.equal(gapTotal([gap("10:00:00", "11:00:00"), gap("10:30:00", "11:30:00"), gap("12:00:00", "12:00:10")]), 5410);
});

test("ranges ask for whole days and end with now", () => {
  const now = Date.UTC(2026, 5, 2, 8) / 1000;
  assert.equal(recordPath({ days: 7, end_s: null }, now), "record");
  assert.equal(recordPath({ days: 28, end_s: null }, now), "record?from=2026-05-06T00:00:00Z&to=2026-06-03T00:00:00Z");
  const before = moveRange({ days: 7, end_s: null }, -1, now);
  assert.equal(recordPath(before, now), "record?from=2026-05-20T00:00:00Z&to=2026-05-27T00:00:00Z");
  assert.equal(moveRange(before, 1, now).end_s, null);
});
