// How the page comes up and answers on a slow device: each room against the mock
// station, in a real browser whose processor is slowed fourfold, and what moves
// while it comes. Middle of three; fails beyond the budgets. A busy computer makes
// it slower: run it on a quiet one.
//
//   ROOMS=now,sky npm run quick
import { median, mocked } from "./mocked.mjs";

const kAll = ["now", "sky", "coordinate", "stream", "record", "logbook", "people", "cautions"];
const kRooms = process.env.ROOMS?.split(",") ?? kAll;
const kSlower = 4;
const kSettled_ms = 4000;
const kBudgets = { lcp_ms: 2500, cls: 0.1, inp_ms: 200 };
const kWindows = [{ width: 390, height: 844 }, { width: 1280, height: 800 }];
const { url, browser, end } = await mocked({ MOCK: "" });

// What the browser itself counts, from before the first script on.
function count() {
  window.seen = { cls: 0, lcp_ms: 0, inp_ms: 0 };
  const each = (type, take, more = {}) =>
    new PerformanceObserver((list) => list.getEntries().forEach(take)).observe({ type, buffered: true, ...more });
  each("layout-shift", (one) => {
    if (!one.hadRecentInput) window.seen.cls += one.value;
  });
  each("largest-contentful-paint", (one) => (window.seen.lcp_ms = one.startTime));
  each("event", (one) => {
    if (one.interactionId > 0) window.seen.inp_ms = Math.max(window.seen.inp_ms, one.duration);
  }, { durationThreshold: 16 });
}

async function slowPage(viewport) {
  const context = await browser.newContext({ viewport });
  const page = await context.newPage();
  const devtools = await context.newCDPSession(page);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: kSlower });
  await page.addInitScript(count);
  return page;
}

async function comesUp(room, viewport) {
  const page = await slowPage(viewport);
  await page.goto(`${url}/#/${room}`);
  await page.waitForTimeout(kSettled_ms);
  const seen = await page.evaluate(() => ({
    ...window.seen,
    first_ms: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? Infinity,
  }));
  await page.context().close();
  return seen;
}

// What a person presses: every way to a room, every fold and the theme in it.
async function answers(viewport) {
  const page = await slowPage(viewport);
  await page.goto(`${url}/#/now`);
  await page.waitForTimeout(kSettled_ms);
  for (const room of kRooms) {
    await page.evaluate((to) => (location.hash = `#/${to}`), room);
    await page.waitForTimeout(1500);
    const folds = page.locator("main summary:visible, main .sky-pick:visible");
    for (let at = 0; at < Math.min(4, await folds.count()); at += 1) {
      await folds.nth(at).click();
      await page.waitForTimeout(300);
    }
    const way = page.locator(`.ways a[href="#/${room === "now" ? "sky" : "now"}"]:visible`);
    if ((await way.count()) > 0) {
      await way.click();
      await page.waitForTimeout(800);
    }
  }
  await page.waitForTimeout(500);
  const { inp_ms } = await page.evaluate(() => window.seen);
  await page.context().close();
  return inp_ms;
}

let beyond = false;
for (const viewport of kWindows) {
  for (const room of kRooms) {
    const all = [];
    for (let at = 0; at < 3; at += 1) all.push(await comesUp(room, viewport));
    const middle = (key) => median(all.map((one) => one[key]));
    const bad = middle("lcp_ms") > kBudgets.lcp_ms || middle("cls") > kBudgets.cls;
    beyond ||= bad;
    console.log(
      `${viewport.width} ${room.padEnd(10)} first paint ${middle("first_ms").toFixed(0)} ms, largest ${middle("lcp_ms").toFixed(0)} ms, moved ${middle("cls").toFixed(3)}${bad ? "  BEYOND" : ""}`,
    );
  }
  const pressed = [];
  for (let at = 0; at < 3; at += 1) pressed.push(await answers(viewport));
  const bad = median(pressed) > kBudgets.inp_ms;
  beyond ||= bad;
  console.log(`${viewport.width} slowest answer to a press: ${median(pressed)} ms${bad ? "  BEYOND" : ""}`);
}
await end();
process.exit(beyond ? 1 : 0);
