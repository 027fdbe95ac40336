// The house around the rooms: head, ways to the rooms, the room, foot.
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { Cautions } from "../rooms/cautions.tsx";
import { NowRoom } from "../rooms/now.tsx";
import { kRooms, now, room, type RoomName } from "../state.ts";
import type { Door } from "../types.ts";
import { kStateIcons, kStateWords } from "../ui/glyph.tsx";
import { Foot } from "./foot.tsx";
import { Head } from "./head.tsx";
import { lazyRoom, type LazyRoomView } from "./lazy.tsx";
import { FeedNotice, UpgradeNotice } from "./notices.tsx";
import { Ways } from "./ways.tsx";

const kRoomOf: Record<RoomName, (() => JSX.Element) | LazyRoomView> = {
  now: NowRoom,
  cautions: Cautions,
  sky: lazyRoom(async () => (await import("../rooms/sky.tsx")).SkyRoom),
  coordinate: lazyRoom(async () => (await import("../rooms/coordinate.tsx")).CoordinateRoom),
  stream: lazyRoom(async () => (await import("../rooms/stream.tsx")).StreamRoom),
  record: lazyRoom(async () => (await import("../rooms/record.tsx")).RecordRoom),
  logbook: lazyRoom(async () => (await import("../rooms/logbook.tsx")).LogbookRoom),
  people: lazyRoom(async () => (await import("../rooms/people.tsx")).PeopleRoom),
};

// The script of a room that will be shown, while the station is still asked who is here.
export function fetchRoom(name: RoomName): void {
  const Room = kRoomOf[name];
  if ("fetch" in Room) Room.fetch();
}

export const kRoomNames: Record<RoomName, string> = {
  now: "Now",
  sky: "Sky",
  coordinate: "Coordinate",
  stream: "Stream",
  record: "Record",
  logbook: "Logbook",
  people: "People",
  cautions: "Cautions",
};

// The tab's title and icon follow the station's state.
function useTitle(station: string, name: RoomName): void {
  const state = now.data.value?.trust.state ?? null;
  useEffect(() => {
    const word = state === null ? "" : `${kStateWords[state]} – `;
    document.title = `${word}${station} – ${kRoomNames[name]}`;
    const link = document.querySelector<HTMLLinkElement>('link[rel="icon"]');
    if (link !== null && state !== null) link.href = kStateIcons[state];
  }, [station, name, state]);
}

export function House(props: { door: Door }): JSX.Element {
  const name = room.value;
  const main = useRef<HTMLElement>(null);
  const before = useRef(name);
  useTitle(props.door.station, name);
  useEffect(() => {
    if (before.current === name) return;
    before.current = name;
    scrollTo(0, 0);
    main.current?.focus({ preventScroll: true });
  }, [name]);
  const Room = kRoomOf[name];
  return (
    <div class="house">
      <a
        class="skip"
        href="#room"
        onClick={(event) => {
          event.preventDefault();
          main.current?.focus();
        }}
      >
        To the room
      </a>
      <Head door={props.door} full={name === "now"} />
      <Ways rooms={kRooms} names={kRoomNames} at={name} />
      <main id="room" tabIndex={-1} ref={main} class={`room room-${name}`}>
        <FeedNotice />
        <UpgradeNotice />
        <h1>{kRoomNames[name]}</h1>
        <Room key={name} />
      </main>
      <Foot door={props.door} />
    </div>
  );
}
