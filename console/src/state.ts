// What the page knows: the door, the session, the feed of events, and documents
// that rooms ask for. Signals only; no element is touched here.
import { computed, signal, type ReadonlySignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import * as api from "./api.ts";
import type { Changed, Door, Hello, Job, Now, Problem, Role, Session, Sky } from "./types.ts";
import { backOff_ms, feedIsFrozen, kSilence_ms } from "./feed.ts";

// A document and what is known about it. `at_ms` is the device's clock when it
// arrived, 0 before that.
export interface Resource<T> {
  readonly data: ReadonlySignal<T | null>;
  readonly problem: ReadonlySignal<Problem | null>;
  readonly at_ms: ReadonlySignal<number>;
  readonly loading: ReadonlySignal<boolean>;
  // True where the document comes by itself with the feed.
  readonly fed: boolean;
  reload(): void;
}

class Held<T> implements Resource<T> {
  readonly data = signal<T | null>(null);
  readonly problem = signal<Problem | null>(null);
  readonly at_ms = signal(0);
  readonly loading = signal(false);
  users = 0;
  private again = false;
  constructor(
    readonly path: string,
    readonly what: string | null,
    readonly fed: boolean,
  ) {}

  take(value: T): void {
    this.data.value = value;
    this.problem.value = null;
    this.at_ms.value = Date.now();
  }

  forget(): void {
    this.data.value = null;
    this.problem.value = null;
    this.at_ms.value = 0;
  }

  reload(): void {
    if (this.loading.value) {
      this.again = true;
      return;
    }
    this.loading.value = true;
    void api.get<T>(this.path).then((answer) => {
      this.loading.value = false;
      if (answer.ok) this.take(answer.value);
      else this.problem.value = answer.problem;
      if (this.again) {
        this.again = false;
        this.reload();
      }
    });
  }
}

// ---- The door and the session.

// The bundle this tab runs, as the station told first, and a newer one.
let ownBundle: string | null = null;
export const newBundle = signal<string | null>(null);

export const door = signal<Door | null>(null);
export const doorProblem = signal<Problem | null>(null);
// Set when a session ended under the reader's hands: the sign-in says why.
export const endedBecause = signal<string | null>(null);
export const session: ReadonlySignal<Session | null> = computed(() => door.value?.session ?? null);
export const simulated = computed(() => door.value?.simulated === true);

const rank: Record<Role, number> = { guest: 0, helper: 1, owner: 2 };
export const mayHelp = computed(() => rank[session.value?.role ?? "guest"] >= rank.helper);
export const mayOwn = computed(() => rank[session.value?.role ?? "guest"] >= rank.owner);

// Asks the door once; the page decides by it what to show.
export async function lookAtDoor(): Promise<void> {
  const answer = await api.get<Door>("door");
  if (!answer.ok) {
    doorProblem.value = answer.problem;
    return;
  }
  doorProblem.value = null;
  takeDoor(answer.value);
}

function takeDoor(next: Door): void {
  api.useToken(next.session?.token ?? null);
  const had = door.value?.session ?? null;
  if (ownBundle === null) ownBundle = next.bundle;
  door.value = next;
  if (next.session !== null && had?.token !== next.session.token) startFeed();
  if (next.session === null) stopFeed();
}

export function enter(given: Session): void {
  endedBecause.value = null;
  if (door.value !== null) takeDoor({ ...door.value, claimed: true, session: given });
}

export async function signOut(): Promise<Problem | null> {
  const answer = await api.remove("sessions/current");
  if (!answer.ok && answer.problem.status !== 401) return answer.problem;
  leave(null);
  return null;
}

function leave(why: string | null): void {
  endedBecause.value = why;
  for (const held of documents.values()) held.forget();
  documents.clear();
  now.forget();
  sky.forget();
  if (door.value !== null) takeDoor({ ...door.value, session: null });
}

api.whenSessionEnds(() => {
  if (session.value !== null) leave("The session has ended. Sign in again to go on where you were.");
});

api.whenTokenIsOld(() => void lookAtDoor());

// ---- The clock: one tick a second, for ages.

export const tick = signal(Date.now());
setInterval(() => (tick.value = Date.now()), 1000);

// The station's time now, by the last document it sent; the device's clock is
// used only for what passed since then.
export function stationNow_ms(): number {
  const last = now.data.value;
  if (last === null) return tick.value;
  return Date.parse(last.now) + Math.max(0, tick.value - now.at_ms.value);
}

// The time up to which there are data: the station's clock, but the time of the last
// epoch where the source sends data of another day (a recording, the demo). The
// station itself goes by the same rule.
const kAnotherDay_ms = 3600000;
export function dataNow_ms(): number {
  const last = now.data.value;
  const epoch = last?.data.last_epoch ?? null;
  const age_s = last?.data.last_epoch_age_s ?? null;
  if (last === null || epoch === null || age_s === null) return stationNow_ms();
  const received_ms = Date.parse(last.now) - 1000 * age_s;
  const epoch_ms = Date.parse(epoch);
  return Math.abs(received_ms - epoch_ms) > kAnotherDay_ms ? epoch_ms : stationNow_ms();
}
export const ofAnotherDay = computed(() => Math.abs(dataNow_ms() - stationNow_ms()) > kAnotherDay_ms);

// ---- The feed.

export const now = new Held<Now>("now", null, true);
export const sky = new Held<Sky>("sky", null, true);
export type FeedState = "off" | "connecting" | "live" | "frozen";
const feedOpen = signal(false);
const feedStarted_ms = signal(0);
const lastNow_ms = signal(0);

export const feed: ReadonlySignal<FeedState> = computed(() => {
  if (!feedOpen.value) return "off";
  const heard = lastNow_ms.value;
  if (heard === 0) return feedIsFrozen(feedStarted_ms.value, tick.value) ? "frozen" : "connecting";
  return feedIsFrozen(heard, tick.value) ? "frozen" : "live";
});
// Milliseconds of the device's clock since the last `now`; null before the first.
export const silence_ms = computed(() =>
  lastNow_ms.value === 0 ? null : Math.max(0, tick.value - lastNow_ms.value),
);

let stream: EventSource | null = null;
let failures = 0;
let retryTimer: ReturnType<typeof setTimeout> | undefined;
// Looks at the feed the moment it would be silent, between two ticks.
let silenceTimer: ReturnType<typeof setTimeout> | undefined;
export const reconnecting = signal(false);

function startFeed(): void {
  feedOpen.value = true;
  feedStarted_ms.value = Date.now();
  lastNow_ms.value = 0;
  failures = 0;
  now.reload();
  openStream();
}

function stopFeed(): void {
  feedOpen.value = false;
  reconnecting.value = false;
  clearTimeout(retryTimer);
  stream?.close();
  stream = null;
}

function parsed<T>(event: Event): T | null {
  try {
    return JSON.parse((event as MessageEvent<string>).data) as T;
  } catch {
    return null;
  }
}

function openStream(): void {
  clearTimeout(retryTimer);
  stream?.close();
  const opened = new EventSource(api.kRoot + "events");
  stream = opened;
  opened.addEventListener("hello", (event) => {
    const hello = parsed<Hello>(event);
    if (failures > 0) reloadAll();
    failures = 0;
    reconnecting.value = false;
    if (hello === null) return;
    if (ownBundle === null) ownBundle = hello.bundle;
    newBundle.value = hello.bundle === ownBundle ? null : hello.bundle;
  });
  opened.addEventListener("now", (event) => {
    const value = parsed<Now>(event);
    if (value === null) return;
    now.take(value);
    lastNow_ms.value = Date.now();
    tick.value = Date.now();
    clearTimeout(silenceTimer);
    silenceTimer = setTimeout(() => (tick.value = Date.now()), kSilence_ms + 20);
  });
  opened.addEventListener("sky", (event) => {
    const value = parsed<Sky>(event);
    if (value !== null) sky.take(value);
  });
  opened.addEventListener("changed", (event) => {
    const value = parsed<Changed>(event);
    if (value !== null && Array.isArray(value.what)) reloadChanged(value.what);
  });
  opened.addEventListener("bye", () => {
    opened.close();
    void lookAtDoor().then(() => {
      if (session.value === null) leave("The session has ended. Sign in again to go on where you were.");
      else again();
    });
  });
  opened.onerror = () => {
    opened.close();
    if (stream === opened) again();
  };
}

// Opens the stream again after a pause that grows; asks the door first, since an
// ended session looks to EventSource like any other failure.
function again(): void {
  if (!feedOpen.value) return;
  reconnecting.value = true;
  failures += 1;
  clearTimeout(retryTimer);
  retryTimer = setTimeout(() => {
    void api.get<Door>("door").then((answer) => {
      if (!feedOpen.value) return;
      if (!answer.ok) return again();
      if (answer.value.session === null) {
        leave("The session has ended. Sign in again to go on where you were.");
        return;
      }
      takeDoor(answer.value);
      openStream();
    });
  }, backOff_ms(failures, Math.random()));
}

// A device that wakes up or finds its network again does not wait for its turn.
for (const event of ["online", "focus"]) {
  addEventListener(event, () => {
    if (reconnecting.value) retryFeed();
  });
}

// What a "Try again" button does about the feed.
export function retryFeed(): void {
  if (!feedOpen.value) return;
  failures = Math.max(failures, 1);
  openStream();
}

// ---- Documents.

const documents = new Map<string, Held<unknown>>();
const kKeptDocuments = 16;

function held<T>(path: string, what: string | null): Held<T> {
  const found = documents.get(path);
  if (found !== undefined) return found as Held<T>;
  for (const [key, old] of documents) {
    if (documents.size < kKeptDocuments) break;
    if (old.users === 0) documents.delete(key);
  }
  const made = new Held<T>(path, what, false);
  documents.set(path, made as Held<unknown>);
  return made;
}

function reloadChanged(what: string[]): void {
  for (const document of documents.values()) {
    if (document.users > 0 && document.what !== null && what.includes(document.what)) {
      document.reload();
    }
  }
}

function reloadAll(): void {
  for (const document of documents.values()) if (document.users > 0) document.reload();
}

// Asks again for what a change of ours touched, without waiting for `changed`.
export function touch(...what: string[]): void {
  reloadChanged(what);
}

// A document of a room, asked for when the room opens and whenever `changed`
// names it. What was known before is shown at once.
//
//   path   below /api/v1/, with its query
//   what   the name of it in `changed`, null where it is never named
export function useDocument<T>(path: string, what: string | null): Resource<T> {
  const resource = held<T>(path, what);
  useEffect(() => {
    resource.users += 1;
    resource.reload();
    return () => {
      resource.users -= 1;
    };
  }, [resource]);
  return resource;
}

// When the last word about a document was said [ms of the device's clock]: a
// document that nobody called changed is as good as the feed is alive.
export function knownAt_ms(resource: Resource<unknown>): number {
  if (resource.fed || resource.problem.value !== null) return resource.at_ms.value;
  return Math.max(resource.at_ms.value, lastNow_ms.value);
}

export const runningJob: ReadonlySignal<Job | null> = computed(() => now.data.value?.job ?? null);

// ---- The room, kept in the address behind '#/'.

export const kRooms = ["now", "sky", "coordinate", "stream", "record", "logbook", "people"] as const;
export type RoomName = (typeof kRooms)[number] | "cautions";

export function roomOf(hash: string): RoomName {
  const name = hash.replace(/^#\/?/, "").split("?")[0] ?? "";
  if (name === "cautions") return name;
  return kRooms.find((room) => room === name) ?? "now";
}

const hash = signal(location.hash);
addEventListener("hashchange", () => (hash.value = location.hash));
export const room: ReadonlySignal<RoomName> = computed(() => roomOf(hash.value));
// What stands behind the '?' in the address of the room.
export const roomQuery: ReadonlySignal<URLSearchParams> = computed(
  () => new URLSearchParams(hash.value.split("?")[1] ?? ""),
);
