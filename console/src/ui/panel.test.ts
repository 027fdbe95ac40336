import assert from "node:assert/strict";
import { test } from "node:test";
import { localProblem, problemOf } from "../api.ts";
import { mistakesOf } from "./form.tsx";
import { panelKind } from "./panel.tsx";

const problem = localProblem("no_answer", "no answer", "try");
const absent = { will: "w", why: "y" };
const yes = (): typeof absent => absent;
const no = (): null => null;

test("a panel is in exactly one state, and an old value never looks live", () => {
  assert.equal(panelKind(null, null, false, no, no), "loading");
  assert.equal(panelKind(null, problem, false, no, no), "error");
  assert.equal(panelKind({}, null, false, yes, yes), "first");
  assert.equal(panelKind({}, null, false, no, yes), "nodata");
  assert.equal(panelKind({}, null, false, no, no), "ready");
  assert.equal(panelKind({}, problem, false, no, no), "stale");
  assert.equal(panelKind({}, null, true, no, no), "stale");
  assert.equal(panelKind({}, null, true, yes, no), "stale");
});

test("a refusal becomes a mistake at its field, with the remedy and the wait", () => {
  const refused = problemOf(422, { code: "refused", detail: "Too short.", remedy: "Longer.", field: "password" });
  assert.deepEqual(mistakesOf(refused, ["password"]), [{ field: "password", words: "Too short. Longer." }]);
  assert.deepEqual(mistakesOf(refused, ["name"]), [{ field: null, words: "Too short. Longer." }]);
  const slowed = problemOf(429, { code: "too_soon", detail: "Slowly.", retry_after_s: 7.2 });
  assert.deepEqual(mistakesOf(slowed, []), [{ field: null, words: "Slowly. Wait 8 s before the next try." }]);
});

test("a problem is made of whatever came, or of nothing", () => {
  assert.deepEqual(problemOf(500, null).code, "http_500");
  assert.deepEqual(problemOf(500, "oops").detail, "The station answered with status 500.");
  const odd = problemOf(403, { code: 7, detail: ["x"], field: 1, retry_after_s: "soon" });
  assert.equal(odd.code, "http_403");
  assert.equal(odd.field, null);
  assert.equal(odd.retry_after_s, null);
});
