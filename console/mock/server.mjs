// A station that is none: docs/api.md over invented documents, for building rooms
// and for the tests of their states. Plain node, no dependency.
//
//   node mock/server.mjs            http://127.0.0.1:8080/, signed in as an owner
//   PORT=8099 MOCK="state=first&role=guest" node mock/server.mjs
//   GET /__mock?state=stale&trust=doubtful     changes the scene; what it is comes back
//
// state   ready first loading nodata error stale      what the panels meet
// trust   building trusted doubtful withheld
// signed  owner helper guest none     none: the cookie decides, as on a real station
// claimed claim_open simulated tls warn   true or false; down: it hangs up on everybody
// period_ms  between two `now`, for trying a long time in a short one
// job     some none;  disk  some full;  bundle  any word: another one offers a reload
//
// At the door everybody's password is "larch hollow seeds"; the code is "code".
import { createServer } from "node:http";
import { readFile } from "node:fs/promises";
import { extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import * as world from "./world.mjs";

const kDist = process.env.DIST ?? join(fileURLToPath(new URL(".", import.meta.url)), "..", "dist");
const kPassword = "larch hollow seeds";
const kTypes = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".txt": "text/plain; charset=utf-8" };
// As the station itself sends it; a page that breaks it is broken here too.
const kPolicy =
  "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'";

const scene = {
  state: "ready", trust: "trusted", signed: "owner", claimed: true, claim_open: false, simulated: true,
  tls: false, warn: true, job: "some", disk: "some", bundle: "a1b2c3d4", period_ms: 1000, down: false,
};

function setScene(query) {
  for (const [key, value] of query) {
    if (key in scene) scene[key] = typeof scene[key] === "boolean" ? value === "true" : typeof scene[key] === "number" ? Number(value) : value;
  }
}
setScene(new URLSearchParams(process.env.MOCK ?? ""));

const sessions = new Map();
const streams = new Set();

function sessionOf(request) {
  const ends = new Date(Date.now() + 12 * 3600e3).toISOString();
  if (!scene.claimed) return null;
  if (scene.signed !== "none") return { name: scene.signed === "owner" ? "mara" : "jon", role: scene.signed, token: "mock-token", ends };
  const cookie = /stillpoint_session=([^;]+)/.exec(request.headers.cookie ?? "");
  return cookie === null ? null : (sessions.get(cookie[1]) ?? null);
}

function send(response, status, body, more = {}) {
  const problem = status >= 400;
  response.writeHead(status, {
    "Content-Type": problem ? "application/problem+json" : "application/json",
    "Cache-Control": "no-store", "X-Content-Type-Options": "nosniff", ...more,
  });
  response.end(body === null ? "" : JSON.stringify(body));
}

function refuse(response, status, code, detail, remedy = null, field = null, retry_after_s = null) {
  send(response, status, { schema_version: 1, type: "about:blank", title: code, status, code, detail, remedy, field, retry_after_s });
}

async function bodyOf(request) {
  let words = "";
  for await (const part of request) words += part;
  return words === "" ? {} : JSON.parse(words);
}

function tellChanged(...what) {
  for (const response of streams) response.write(`event: changed\ndata: ${JSON.stringify({ what })}\n\n`);
}

function openStream(request, response) {
  if (scene.state === "error") return refuse(response, 503, "not_now", "Too many pages are open at this station.", "Close one of them.");
  response.writeHead(200, { "Content-Type": "text/event-stream", "Cache-Control": "no-store" });
  streams.add(response);
  const tell = (name, value) => response.write(`event: ${name}\ndata: ${JSON.stringify(value)}\n\n`);
  let count = 0;
  let bundle = null;
  const turn = () => {
    if (sessionOf(request) === null) {
      tell("bye", {});
      response.end();
      return;
    }
    if (scene.state === "loading" || scene.state === "error") return;
    if (bundle !== scene.bundle) tell("hello", { version: "0.9.0", bundle: (bundle = scene.bundle) });
    count += 1;
    if (scene.state === "stale" && count > 2) return;
    tell("now", world.now(scene));
    if (count % 5 === 1) tell("sky", world.sky(scene));
  };
  turn();
  const timer = setInterval(turn, scene.period_ms);
  response.on("close", () => {
    clearInterval(timer);
    streams.delete(response);
  });
}

function enter(response, name, role) {
  const key = Math.random().toString(36).slice(2);
  const session = { name, role, token: `token-${key}`, ends: new Date(Date.now() + 12 * 3600e3).toISOString() };
  sessions.set(key, session);
  send(response, 201, { schema_version: 1, session }, { "Set-Cookie": `stillpoint_session=${key}; HttpOnly; SameSite=Strict; Path=/` });
}

const documents = {
  now: () => world.now(scene),
  sky: () => world.sky(scene),
  coordinate: (query, session) => world.coordinate(scene, session.role),
  stream: (query, session) => world.stream(scene, session.role),
  record: (query) => world.record(scene, timeOf(query.get("from")), timeOf(query.get("to"))),
  jobs: () => world.jobs(scene),
  logbook: (query) =>
    world.logbook(scene, Number(query.get("limit") ?? 100), (query.get("kind") ?? "").split(",").filter(Boolean), query.has("before") ? Number(query.get("before")) : null),
  people: () => ({ schema_version: 1, people: world.people }),
};
const timeOf = (words) => (words === null ? null : Date.parse(words));

async function change(request, response, path, session) {
  const body = await bodyOf(request);
  const [head, name] = path.split("/").map(decodeURIComponent);
  const forOwners = ["adoptions", "records", "people", "rovers"].includes(head);
  if (forOwners && session.role !== "owner") return refuse(response, 403, "wrong_role", "That is for owners.", "Ask an owner of this station.");
  if (head === "sessions") {
    scene.signed = "none";
    sessions.clear();
    return send(response, 204, null);
  }
  if (head === "password") {
    if (body.old !== kPassword) return refuse(response, 401, "wrong_login", "That is not right.", "Look at it once more and try again.");
    return send(response, 204, null);
  }
  if (head === "jobs" && request.method === "POST") {
    setTimeout(() => tellChanged("jobs"), 500);
    return send(response, 202, { schema_version: 1, job: { ...world.jobs(scene).jobs[0], id: "13", kind: body.kind, state: "waiting", by: session.name, progress: null, what: "Waits for its turn." } });
  }
  if (head === "jobs") {
    world.cancelJob();
    tellChanged("jobs");
    return send(response, 200, { schema_version: 1, job: { ...world.jobs(scene).jobs[0], state: "cancelled" } });
  }
  if (head === "adoptions") {
    if (!body.why) return refuse(response, 422, "refused", "No reason was given.", "Say in a sentence why this record is right.", "why");
    tellChanged("coordinate", "stream", "logbook");
    return send(response, 201, { schema_version: 1, adoption: { id: 3, record: body.record, at: new Date().toISOString(), by: session.name, why: body.why } });
  }
  if (head === "records") {
    tellChanged("coordinate");
    return send(response, 201, { schema_version: 1, record: 9 });
  }
  const rows = head === "rovers" ? world.accounts : head === "people" ? world.people : null;
  if (rows === null) return refuse(response, 404, "not_found", "There is no such thing.");
  const at = rows.findIndex((row) => row.name === name);
  const token = "lh7k-2m9q-x4tr-8wcd-p6vz-3nba";
  if (request.method === "POST") {
    if (rows.some((row) => row.name === body.name)) return refuse(response, 409, "conflict", `The name ${body.name} is taken.`, "Choose another name.", "name");
    if (!/^[a-z0-9-]{1,32}$/.test(body.name)) return refuse(response, 422, "refused", "The name has signs that a name may not have.", "Use small letters, digits and hyphens.", "name");
    rows.push(head === "rovers" ? { kind: "stream", enabled: true, ...body } : { name: body.name, role: body.role, enabled: true });
    tellChanged("stream", "logbook");
    return send(response, 201, head === "rovers" ? { schema_version: 1, name: body.name, token } : { schema_version: 1, person: rows[rows.length - 1] });
  }
  if (at < 0) return refuse(response, 404, "not_found", `There is nobody called ${name}.`);
  const owners = world.people.filter((one) => one.role === "owner" && one.enabled);
  const lastOwner = head === "people" && owners.length === 1 && owners[0].name === name;
  if (lastOwner && (request.method === "DELETE" || (body.role ?? "owner") !== "owner" || body.enabled === false)) {
    return refuse(response, 409, "conflict", `${name} is the last owner.`, "Make somebody else an owner first.");
  }
  if (request.method === "DELETE") {
    rows.splice(at, 1);
    tellChanged("stream", "logbook");
    return send(response, 204, null);
  }
  const { new_token, password, ...kept } = body;
  Object.assign(rows[at], kept);
  tellChanged("stream", "logbook");
  return send(response, 200, new_token ? { schema_version: 1, name, token } : { schema_version: 1, name });
}

async function answerApi(request, response, path, query) {
  const session = sessionOf(request);
  if (path === "door") return send(response, 200, world.door(scene, session));
  if (path === "claim" && request.method === "POST") {
    const body = await bodyOf(request);
    if (scene.claimed && !scene.claim_open) return refuse(response, 409, "claimed", "This station has an owner already.", "Sign in.");
    if (body.code !== "code") return refuse(response, 401, "wrong_login", "That is not right.", "Look at it once more and try again.");
    scene.claimed = true;
    scene.claim_open = false;
    scene.signed = "none";
    return enter(response, body.name, "owner");
  }
  if (path === "sessions" && request.method === "POST") {
    const body = await bodyOf(request);
    if (body.password === "slow") return refuse(response, 429, "too_soon", "Too many wrong tries.", null, null, 8);
    const who = world.people.find((one) => one.name === body.name);
    if (who === undefined || body.password !== kPassword) return refuse(response, 401, "wrong_login", "That is not right.", "Look at it once more and try again.");
    return enter(response, who.name, who.role);
  }
  if (session === null) return refuse(response, 401, "no_session", "Nobody is signed in, or the session has ended.", "Sign in.");
  if (path === "events") return openStream(request, response);
  if (request.method !== "GET") {
    if (request.headers["x-stillpoint-token"] !== session.token) return refuse(response, 403, "wrong_token", "The session's token is missing.");
    return change(request, response, path, session);
  }
  if (scene.state === "loading") return undefined;
  if (scene.state === "error") return refuse(response, 503, "not_now", "The station's database cannot be read just now.", "Try again in a minute; if it stays so, look at the disk.");
  const make = documents[path];
  if (make === undefined) return refuse(response, 404, "not_found", "There is no such document.");
  if (path === "people" && session.role !== "owner") return refuse(response, 403, "wrong_role", "The list of people is for owners.", "Ask an owner of this station.");
  return send(response, 200, make(query, session));
}

async function answerFile(response, path) {
  const name = normalize(path === "/" ? "/index.html" : path);
  try {
    const bytes = await readFile(join(kDist, name));
    response.writeHead(200, {
      "Content-Type": kTypes[extname(name)] ?? "application/octet-stream", "Content-Security-Policy": kPolicy,
      "X-Content-Type-Options": "nosniff", "Cache-Control": path === "/" ? "no-store" : "public, max-age=31536000, immutable",
    });
    response.end(bytes);
  } catch {
    response.writeHead(404).end();
  }
}

const server = createServer((request, response) => {
  const url = new URL(request.url ?? "/", "http://mock");
  if (url.pathname === "/__mock") {
    setScene(url.searchParams);
    if (scene.down) for (const stream of streams) stream.destroy();
    return send(response, 200, scene);
  }
  if (scene.down) {
    for (const stream of streams) stream.destroy();
    return void response.destroy();
  }
  if (url.pathname.startsWith("/api/v1/")) {
    answerApi(request, response, url.pathname.slice(8), url.searchParams).catch(() =>
      refuse(response, 400, "malformed", "The request is no JSON.", null),
    );
    return undefined;
  }
  if (url.pathname === "/") setScene(url.searchParams);
  return void answerFile(response, url.pathname);
});
server.listen(Number(process.env.PORT ?? 8080), "127.0.0.1", () => {
  process.stdout.write(`mock station on http://127.0.0.1:${server.address().port}/\n`);
});
