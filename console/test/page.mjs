// What tests in a browser share: a page that is watched, and axe.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { extname, join } from "node:path";

const kAxe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// What a page does wrong from now on: asks anybody but the station, throws, or
// complains (as where its policy is broken).
export function watch(page, url) {
  const wrongs = [];
  page.on("request", (request) => {
    const asked = request.url();
    const own = asked === url || asked.startsWith(`${url}/`) || asked.startsWith(`blob:${url}`);
    if (!own && !asked.startsWith("data:")) wrongs.push(`asked ${asked}`);
  });
  page.on("pageerror", (error) => wrongs.push(`threw ${error.message}`));
  page.on("console", (message) => {
    // A refusal by the station (401, 503 …) is part of the play.
    if (message.type() === "error" && !message.text().startsWith("Failed to load resource")) wrongs.push(message.text());
  });
  return wrongs;
}

// The window is made as high as the page: a bar that stays at the bottom would hide
// other targets from axe, which a reader scrolls out from under it.
export async function axe(page) {
  const { width } = page.viewportSize();
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  await page.setViewportSize({ width, height: Math.max(800, height + 200) });
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  await page.waitForTimeout(150);
  await page.evaluate(kAxe);
  return page.evaluate(async () => {
    const result = await window.axe.run(document, {
      runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    });
    return result.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(" ")).slice(0, 3).join(" | ")}`);
  });
}

const kTypes = { ".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".svg": "image/svg+xml", ".txt": "text/plain; charset=utf-8" };

// Takes the page from a folder, under the policy that the station sends.
export async function serveFrom(page, url, folder) {
  const { headers } = await fetch(`${url}/`);
  const policy = headers.get("Content-Security-Policy");
  await page.route((asked) => asked.origin === url && !asked.pathname.startsWith("/api/"), (route) => {
    const { pathname } = new URL(route.request().url());
    const path = join(folder, pathname === "/" ? "index.html" : pathname);
    return route.fulfill({
      body: readFileSync(path),
      headers: { "Content-Type": kTypes[extname(path)] ?? "application/octet-stream", "Content-Security-Policy": policy },
    });
  });
}
