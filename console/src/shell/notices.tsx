// What is said above every room: the station has fallen silent; the program was
// upgraded under this page.
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { feed, newBundle, now, reconnecting, retryFeed, silence_ms } from "../state.ts";
import { announce } from "../ui/announce.tsx";
import { span, utcClock } from "../ui/format.ts";

export function FeedNotice(): JSX.Element | null {
  const state = feed.value;
  const was = useRef(state);
  useEffect(() => {
    if (state === "frozen" && was.current !== "frozen") announce("No news from the station.");
    if (state === "live" && was.current === "frozen") announce("The station is heard again.");
    was.current = state;
  }, [state]);
  if (state !== "frozen") return null;
  const silence = silence_ms.value;
  const last = now.data.value?.now;
  return (
    <div class="notice">
      <p>
        <strong>
          {silence === null || last === undefined
            ? "No news from the station since this page was opened."
            : `No news since ${utcClock(Date.parse(last), true)}, ${span(silence / 1000)} ago.`}
        </strong>{" "}
        {last === undefined ? "" : "What stands here is old. "}
        {reconnecting.value ? "The page keeps trying to reach it." : "The connection is open, but nothing comes."}
      </p>
      <button type="button" class="button" onClick={retryFeed}>
        Try now
      </button>
    </div>
  );
}

export function UpgradeNotice(): JSX.Element | null {
  if (newBundle.value === null) return null;
  return (
    <div class="notice">
      <p>
        <strong>The station runs a newer program than this page.</strong> Load the page again; you stay
        signed in and in this room.
      </p>
      <button type="button" class="button strong" onClick={() => location.reload()}>
        Load it again
      </button>
    </div>
  );
}
