// Requests to the station. Every answer is a value or a Problem; nothing throws.
// The session's token goes with every change; a 401 is told to whoever listens
// (state.ts), which shows the sign-in and keeps the room.
import type { Problem } from "./types.ts";

export type Answer<T> = { ok: true; value: T } | { ok: false; problem: Problem };

export const kRoot = "/api/v1/";
const kTimeLimit_ms = 20000;

let token: string | null = null;
let onSessionEnded: (problem: Problem) => void = () => undefined;

export function useToken(value: string | null): void {
  token = value;
}

export function whenSessionEnds(listener: (problem: Problem) => void): void {
  onSessionEnded = listener;
}

// The token is not the session's any more: another tab signed in anew.
let onTokenOld: () => void = () => undefined;
export function whenTokenIsOld(listener: () => void): void {
  onTokenOld = listener;
}

// A Problem of our own, for what never reached the station or came back torn.
export function localProblem(code: string, detail: string, remedy: string): Problem {
  return { status: 0, code, title: "", detail, remedy, field: null, retry_after_s: null };
}

const text = (value: unknown): string | null => (typeof value === "string" ? value : null);
const count = (value: unknown): number | null => (typeof value === "number" ? value : null);

// Makes a Problem of whatever body came with a status that is no success.
export function problemOf(status: number, body: unknown): Problem {
  const given = typeof body === "object" && body !== null ? (body as Record<string, unknown>) : {};
  return {
    status,
    code: text(given.code) ?? `http_${status}`,
    title: text(given.title) ?? "",
    detail: text(given.detail) ?? `The station answered with status ${status}.`,
    remedy: text(given.remedy),
    field: text(given.field),
    retry_after_s: count(given.retry_after_s),
  };
}

async function ask<T>(method: string, path: string, body?: unknown): Promise<Answer<T>> {
  const headers: Record<string, string> = { Accept: "application/json" };
  if (body !== undefined) headers["Content-Type"] = "application/json";
  if (method !== "GET" && token !== null) headers["X-Stillpoint-Token"] = token;
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), kTimeLimit_ms);
  try {
    const answer = await fetch(kRoot + path, {
      method,
      headers,
      credentials: "same-origin",
      cache: "no-store",
      signal: stop.signal,
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const words = await answer.text();
    let value: unknown = null;
    try {
      value = words === "" ? null : JSON.parse(words);
    } catch {
      if (answer.ok) {
        return {
          ok: false,
          problem: localProblem("torn", "The answer was cut off.", "Try again."),
        };
      }
    }
    if (answer.ok) return { ok: true, value: value as T };
    const problem = problemOf(answer.status, value);
    if (problem.status === 401 && problem.code === "no_session") onSessionEnded(problem);
    if (problem.code === "wrong_token") onTokenOld();
    return { ok: false, problem };
  } catch {
    return {
      ok: false,
      problem: localProblem(
        "no_answer",
        "The station does not answer.",
        "Check that this device and the station are on the same network, and that the station has power.",
      ),
    };
  } finally {
    clearTimeout(timer);
  }
}

export const get = <T>(path: string): Promise<Answer<T>> => ask("GET", path);
export const post = <T>(path: string, body: unknown): Promise<Answer<T>> =>
  ask("POST", path, body);
export const put = <T>(path: string, body: unknown): Promise<Answer<T>> => ask("PUT", path, body);
export const patch = <T>(path: string, body: unknown): Promise<Answer<T>> =>
  ask("PATCH", path, body);
export const remove = <T>(path: string): Promise<Answer<T>> => ask("DELETE", path);
