// What goes over the line, packed: the whole bundle, and the scripts of the first
// page. Fails beyond the budgets (200 kB and 90 kB, gzip, 1 kB = 1000 B).
import { readFileSync } from "node:fs";
import { basename, join } from "node:path";
import { gzipSync } from "node:zlib";
import { globSync } from "./glob.mjs";

const dist = new URL("../dist", import.meta.url).pathname;
const page = readFileSync(join(dist, "index.html"), "utf8");
// What the page names, and what those scripts import before they run.
const wanted = new Set();
const follow = (names) => {
  for (const [, name] of names) {
    if (wanted.has(name)) continue;
    wanted.add(name);
    const script = readFileSync(join(dist, "assets", name), "utf8");
    follow(script.matchAll(/(?:\bfrom|\bimport)\s*["'`]\.\/([^"'`]+\.js)["'`]/g));
  }
};
follow(page.matchAll(/["']\/assets\/([^"']+\.js)["']/g));
if (wanted.size === 0) {
  console.log("index.html names no script");
  process.exit(1);
}
let all = 0;
let first = 0;
for (const file of globSync(dist, /./)) {
  const bytes = gzipSync(readFileSync(file), { level: 9 }).length;
  all += bytes;
  const name = basename(file);
  const now = wanted.has(name);
  if (now) first += bytes;
  console.log(`${(bytes / 1000).toFixed(1).padStart(7)} kB  ${name}${now ? "  (first page)" : ""}`);
}
console.log(`${(all / 1000).toFixed(1).padStart(7)} kB  in all, 200 at most`);
console.log(`${(first / 1000).toFixed(1).padStart(7)} kB  scripts of the first page, 90 at most`);
if (/<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=/.test(page)) {
  console.log("index.html has inline script or style");
  process.exit(1);
}
process.exit(all > 200000 || first > 90000 ? 1 : 0);
