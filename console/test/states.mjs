// The page in a real browser against the mock station: every room in every state,
// then what people do. Needs dist/ (npm run build) and Chromium.
//
//   npm run states                all of it
//   ROOMS=stream,now npm run states
//   STATES=ready,error FLOWS=0 LOOKS=1 npm run states      a part: no flows, one look each
import assert from "node:assert/strict";
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { mocked } from "./mocked.mjs";
import { axe, watch } from "./page.mjs";

const kAll = ["now", "sky", "coordinate", "stream", "record", "logbook", "people", "cautions"];
const kRooms = process.env.ROOMS?.split(",") ?? kAll;
const kStates = process.env.STATES?.split(",");
const kLooks = [{ width: 320, theme: "light" }, { width: 1280, theme: "dark" }].slice(0, Number(process.env.LOOKS ?? 2));
const kFlows = process.env.FLOWS !== "0";
const kPassword = "larch hollow seeds";
let url;
let browser;
let end;

// A copy of what was built, so that a build meanwhile takes nothing away.
const kDist = mkdtempSync(join(tmpdir(), "console-dist-"));

before(async () => {
  cpSync(new URL("../dist", import.meta.url).pathname, kDist, { recursive: true });
  ({ url, browser, end } = await mocked({ DIST: kDist }));
});
after(async () => {
  await end?.();
  rmSync(kDist, { recursive: true, force: true });
});

const kCalm =
  "state=ready&trust=trusted&signed=owner&claimed=true&claim_open=false&simulated=true&tls=false&warn=true&job=some&disk=some&bundle=a1b2c3d4&period_ms=1000&down=false";

async function scene(query) {
  await fetch(`${url}/__mock?${query}`);
}

// A page that fails the test when it asks anybody else, breaks its policy or throws.
async function open(query, room, { width = 390, theme = "light" } = {}) {
  await scene(`${kCalm}&${query}`);
  const context = await browser.newContext({ viewport: { width, height: 800 }, colorScheme: theme, reducedMotion: "reduce" });
  const page = await context.newPage();
  const wrongs = watch(page, url);
  await page.goto(`${url}/#/${room}`);
  return { page, wrongs, close: () => context.close() };
}

const kinds = (page) => page.$$eval(".panel[data-state]", (all) => all.map((one) => one.dataset.state));

async function settled(page, want, what) {
  const end = Date.now() + 15000;
  for (;;) {
    const have = await kinds(page);
    if (have.length > 0 && have.every((one) => want.includes(one))) return have;
    if (Date.now() > end) assert.fail(`${what}: panels are ${have.join(", ") || "none"}, wanted ${want.join(" or ")}`);
    await page.waitForTimeout(100);
  }
}

const kWanted = {
  ready: ["ready", "nodata", "first"],
  first: ["first", "nodata", "ready"],
  loading: ["loading"],
  nodata: ["nodata", "first", "ready"],
  error: ["error"],
  stale: ["stale"],
};

for (const room of kRooms) {
  for (const state of kStates ?? Object.keys(kWanted)) {
    if (room === "cautions" && state !== "ready") continue;
    test(`${room}, ${state}: the state is told, axe finds nothing, nothing runs off the side`, async () => {
      for (const look of kLooks) {
        const { page, wrongs, close } = await open(`state=${state}`, room, look);
        await page.waitForSelector(".panel");
        if (room !== "cautions") await settled(page, kWanted[state], `${room} ${state}`);
        await page.waitForTimeout(500);
        if (state === "error") assert.ok((await page.getByRole("button", { name: "Try again" }).count()) > 0);
        if (state === "stale") {
          assert.ok((await page.getByText(/As it was .* ago/).count()) > 0);
          assert.ok(await page.getByText(/No news since/).isVisible());
        }
        if (state === "loading") assert.ok((await page.getByText("Asking the station…").count()) > 0);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        assert.ok(wide <= look.width, `scrolls sideways: ${wide} at ${look.width}`);
        assert.ok(await page.locator(".simulated").isVisible());
        assert.deepEqual(await axe(page), []);
        assert.deepEqual(wrongs, []);
        await close();
      }
    });
  }
}

// What people do.
const flow = kFlows ? test : test.skip;

flow("title, icon and shape follow the four states", async () => {
  const icons = new Set();
  for (const [trust, word] of [["building", "Building"], ["trusted", "Trusted"], ["doubtful", "Doubtful"], ["withheld", "Withheld"]]) {
    const { page, close } = await open(`trust=${trust}`, "now");
    await page.waitForSelector(`[data-glyph="${trust}"]`);
    assert.match(await page.title(), new RegExp(`^${word} – LHOL00XXX`));
    icons.add(await page.getAttribute('link[rel="icon"]', "href"));
    assert.deepEqual(await axe(page), []);
    await close();
  }
  assert.equal(icons.size, 4);
});

flow("a frozen feed is said within four seconds of the last word, and taken back", async () => {
  const { page, close } = await open("", "now");
  await page.waitForSelector('[data-state="ready"]');
  await scene("state=stale");
  const at = Date.now();
  await page.waitForSelector(".notice", { timeout: 8000 });
  assert.ok(Date.now() - at < 4500, `took ${Date.now() - at} ms`);
  assert.ok((await page.locator(".panel-body.old").count()) > 0);
  await scene("state=ready");
  await page.waitForSelector(".notice", { state: "detached", timeout: 5000 });
  await close();
});

flow("a station that hangs up is tried again until it is back, and the room asks anew", async () => {
  const { page, close } = await open("", "stream");
  await page.waitForSelector('[data-state="ready"]');
  await scene("down=true");
  await page.getByText("keeps trying to reach it").waitFor({ timeout: 10000 });
  assert.ok((await kinds(page)).every((one) => one === "stale"));
  await scene("down=false&trust=doubtful");
  await page.waitForSelector(".notice", { state: "detached", timeout: 20000 });
  await page.getByText("Rovers are told in message 1029").waitFor({ timeout: 5000 });
  await close();
});

flow("a token that another tab has made old is looked up anew", async () => {
  const { page, close } = await open("", "stream");
  await page.waitForSelector('[data-state="ready"]');
  await page.evaluate(() => {
    const given = window.fetch;
    window.spoilt = 0;
    window.fetch = (address, options) => {
      const headers = options?.headers;
      if (headers?.["X-Stillpoint-Token"] !== undefined && window.spoilt === 0) {
        window.spoilt += 1;
        headers["X-Stillpoint-Token"] = "old";
      }
      return given(address, options);
    };
  });
  await page.getByRole("button", { name: "Change tractor-2" }).click();
  await page.getByRole("button", { name: "Shut it out" }).click();
  await page.getByText("The session's token is missing").waitFor();
  await page.getByRole("button", { name: "Shut it out" }).click();
  await page.getByRole("button", { name: "Let it in again" }).click();
  await close();
});

flow("another bundle offers a reload, the same does not", async () => {
  const { page, close } = await open("", "stream");
  await page.waitForSelector('[data-state="ready"]');
  await page.waitForTimeout(1500);
  assert.equal(await page.getByText("a newer program").count(), 0);
  await scene("bundle=e5f6a7b8");
  await page.getByText("a newer program").waitFor({ timeout: 5000 });
  await page.getByRole("button", { name: "Load it again" }).click();
  await page.waitForSelector('[data-state="ready"]');
  await page.waitForTimeout(1500);
  assert.equal(await page.getByText("a newer program").count(), 0);
  assert.match(page.url(), /#\/stream$/);
  await close();
});

flow("claim: mistakes take the focus and name their fields; then one is inside", async () => {
  const { page, wrongs, close } = await open("claimed=false&claim_open=true&signed=none&tls=true", "now");
  await page.getByRole("heading", { name: "This station has no owner yet" }).waitFor();
  assert.ok(await page.getByText("5A:0F:91").isVisible());
  assert.deepEqual(await axe(page), []);
  await page.getByRole("button", { name: "Claim this station" }).click();
  const summary = page.locator(".form-problem");
  await summary.waitFor();
  assert.ok(await summary.evaluate((one) => one === document.activeElement));
  assert.equal(await summary.locator("a").count(), 3);
  assert.deepEqual(await axe(page), []);
  await summary.locator("a").first().click();
  assert.equal(await page.evaluate(() => document.activeElement.name), "code");
  await page.getByLabel("Code", { exact: true }).fill("not it");
  await page.getByLabel("Your name here").fill("mara");
  await page.getByLabel("A password", { exact: true }).fill(kPassword);
  await page.getByLabel("The password again", { exact: true }).fill(kPassword);
  await page.getByRole("button", { name: "Claim this station" }).click();
  await page.getByText("This code is not right").first().waitFor();
  await page.getByLabel("Code", { exact: true }).fill("code");
  await page.getByRole("button", { name: "Claim this station" }).click();
  await page.waitForSelector(".road");
  assert.deepEqual(wrongs, []);
  await close();
});

flow("sign-in keeps the room, before and after a session ends", async () => {
  const { page, close } = await open("signed=none", "stream");
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  assert.deepEqual(await axe(page), []);
  const enter = async (password) => {
    await page.getByLabel("Name", { exact: true }).fill("mara");
    await page.getByLabel("Password", { exact: true }).fill(password);
    await page.getByRole("button", { name: "Sign in", exact: true }).click();
  };
  await enter("wrong");
  await page.getByText("Name or password is not right").waitFor();
  await enter("slow");
  await page.getByText("Wait 8 s").waitFor();
  await enter(kPassword);
  await page.getByRole("heading", { name: "What is broadcast" }).waitFor();
  await page.context().clearCookies();
  await fetch(`${url}/api/v1/door`);
  await page.reload();
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  await enter(kPassword);
  await page.getByRole("heading", { name: "What is broadcast" }).waitFor();
  await close();
});

flow("an owner who lost the password comes in with a code", async () => {
  const { page, close } = await open("signed=none&claim_open=true", "stream");
  await page.getByRole("heading", { name: "Come in with a code" }).waitFor();
  assert.deepEqual(await axe(page), []);
  await page.getByLabel("Code", { exact: true }).fill("code");
  await page.getByLabel("Your name here").fill("mara");
  await page.getByLabel("A password", { exact: true }).fill(kPassword);
  await page.getByLabel("The password again", { exact: true }).fill(kPassword);
  await page.getByRole("button", { name: "Come in", exact: true }).click();
  await page.getByRole("heading", { name: "What is broadcast" }).waitFor();
  await close();
});

flow("bye ends the page's session, says so, and the room is kept", async () => {
  const { page, close } = await open("", "logbook");
  await page.waitForSelector(".log");
  await scene("signed=none");
  await page.getByText("The session has ended").waitFor({ timeout: 5000 });
  assert.match(page.url(), /#\/logbook$/);
  await close();
});

flow("a rover is let in: its token is shown, and the focus comes back", async () => {
  const { page, wrongs, close } = await open("", "stream");
  const opener = page.getByRole("button", { name: "Let a rover in" });
  await opener.click();
  await page.getByRole("button", { name: "Make its token" }).click();
  assert.ok(await page.locator(".form-problem").evaluate((one) => one === document.activeElement));
  await page.getByLabel("Name", { exact: true }).fill("ditch-1");
  await page.getByRole("button", { name: "Make its token" }).click();
  await page.getByText("is taken").first().waitFor();
  await page.getByLabel("Name", { exact: true }).fill("baler-3");
  await page.getByRole("button", { name: "Make its token" }).click();
  await page.getByText("It is shown this once.").waitFor();
  assert.deepEqual(await axe(page), []);
  await page.getByRole("button", { name: "Copy the token" }).click();
  await page.getByRole("button", { name: "Copied" }).waitFor();
  await page.getByRole("button", { name: "I have kept it" }).click();
  await page.getByRole("button", { name: "Change baler-3" }).click();
  await page.getByRole("button", { name: "Shut it out" }).click();
  await page.getByRole("button", { name: "Let it in again" }).waitFor();
  await page.getByRole("button", { name: "New token…" }).click();
  await page.getByRole("button", { name: "Make a new token" }).click();
  await page.getByText("It is shown this once.").waitFor();
  await page.keyboard.press("Escape");
  const change = page.getByRole("button", { name: "Change baler-3" });
  await change.click();
  await page.keyboard.press("Escape");
  assert.ok(await change.evaluate((one) => one === document.activeElement));
  await change.click();
  await page.getByRole("button", { name: "Remove…" }).click();
  await page.getByRole("button", { name: "Remove it" }).click();
  await change.waitFor({ state: "detached" });
  assert.deepEqual(wrongs, []);
  await close();
});

flow("a guest and a helper see no button that is not theirs", async () => {
  for (const signed of ["guest", "helper"]) {
    const { page, close } = await open(`signed=${signed}`, "stream");
    await page.waitForSelector('[data-state="ready"]');
    assert.equal(await page.getByRole("button", { name: "Let a rover in" }).count(), 0);
    assert.equal(await page.getByRole("heading", { name: "Who may connect" }).count(), signed === "guest" ? 0 : 1);
    await page.goto(`${url}/#/now`);
    await page.getByText("is at work").waitFor();
    assert.equal(await page.getByRole("button", { name: "Cancel this job" }).count(), signed === "guest" ? 0 : 1);
    await page.goto(`${url}/#/people`);
    await page.getByText("The list of people is for owners").waitFor();
    await close();
  }
});

flow("people: the last owner cannot be removed, a helper can", async () => {
  const { page, close } = await open("", "people");
  await page.getByRole("button", { name: "Change mara" }).click();
  await page.getByRole("button", { name: "Remove…" }).click();
  await page.getByRole("button", { name: "Remove them" }).click();
  await page.getByText("mara is the last owner").waitFor();
  await page.keyboard.press("Escape");
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "Change jon" }).click();
  assert.deepEqual(await axe(page), []);
  await page.getByRole("button", { name: "Remove…" }).click();
  await page.getByRole("button", { name: "Remove them" }).click();
  await page.getByRole("button", { name: "Change jon" }).waitFor({ state: "detached" });
  await close();
});

flow("the logbook goes by kinds and pages, with the address", async () => {
  const { page, close } = await open("", "logbook");
  await page.waitForSelector(".log");
  const first = await page.locator(".log li").first().innerText();
  await page.getByRole("button", { name: "Older" }).click();
  await page.getByRole("heading", { name: "Older entries" }).waitFor();
  await page.waitForFunction((words) => document.querySelector(".log li")?.innerText !== words, first);
  await page.getByRole("button", { name: "Newer" }).click();
  await page.getByRole("heading", { name: "The newest entries" }).waitFor();
  await page.getByText("All kinds are shown").click();
  await page.getByLabel("Adopted").check();
  await page.waitForFunction(() => [...document.querySelectorAll(".log-kind")].every((one) => one.innerText === "Adopted"));
  assert.match(page.url(), /kind=adopted/);
  await close();
});

flow("by keyboard alone: skip link, rooms, focus lands in the room", async () => {
  const { page, close } = await open("", "now", { width: 1280 });
  await page.waitForSelector(".road");
  await page.keyboard.press("Tab");
  assert.equal(await page.evaluate(() => document.activeElement.className), "skip");
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement.id), "room");
  await page.getByRole("link", { name: "Stream", exact: true }).focus();
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: "Stream", level: 1 }).waitFor();
  assert.equal(await page.evaluate(() => document.activeElement.id), "room");
  await close();
});

flow("the looks are kept on the device", async () => {
  const { page, close } = await open("", "now");
  await page.getByLabel("Looks").selectOption("dark");
  await page.reload();
  await page.waitForSelector(".road");
  assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), "dark");
  await close();
});

// What a plot says of where one is: the option that is pointed at, or the value.
const pointed = (plot) =>
  plot.evaluate((one) => {
    const at = one.getAttribute("aria-activedescendant");
    return at === null ? one.getAttribute("aria-valuetext") : document.getElementById(at)?.getAttribute("aria-label");
  });

flow("plots by keyboard: every key says something else, Escape leaves", async () => {
  for (const [room, plots] of [["sky", 2], ["coordinate", 2], ["record", 2]]) {
    const { page, wrongs, close } = await open("", room, { width: 1280 });
    await settled(page, kWanted.ready, room);
    const all = page.locator('main :is([role="listbox"], [role="slider"], [role="grid"])[tabindex="0"]');
    await page.waitForFunction((count) => document.querySelectorAll('main :is([role="listbox"], [role="slider"], [role="grid"])[tabindex="0"]').length >= count, plots);
    for (let at = 0; at < (await all.count()); at += 1) {
      const plot = all.nth(at);
      await plot.focus();
      const heard = new Set();
      for (const key of ["Home", "ArrowRight", "ArrowRight", "End"]) {
        await page.keyboard.press(key);
        heard.add(await pointed(plot));
      }
      assert.ok(heard.size >= 3 && !heard.has(null) && !heard.has(undefined), `${room}, plot ${at}: ${[...heard].join(" | ")}`);
      await page.keyboard.press("Home");
      const first = await pointed(plot);
      await page.keyboard.press("Escape");
      assert.notEqual(await pointed(plot), first, `${room}, plot ${at}: Escape leaves`);
      assert.ok(await plot.evaluate((one) => one === document.activeElement), "the focus stays");
    }
    assert.deepEqual(wrongs, []);
    await close();
  }
});

// As the least of 2.4.11 asks: of what has the focus some part is in sight.
flow("Tab goes as one reads, and nothing hides what has the focus", async () => {
  for (const room of kAll) {
    const { page, close } = await open("", room);
    await page.waitForSelector("main .panel");
    if (room !== "cautions") await settled(page, kWanted.ready, room);
    assert.equal(await page.locator("[tabindex]:not([tabindex='0']):not([tabindex='-1'])").count(), 0);
    const names = [];
    for (;;) {
      await page.keyboard.press("Tab");
      const on = await page.evaluate(() => {
        const one = document.activeElement;
        if (one === null || one === document.body) return null;
        const box = one.getBoundingClientRect();
        const x = Math.min(innerWidth - 1, Math.max(0, box.x + Math.min(box.width, innerWidth) / 2));
        const seen = [0.1, 0.3, 0.5, 0.7, 0.9].some((part) => {
          const top = document.elementFromPoint(x, box.y + part * box.height);
          return top !== null && (one.contains(top) || top.closest("label")?.contains(one) === true);
        });
        return { name: `${one.tagName} ${one.className?.baseVal ?? one.className} ${one.innerText ?? ""}`.slice(0, 60), seen, y: box.y, high: innerHeight };
      });
      if (on === null || names.length > 200) break;
      assert.ok(on.seen, `${room}: ${on.name} at ${on.y} of ${on.high} is covered or out of sight`);
      names.push(on.name);
    }
    assert.ok(names.length >= 8 && names.length <= 200, `${room}: ${names.length} stops`);
    await close();
  }
});
