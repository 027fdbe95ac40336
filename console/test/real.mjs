// The page on the real program: `stillpoint demo` is started, claimed, walked
// through and ended. Nothing here is a mock; what is asked of anybody else, thrown
// or written to the browser's console fails it. Needs Chromium and a program whose
// embedded page is the one to be tried.
//
//   node test/real.mjs PROGRAM             STILLPOINT_PROGRAM does as well
//   SHOTS=DIR node test/real.mjs PROGRAM   each room, 390 and 1280 px, light and dark
//   DIST=dist node test/real.mjs PROGRAM   that page instead of the embedded one
//   HOURS=30 SPEED=3600                    how long the demo's first part is
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { gunzipSync } from "node:zlib";
import { chromium } from "playwright-core";
import { axe, serveFrom, watch } from "./page.mjs";

const kProgram = process.argv[2] ?? process.env.STILLPOINT_PROGRAM;
const kShots = process.env.SHOTS;
const kDist = process.env.DIST;
const kHours = process.env.HOURS ?? "30";
const kSpeed = process.env.SPEED ?? "3600";
const kSoon_ms = 30000; // what a person would wait for, on a slow and busy board
const kLong_ms = 240000; // what the demo itself takes to tell its first day
const kPassword = "larch hollow seeds";
const kRooms = ["now", "sky", "coordinate", "stream", "record", "logbook", "people", "cautions"];

if (kProgram === undefined || !existsSync(kProgram)) {
  console.error("real.mjs: give the program: node test/real.mjs build/…/stillpoint");
  process.exit(2);
}

const folder = mkdtempSync(join(tmpdir(), "console-real-"));
const home = join(folder, "demo");
const demo = spawn(
  resolve(kProgram),
  ["demo", "--stay", "--json", "--hours", kHours, "--speed", kSpeed, "--dir", home, "--port", "0"],
  { stdio: ["ignore", "pipe", "pipe"] },
);
let told = "";
let answered = "";
demo.stderr.on("data", (bytes) => (told += bytes));
demo.stdout.on("data", (bytes) => (answered += bytes));
for (const signal of ["SIGTERM", "SIGINT"]) {
  process.on(signal, () => {
    demo.kill("SIGINT");
    process.exit(1);
  });
}
const ended = new Promise((done) => demo.on("exit", done));
let browser;

// Waits for what is not in a page.
async function until(what, ask, longest_ms = kSoon_ms) {
  const end = Date.now() + longest_ms;
  for (;;) {
    const got = await ask();
    if (got) return got;
    assert.ok(demo.exitCode === null, `the demo has ended with ${demo.exitCode}: ${told}`);
    assert.ok(Date.now() < end, `waited ${longest_ms / 1000} s in vain: ${what}\n${told}`);
    await new Promise((done) => setTimeout(done, 100));
  }
}

const steps = [];
async function step(words, act) {
  const began = Date.now();
  await act();
  steps.push(words);
  console.log(`ok ${steps.length} - ${words} (${((Date.now() - began) / 1000).toFixed(1)} s)`);
}

async function reader({ width = 1280, theme = "light" } = {}) {
  const context = await browser.newContext({
    viewport: { width, height: width < 600 ? 844 : 900 }, colorScheme: theme, reducedMotion: "reduce",
    acceptDownloads: true,
  });
  context.setDefaultTimeout(kSoon_ms);
  const page = await context.newPage();
  if (kDist !== undefined) await serveFrom(page, url, kDist);
  return { page, context, wrongs: watch(page, url) };
}

let url;

// What the station says to this reader, past the page.
const ask = (page, path) =>
  page.evaluate(async (at) => (await fetch(`/api/v1/${at}`)).json(), path);

const alert = (page) => page.locator(".form-problem").first();
const button = (page, name) => page.getByRole("button", { name, exact: true });

async function go(page, room) {
  await page.goto(`${url}/#/${room}`);
  await page.waitForFunction(
    (name) => {
      const panels = [...document.querySelectorAll("main .panel[data-state]")];
      const bare = name === "cautions" || name === "people" || name === "now";
      if (document.querySelector(`main.room-${name}`) === null) return false;
      if (document.querySelector("main .panel") === null) return false;
      return (bare || panels.length > 0) && panels.every((one) => ["ready", "nodata", "first"].includes(one.dataset.state));
    },
    room,
  );
}

async function signIn(page, name, password) {
  await page.getByRole("heading", { name: "Sign in" }).waitFor();
  await page.getByLabel("Name", { exact: true }).fill(name);
  await page.getByLabel("Password", { exact: true }).fill(password);
  await button(page, "Sign in").click();
}

async function play() {
  const code = await until("the claim code is written", () => {
    const file = join(home, "state", "claim-code");
    return existsSync(file) && readFileSync(file, "utf8").trim();
  });
  const settings = readFileSync(join(home, "station.toml"), "utf8");
  url = `http://${/\[console\]\s+listen = "([^"]+)"/.exec(settings)[1]}`;
  await until("the console answers", () => fetch(`${url}/api/v1/door`).then((one) => one.ok, () => false));
  const owner = await reader();
  const { page } = owner;
  let guestWrongs = [];

  await step("before the claim the page of the claim alone answers; a wrong code is refused", async () => {
    await page.goto(url);
    await page.getByRole("heading", { name: "This station has no owner yet" }).waitFor();
    assert.ok(await page.locator(".simulated").isVisible());
    assert.equal(await page.evaluate(async () => (await fetch("/api/v1/now")).status), 401);
    assert.deepEqual(await axe(page), []);
    await shot(owner, "claim");
    await page.getByLabel("Code", { exact: true }).fill("aaaaa-aaaaa-aaa");
    await page.getByLabel("Your name here").fill("mara");
    await page.getByLabel("A password", { exact: true }).fill("short");
    await page.getByLabel("The password again", { exact: true }).fill("short");
    await button(page, "Claim this station").click();
    await alert(page).waitFor();
    assert.equal(await page.locator(".form-problem a").count(), 1, "a short password is one mistake");
    await page.getByLabel("A password", { exact: true }).fill(kPassword);
    await page.getByLabel("The password again", { exact: true }).fill(kPassword);
    await button(page, "Claim this station").click();
    await page.waitForFunction(() => /code is not right/.test(document.querySelector(".form-problem a")?.textContent ?? ""));
    assert.equal((await ask(page, "door")).claimed, false);
  });

  await step("the code of the station's folder makes its first owner", async () => {
    await page.getByLabel("Code", { exact: true }).fill(code);
    await button(page, "Claim this station").click();
    await page.waitForSelector(".road");
    assert.ok(!existsSync(join(home, "state", "claim-code")), "the code is spent");
    assert.equal((await ask(page, "door")).session.role, "owner");
  });

  await step("the demo adopts a coordinate of its first day, and the page follows", async () => {
    await until("a coordinate is adopted", async () => (await ask(page, "coordinate")).adopted, kLong_ms);
    await go(page, "coordinate");
    await page.locator(".coordinate-adopted .figures.triple").first().waitFor();
  });

  await step("every room shows what the station has", async () => {
    await go(page, "now");
    const now = await ask(page, "now");
    assert.equal(await page.locator(".road > li").count(), 8);
    await page.waitForFunction(() => document.title.includes("LHOL00XXX"));
    assert.ok(now.recording.durable_offset > 100000, "bytes are on the disk");
    await go(page, "sky");
    await until("satellites are received", async () => (await page.locator(".dome-satellite").count()) > 10);
    await until("tracks are drawn", async () => (await page.locator(".dome-picture path.dome-track").count()) > 10);
    await go(page, "stream");
    // Whoever adopts, the verdict and the stream follow within seconds.
    await until("rovers are told", async () => (await ask(page, "stream")).broadcast.kind === "adopted");
    const stream = await ask(page, "stream");
    assert.ok(stream.messages.length > 3);
    await page.getByText("Observations of GPS (MSM7)").first().waitFor();
    await go(page, "record");
    await until("hours are drawn", async () => (await page.locator(".cells .cell-whole, .cells .cell-counted").count()) >= 2);
    await page.locator(".record-minutes canvas").first().waitFor();
    await go(page, "logbook");
    await until("entries are listed", async () => (await page.locator(".log li").count()) > 3);
    await go(page, "people");
    await page.getByText("So far you are the only one.").waitFor();
  });

  let kept;
  await step("a rover is let in; its token is shown once and nowhere after", async () => {
    await go(page, "stream");
    await button(page, "Let a rover in").click();
    await page.getByLabel("Name", { exact: true }).fill("baler-3");
    await button(page, "Make its token").click();
    await page.getByText("It is shown this once.").waitFor();
    kept = (await page.locator("dialog code, dialog .token").first().innerText()).trim();
    assert.match(kept, /^\S{20,}$/);
    await button(page, "I have kept it").click();
    await button(page, "Change baler-3").waitFor();
    await page.reload();
    await go(page, "stream");
    await button(page, "Change baler-3").waitFor();
    assert.ok(!(await page.content()).includes(kept));
    assert.ok(!JSON.stringify(await ask(page, "stream")).includes(kept));
  });

  await step("the token opens the stream, another does not", async () => {
    const [, at] = /\[rovers\]\s+listen = "([^"]+)"/.exec(readFileSync(join(home, "station.toml"), "utf8"));
    const mount = (await ask(page, "stream")).mountpoints[0].name;
    const connect = async (token) => {
      const stop = new AbortController();
      const answer = await fetch(`http://${at}/${mount}`, {
        headers: {
          "Ntrip-Version": "Ntrip/2.0", "User-Agent": "NTRIP console-test/1.0",
          Authorization: `Basic ${Buffer.from(`baler-3:${token}`).toString("base64")}`,
        },
        signal: stop.signal,
      });
      if (!answer.ok) {
        stop.abort();
        return answer.status;
      }
      const { value } = await answer.body.getReader().read();
      stop.abort();
      return value[0];
    };
    assert.equal(await connect("no-token-at-all-0000000000"), 401);
    assert.equal(await connect(kept), 0xd3, "the first byte of a message");
  });

  await step("a guest and a helper are let in by name, role and first password", async () => {
    for (const [name, role] of [["ula", "guest"], ["jon", "helper"]]) {
      await go(page, "people");
      await button(page, "Let somebody in").click();
      await page.getByLabel("Name", { exact: true }).fill(name);
      await page.getByLabel("May", { exact: true }).selectOption(role);
      await page.getByLabel("A first password", { exact: true }).fill(kPassword);
      await page.getByLabel("The password again", { exact: true }).fill(kPassword);
      await button(page, "Let them in").click();
      await button(page, `Change ${name}`).waitFor();
    }
    const { people } = await ask(page, "people");
    assert.deepEqual(people.map((one) => [one.name, one.role]).sort(), [["jon", "helper"], ["mara", "owner"], ["ula", "guest"]]);
  });

  await step("a candidate is adopted with a reason, and not without", async () => {
    await go(page, "coordinate");
    const before = (await ask(page, "coordinate")).adopted.record;
    const adopt = page.getByRole("button", { name: /^Adopt record \d+/ }).first();
    await adopt.waitFor();
    const wanted = Number(/\d+/.exec(await adopt.getAttribute("aria-label"))[0]);
    assert.notEqual(wanted, before);
    await adopt.click();
    await button(page, "Adopt it").click();
    await alert(page).waitFor();
    await page.getByText("Write why").first().waitFor();
    assert.equal((await ask(page, "coordinate")).adopted.record, before);
    assert.deepEqual(await axe(page), []);
    await shot(owner, "adopt");
    await page.getByLabel("Why", { exact: true }).fill("tried in a browser");
    const read = page.getByLabel("I have read what speaks against it");
    if ((await read.count()) > 0) await read.check();
    await button(page, "Adopt it").click();
    await page.locator("dialog").waitFor({ state: "detached" });
    await page.getByText("“tried in a browser”").first().waitFor();
    const after = await ask(page, "coordinate");
    assert.equal(after.adopted.record, wanted);
    assert.equal(after.adopted.why, "tried in a browser");
    assert.match(after.adoptions[0].by, /mara/);
    await until("the stream follows", async () => (await ask(page, "stream")).broadcast.record === wanted);
  });

  await step("a solution is started and cancelled", async () => {
    await go(page, "coordinate");
    await page.getByText("Work one out for a time of your choice").click();
    const last = Date.parse((await ask(page, "now")).data.last_epoch);
    await fillSpan(page.locator(".coordinate-solve form"), last - 24 * 3600000, last);
    await page.locator(".coordinate-solve").getByLabel("Method").selectOption("ppp");
    // A job that ends before it can be cancelled is asked for again.
    await until("a job is cancelled", async () => {
      await button(page, "Start it").click();
      const cancel = page.locator(".coordinate-solve").getByRole("button", { name: "Cancel this job" }).first();
      await cancel.waitFor();
      await cancel.click();
      await button(page, "Cancel the job").click();
      const said = page.locator('dialog .form-problem, .coordinate-solve [data-job="cancelled"]').first();
      await said.waitFor();
      const { jobs } = await ask(page, "jobs");
      if (jobs.some((one) => one.kind === "solve" && one.state === "cancelled" && one.by === "mara")) return true;
      await page.keyboard.press("Escape");
      return false;
    });
  });

  await step("an export is written and downloaded", async () => {
    await go(page, "record");
    const last = Date.parse((await ask(page, "now")).data.last_epoch);
    const hour = Math.floor(last / 3600000) * 3600000;
    const form = page.locator(".record-export form");
    await fillSpan(form, hour - 3600000, hour);
    await button(page, "Write the files").click();
    const link = page.locator('.record-export [data-job="done"] .files a').first();
    await link.waitFor({ timeout: 60000 });
    const [download] = await Promise.all([page.waitForEvent("download"), link.click()]);
    const path = join(folder, "downloaded");
    await download.saveAs(path);
    const bytes = readFileSync(path);
    const text = (bytes[0] === 0x1f ? gunzipSync(bytes) : bytes).toString("latin1");
    assert.match(text.slice(0, 200), /RINEX/, download.suggestedFilename());
    assert.ok(text.length > 2000);
    // Files are of the hour of reception, today; the demo's epochs are of another day.
    const today = `${new Date(Date.now() - 3600000).toISOString().slice(0, 19)}Z`;
    const { hours } = await ask(page, `record?from=${today}&to=${new Date(Date.now() + 3600000).toISOString().slice(0, 19)}Z`);
    const raw = hours.find((one) => one.path !== null);
    const got = await page.evaluate(async (at) => {
      const answer = await fetch(`/api/v1/record/raw/${at}`);
      return { status: answer.status, bytes: (await answer.arrayBuffer()).byteLength };
    }, raw.path);
    assert.equal(got.status, 200);
    assert.ok(got.bytes > 1000, "an hour as it lies on the disk");
  });

  await step("in every room of the real station axe finds nothing, light and dark", async () => {
    for (const look of [{ width: 1280, theme: "light" }, { width: 390, theme: "dark" }]) {
      await page.setViewportSize({ width: look.width, height: 900 });
      await page.emulateMedia({ colorScheme: look.theme });
      for (const room of kRooms) {
        await go(page, room);
        assert.deepEqual(await axe(page), [], `${room}, ${look.theme}`);
        await page.setViewportSize({ width: look.width, height: 900 });
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        assert.ok(wide <= look.width, `${room} scrolls sideways: ${wide} at ${look.width}`);
      }
    }
    await page.setViewportSize({ width: 1280, height: 900 });
    await page.emulateMedia({ colorScheme: "light" });
  });

  if (kShots !== undefined) {
    await step("photographs", async () => {
      for (const room of kRooms) {
        await go(page, room);
        await shot(owner, room);
      }
    });
  }

  await step("a guest looks on and is shown no coordinate, address or rover's name", async () => {
    const secret = await ask(page, "coordinate");
    const [latitude, longitude] = secret.adopted.geodetic_deg_m;
    const figures = [
      ...[...secret.adopted.ecef_m, ...secret.adopted.arp_ecef_m].map((value) => Math.abs(value).toFixed(3)),
      ...[latitude, longitude].map((value) => Math.abs(value).toFixed(5)),
    ];
    const names = (await ask(page, "stream")).rovers.map((one) => one.name);
    assert.ok(names.length > 0, "rovers are connected");
    const guest = await reader();
    guestWrongs = guest.wrongs;
    await guest.page.goto(url);
    await signIn(guest.page, "ula", kPassword);
    await guest.page.waitForSelector(".road");
    for (const room of kRooms) {
      await go(guest.page, room);
      const seen = (await guest.page.locator("body").innerText()).replace(/[\s\u00a0\u202f\u2009',]/g, "");
      for (const figure of figures) assert.ok(!seen.includes(figure), `${room} shows ${figure}`);
      for (const name of names) assert.ok(!seen.includes(name), `${room} shows ${name}`);
    }
    for (const path of ["now", "sky", "coordinate", "stream", "record", "jobs", "logbook"]) {
      const words = JSON.stringify(await ask(guest.page, path));
      for (const word of [...figures, ...names]) assert.ok(!words.includes(word), `${path} holds ${word}`);
    }
    assert.equal((await ask(guest.page, "people")).status, 403);
    await go(guest.page, "coordinate");
    assert.equal(await guest.page.getByRole("button", { name: /^Adopt/ }).count(), 0);
    if (kShots !== undefined) {
      await shot(guest, "guest-coordinate");
      await go(guest.page, "stream");
      await shot(guest, "guest-stream");
    }
    await guest.context.close();
  });

  await step("sign out, a wrong password, in again, in the room one was in", async () => {
    await go(page, "people");
    await button(page, "Sign out").click();
    await signIn(page, "mara", "not the password");
    await page.waitForFunction(() => /not right/.test(document.querySelector(".form-problem")?.textContent ?? ""));
    assert.equal(await page.evaluate(async () => (await fetch("/api/v1/now")).status), 401);
    await shot(owner, "sign-in");
    await signIn(page, "mara", kPassword);
    await page.getByText("mara (you)").waitFor();
    assert.match(page.url(), /#\/people$/);
  });

  await step("the logbook has who did what", async () => {
    const { entries } = await ask(page, "logbook?limit=100");
    const kinds = new Set(entries.map((one) => one.kind));
    for (const kind of ["adopted", "signed_in", "sign_in_refused"]) assert.ok(kinds.has(kind), `${kind} of ${[...kinds]}`);
  });

  assert.deepEqual(owner.wrongs, []);
  assert.deepEqual(guestWrongs, []);
}

async function fillSpan(form, from_ms, to_ms) {
  const field = (ms) => new Date(ms).toISOString().slice(0, 16);
  await form.getByLabel("From, UTC").fill(field(from_ms));
  await form.getByLabel("To, UTC").fill(field(to_ms));
}

async function shot({ page }, name) {
  if (kShots === undefined) return;
  mkdirSync(kShots, { recursive: true });
  for (const theme of ["light", "dark"]) {
    await page.emulateMedia({ colorScheme: theme });
    for (const width of [390, 1280]) {
      await page.setViewportSize({ width, height: width < 600 ? 844 : 900 });
      await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
      await page.screenshot({ path: join(kShots, `${name}-${width}-${theme}.png`), fullPage: true });
    }
  }
  await page.emulateMedia({ colorScheme: "light" });
  await page.setViewportSize({ width: 1280, height: 900 });
}

let failed = null;
try {
  browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox"],
  });
  await play();
} catch (error) {
  failed = error;
}
await browser?.close();
demo.kill("SIGINT");
const late = setTimeout(() => demo.kill("SIGKILL"), 30000);
await ended;
clearTimeout(late);
if (failed === null) {
  try {
    assert.equal(JSON.parse(answered).schema_version, 1, "the demo tells its document at the end");
  } catch (error) {
    failed = error;
  }
}
if (failed === null) {
  console.log(`${steps.length} steps, nothing wrong`);
} else {
  console.error(`not ok ${steps.length + 1} - ${failed.stack ?? failed}`);
  console.error(told.split("\n").slice(-8).join("\n"));
}
if (process.env.KEEP === undefined) rmSync(folder, { recursive: true, force: true });
process.exit(failed === null ? 0 : 1);
