// Photographs rooms of a running mock station, for looking at.
//
//   node test/shots.mjs OUT ROOM[?scene] …      widths 390 and 1280, light and dark
//   URL=http://127.0.0.1:8080 WIDTHS=320,1280 THEMES=light node test/shots.mjs /tmp/s now 'stream?state=first'
import { mkdirSync } from "node:fs";
import { chromium } from "playwright-core";

const [out = "shots", ...rooms] = process.argv.slice(2);
const url = process.env.URL ?? "http://127.0.0.1:8080";
const widths = (process.env.WIDTHS ?? "390,1280").split(",").map(Number);
const themes = (process.env.THEMES ?? "light,dark").split(",");
mkdirSync(out, { recursive: true });
const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
for (const room of rooms) {
  const [name, query = ""] = room.split("?");
  for (const theme of themes) {
    for (const width of widths) {
      const page = await browser.newPage({ viewport: { width, height: width < 600 ? 844 : 900 }, colorScheme: theme });
      page.on("console", (message) => {
        if (["error", "warning"].includes(message.type())) console.log(`${room}: ${message.text()}`);
      });
      page.on("pageerror", (error) => console.log(`${room}: ${error.message}`));
      await page.goto(`${url}/?${query}#/${name}`);
      await page.waitForTimeout(Number(process.env.WAIT ?? 1500));
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      if (wide > width) console.log(`${room} at ${width}: scrolls sideways, ${wide} px`);
      await page.screenshot({ path: `${out}/${name}-${query.replace(/\W+/g, "_")}-${width}-${theme}.png`, fullPage: process.env.FULL !== "0" });
      await page.close();
    }
  }
}
await browser.close();
