import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

interface Lock {
  packages: Record<string, { version?: string; dev?: boolean; optional?: boolean }>;
}
const plain = (text: string): string => text.replace(/\s+/g, " ").trim();

// npm runs tests in console/.
test("whatever ships in the page ships with its licence and its version", () => {
  const shipped = plain(readFileSync("public/licences.txt", "utf8"));
  const { packages } = JSON.parse(readFileSync("package-lock.json", "utf8")) as Lock;
  const inside = Object.entries(packages).filter(([path, one]) => path !== "" && one.dev !== true && one.optional !== true);
  assert.ok(inside.length >= 4);
  for (const [path, one] of inside) {
    const name = path.replace("node_modules/", "");
    assert.ok(shipped.includes(`${name} ${one.version} `), `${name} ${one.version} is not in public/licences.txt`);
    assert.ok(shipped.includes(plain(readFileSync(`${path}/LICENSE`, "utf8"))), `the licence of ${name}`);
  }
});
