// A room whose script is fetched when somebody first goes there.
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";

type RoomView = () => JSX.Element;

// fetch: brings the script before the room is shown, where one knows that it will be.
export type LazyRoomView = RoomView & { fetch: () => void };

export function lazyRoom(load: () => Promise<RoomView>): LazyRoomView {
  let known: RoomView | null = null;
  let asked: Promise<void> | null = null;
  const get = (): Promise<void> => {
    asked ??= load().then(
      (view) => {
        known = view;
      },
      (error: unknown) => {
        asked = null;
        throw error;
      },
    );
    return asked;
  };
  // Where it fails, the room says so when it is shown.
  const fetch = (): void => void get().catch(() => undefined);
  function LazyRoom(): JSX.Element {
    const [failed, fail] = useState(false);
    const [, redraw] = useState(0);
    const wasKnown = known !== null;
    useEffect(() => {
      if (wasKnown) return undefined;
      let here = true;
      get().then(
        () => {
          if (here) redraw((n) => n + 1);
        },
        () => {
          if (here) fail(true);
        },
      );
      return () => {
        here = false;
      };
    }, []);
    if (known !== null) {
      const Known = known;
      return <Known />;
    }
    if (!failed) return <p class="small-print">Fetching this room…</p>;
    return (
      <div class="failed">
        <p>
          <strong>This room could not be fetched.</strong> The station does not answer, or it was
          upgraded since this page was opened.
        </p>
        <button type="button" class="button" onClick={() => location.reload()}>
          Load the page again
        </button>
      </div>
    );
  }
  return Object.assign(LazyRoom, { fetch });
}
