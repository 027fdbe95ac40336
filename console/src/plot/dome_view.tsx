// The sky over the antenna as a picture: a disc of equal areas, the tracks of the
// last hours fading, one mark a satellite. It is a list of options for the
// keyboard: left and right walk around the horizon, up and down by elevation.
import type { JSX } from "preact";
import { useRef } from "preact/hooks";
import type { Sky } from "../types.ts";
import { number } from "../ui/format.ts";
import {
  compareIds, placeLabels, ringRadius, skyPlace, stepAlong, systemLook, trackParts,
  type Point, type Step,
} from "./dome.ts";
import { usePlotId, useWidth } from "./hooks.ts";
import { ChosenMark, Mark } from "./marks.tsx";
import { systemOf, whereWords } from "./sky_words.ts";

const kMargin = 30; // [px] around the horizon, for the winds
const kRings = [15, 30, 60];
const kRingTurn = 315; // the azimuth at which the heights are written
const kTrackSpan_s = 3 * 3600;
const kTrackParts = 5;
const kSteps: Readonly<Record<string, Step>> = {
  ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down",
  Home: "first", End: "last",
};

export interface DomeProps {
  sky: Sky;
  summary: string;
  chosen: string | null;
  choose: (id: string | null) => void;
}

export function Dome(props: DomeProps): JSX.Element {
  const { sky, chosen } = props;
  const frame = useRef<HTMLDivElement>(null);
  const id = usePlotId("dome");
  const size = Math.min(600, useWidth(frame, 340));
  const radius = size / 2 - kMargin;
  const middle = size / 2;
  const place = (azimuth: number, elevation: number): Point => {
    const at = skyPlace(azimuth, elevation);
    return { x: middle + radius * at.x, y: middle + radius * at.y };
  };
  const markR = size < 420 ? 5.5 : 6.5;
  const shown = sky.satellites
    .filter((s) => s.azimuth_deg !== null && s.elevation_deg !== null)
    .sort((a, b) => compareIds(a.id, b.id));
  const marks = shown.map((s) => place(s.azimuth_deg ?? 0, s.elevation_deg ?? 0));
  const degrees = kRings.map((elevation) => {
    const at = place(kRingTurn, elevation);
    return { x: at.x - 11, y: at.y - 7, width: 22, height: 14 };
  });
  // On the smallest pages the shape alone tells the system.
  const short = size < 340;
  const labels = placeLabels(marks, markR, short ? 15 : size < 420 ? 23 : 26, 13, degrees);
  const name = (id: string) => (short ? id.slice(1) : id);
  const onKey = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Escape") {
      props.choose(null);
      return;
    }
    const step = kSteps[event.key];
    if (step === undefined) return;
    event.preventDefault();
    const walk = shown.map((s) => ({
      id: s.id, azimuthDeg: s.azimuth_deg, elevationDeg: s.elevation_deg,
    }));
    props.choose(stepAlong(walk, chosen, step));
  };
  const active = shown.some((s) => s.id === chosen) ? `${id}-${chosen ?? ""}` : undefined;
  return (
    <div class="dome" ref={frame}>
      <p class="unseen" id={`${id}-text`}>
        {props.summary} North is up, east at the right. Left and right walk around the horizon, up
        and down by elevation, Escape leaves.
      </p>
      <svg
        class="dome-picture"
        width={size}
        height={size}
        viewBox={`0 0 ${size} ${size}`}
        role="listbox"
        tabindex={0}
        aria-label="Satellites above the antenna"
        aria-describedby={`${id}-text`}
        aria-activedescendant={active}
        onKeyDown={onKey}
      >
        <g aria-hidden="true">
          <Ground id={id} middle={middle} radius={radius} place={place} />
          <Tracks sky={sky} place={place} chosen={chosen} />
        </g>
        {shown.map((satellite, i) => {
          const at = marks[i] ?? { x: 0, y: 0 };
          const mine = satellite.id === chosen;
          return (
            <g
              key={satellite.id}
              id={`${id}-${satellite.id}`}
              class="dome-satellite"
              role="option"
              aria-selected={mine ? "true" : "false"}
              aria-label={satelliteWords(satellite)}
              onClick={() => props.choose(mine ? null : satellite.id)}
            >
              <circle class="dome-touch" cx={at.x} cy={at.y} r="13" />
              <Mark system={systemOf(satellite.id)} seen={satellite.seen} size={markR} x={at.x} y={at.y} />
            </g>
          );
        })}
        <g class="dome-labels" aria-hidden="true">
          {shown.map((s, i) => (
            <text
              key={s.id}
              class={s.id === chosen ? "dome-label strong" : "dome-label"}
              x={labels[i]?.x ?? 0}
              y={labels[i]?.y ?? 0}
            >
              {name(s.id)}
            </text>
          ))}
        </g>
        {shown.map((s, i) => {
          const at = marks[i];
          return s.id !== chosen || at === undefined ? null : (
            <ChosenMark key={s.id} system={systemOf(s.id)} seen={s.seen} size={markR} x={at.x} y={at.y} />
          );
        })}
      </svg>
    </div>
  );
}

function satelliteWords(satellite: Sky["satellites"][number]): string {
  const look = systemLook(systemOf(satellite.id));
  const seen = satellite.seen ? "received" : "not received";
  return `${satellite.id}, ${look.name}, ${seen}, ${whereWords(satellite)}, elevation ${number(satellite.elevation_deg)} degrees`;
}

function Ground(props: {
  id: string;
  middle: number;
  radius: number;
  place: (azimuth: number, elevation: number) => Point;
}): JSX.Element {
  const { id, middle, radius, place } = props;
  const winds: [string, number][] = [
    ["N", 0], ["E", 90], ["S", 180], ["W", 270],
  ];
  const rim = (azimuth: number, out: number): Point => {
    const turn = (azimuth * Math.PI) / 180;
    return { x: middle + (radius + out) * Math.sin(turn), y: middle - (radius + out) * Math.cos(turn) };
  };
  let marks = "";
  for (let azimuth = 0; azimuth < 360; azimuth += 15) {
    const a = rim(azimuth, 1);
    const b = rim(azimuth, azimuth % 45 === 0 ? 8 : 4);
    marks += `M${a.x.toFixed(1)} ${a.y.toFixed(1)}L${b.x.toFixed(1)} ${b.y.toFixed(1)}`;
  }
  return (
    <>
      <defs>
        <radialGradient id={`${id}-air`}>
          <stop class="dome-high" offset="0" />
          <stop class="dome-low" offset="1" />
        </radialGradient>
      </defs>
      <circle cx={middle} cy={middle} r={radius} fill={`url(#${id}-air)`} />
      {kRings.map((elevation) => {
        const at = place(kRingTurn, elevation);
        return (
          <g key={elevation}>
            <circle class="dome-height" cx={middle} cy={middle} r={radius * ringRadius(elevation)} />
            <text class="dome-degrees" x={at.x} y={at.y}>
              {elevation}°
            </text>
          </g>
        );
      })}
      <path class="dome-zenith" d={`M${middle - 4} ${middle}h8M${middle} ${middle - 4}v8`} />
      <circle class="dome-horizon" cx={middle} cy={middle} r={radius} />
      <path class="dome-rim" d={marks} />
      {winds.map(([letter, azimuth]) => {
        const at = rim(azimuth, 18);
        return (
          <text class="dome-wind" key={letter} x={at.x} y={at.y}>
            {letter}
          </text>
        );
      })}
    </>
  );
}

function Tracks(props: {
  sky: Sky;
  place: (azimuth: number, elevation: number) => Point;
  chosen: string | null;
}): JSX.Element {
  const now_s = Date.parse(props.sky.now) / 1000;
  return (
    <>
      {props.sky.tracks.map((track) => {
        const places = track.unix_s.map((_, i) => {
          const azimuth = track.azimuth_deg[i] ?? null;
          const elevation = track.elevation_deg[i] ?? null;
          return azimuth === null || elevation === null || elevation < 0
            ? null
            : props.place(azimuth, elevation);
        });
        const parts = trackParts(track.unix_s, places, now_s, kTrackSpan_s, kTrackParts);
        const mine = track.id === props.chosen ? " mine" : "";
        return (
          <g key={track.id}>
            {parts.map((part) => (
              <path key={part.age} class={`dome-track age-${part.age}${mine}`} d={part.path} />
            ))}
          </g>
        );
      })}
    </>
  );
}
