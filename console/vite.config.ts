// How the bundle is built: one page, hashed names below /assets/, nothing inline
// (the page is served under `default-src 'self'`), no source maps, and the same
// bytes from the same sources.
import { defineConfig } from "vite";

export default defineConfig({
  base: "/",
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "dist",
    assetsDir: "assets",
    assetsInlineLimit: 0,
    cssCodeSplit: false,
    // The page names what its first script imports, so that both come at once; a
    // room's own scripts follow when it is opened.
    modulePreload: {
      polyfill: false,
      resolveDependencies: (_file, deps, { hostType }) => (hostType === "html" ? deps : []),
    },
    sourcemap: false,
    target: ["chrome99", "firefox102", "safari15.4"],
    reportCompressedSize: false,
  },
});
