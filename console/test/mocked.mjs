// The mock station and a browser, for what is tried without a program.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { chromium } from "playwright-core";

// The address of a mock station of its own, the browser, and their end.
export async function mocked(env = {}) {
  const mock = spawn(process.execPath, [new URL("../mock/server.mjs", import.meta.url).pathname], {
    env: { ...process.env, PORT: "0", ...env },
    stdio: ["ignore", "pipe", "inherit"],
  });
  const [line] = await once(mock.stdout, "data");
  const url = /http:\S+[^/\s]/.exec(String(line))[0];
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox"],
  });
  const end = async () => {
    await browser.close();
    mock.kill();
  };
  return { url, browser, end };
}

export const median = (all) => [...all].sort((a, b) => a - b)[Math.floor(all.length / 2)];
