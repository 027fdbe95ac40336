// The few things of a browser that state.ts touches while it is loaded; tests of
// rooms run in a real one (states.mjs).
globalThis.location ??= { hash: "", hostname: "localhost" };
globalThis.addEventListener ??= () => undefined;
const every = globalThis.setInterval;
globalThis.setInterval = (...given) => every(...given).unref();
