// Compiles every *.test.ts and *.test.tsx below src/ and test/ with esbuild, then
// hands them to node's own test runner.
import { build } from "esbuild";
import { globSync } from "./glob.mjs";
import { mkdtempSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import { spawnSync } from "node:child_process";

const root = resolve(new URL("..", import.meta.url).pathname);
const out = mkdtempSync(join(root, "node_modules", ".tests-"));
const files = [...globSync(join(root, "src"), /\.test\.tsx?$/), ...globSync(join(root, "test"), /\.test\.tsx?$/)];
await build({
  entryPoints: files,
  outdir: out,
  outbase: root,
  bundle: true,
  platform: "node",
  format: "esm",
  target: "node20",
  jsx: "automatic",
  jsxImportSource: "preact",
  packages: "external",
  outExtension: { ".js": ".mjs" },
  loader: { ".svg": "text", ".css": "empty" },
  plugins: [
    {
      // `x.svg?url` is Vite's way to ask for an address.
      name: "addresses",
      setup(on) {
        on.onResolve({ filter: /\?url$/ }, (args) => ({ path: args.path, namespace: "address" }));
        on.onLoad({ filter: /.*/, namespace: "address" }, (args) => ({ contents: args.path, loader: "text" }));
      },
    },
  ],
  logLevel: "warning",
});
const compiled = globSync(out, /\.test\.mjs$/);
const done = spawnSync(process.execPath, ["--import", resolve(root, "test/browser-like.mjs"), "--test", ...compiled], {
  stdio: "inherit",
});
rmSync(out, { recursive: true });
process.exit(done.status ?? 1);
