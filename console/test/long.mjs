// What an open tab costs in the long run: against the mock station, in a real
// browser. Prints numbers; fails where the heap has grown by 10 % or more after
// EVENTS events (each stands for a second; 86400 are a day).
//
//   EVENTS=86400 ROOM=sky npm run long
import { median, mocked } from "./mocked.mjs";

const kEvents = Number(process.env.EVENTS ?? 20000);
const kRoom = process.env.ROOM ?? "now";
const kPeriod_ms = Number(process.env.PERIOD_MS ?? 10);
const { url, browser, end } = await mocked({ MOCK: "" });

await fetch(`${url}/__mock?period_ms=${kPeriod_ms}`);
const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
await page.addInitScript(() => {
  window.heard = 0;
  const Given = window.EventSource;
  window.EventSource = class extends Given {
    constructor(address) {
      super(address);
      this.addEventListener("now", () => (window.heard += 1));
    }
  };
});
await page.goto(`${url}/#/${kRoom}`);
const devtools = await page.context().newCDPSession(page);
async function heap() {
  for (let at = 0; at < 3; at += 1) await devtools.send("HeapProfiler.collectGarbage");
  return (await devtools.send("Runtime.getHeapUsage")).usedSize;
}
const heard = () => page.evaluate(() => window.heard);
async function until(count) {
  while ((await heard()) < count) await page.waitForTimeout(200);
}
const nodes = () => page.evaluate(() => document.querySelectorAll("*").length);
// The collector leaves a different remainder each time: medians of five samples at
// either end are compared, after a warm-up.
const samples = [];
for (let at = 1; at <= 20; at += 1) {
  await until((kEvents * at) / 20);
  samples.push(await heap());
}
const before = median(samples.slice(2, 7));
const after = median(samples.slice(-5));
const growth = after / before - 1;
console.log(`${kRoom}, ${await heard()} events: heap ${(before / 1e6).toFixed(2)} -> ${(after / 1e6).toFixed(2)} MB (${(100 * growth).toFixed(1)} %), ${await nodes()} elements`);
if (process.env.TRACE !== undefined) console.log(samples.map((one) => (one / 1e6).toFixed(2)).join(" "));
await end();
process.exit(growth < 0.1 ? 0 : 1);
