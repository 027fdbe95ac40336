// Signal strength against elevation: one mark a satellite, the mean of each five
// degrees as a short line. Low satellites are weaker by nature; one that lies
// far below the line is what to look at.
import type { JSX } from "preact";
import { useRef } from "preact/hooks";
import type { Sky } from "../types.ts";
import { stepAlong, systemLook, type Step } from "./dome.ts";
import { usePlotId, useWidth } from "./hooks.ts";
import { ChosenMark, Mark } from "./marks.tsx";
import { plainRange, ticks } from "./scale.ts";
import { strongest, systemOf } from "./sky_words.ts";

const kLeft = 38;
const kRight = 14;
const kTop = 12;
const kBottom = 40;
// Here all four arrows walk along the axis.
const kSteps: Readonly<Record<string, Step>> = {
  ArrowLeft: "down", ArrowDown: "down", ArrowRight: "up", ArrowUp: "up",
  Home: "first", End: "last",
};

export function LevelPlot(props: {
  sky: Sky;
  summary: string;
  chosen: string | null;
  choose: (id: string | null) => void;
}): JSX.Element {
  const { sky, chosen } = props;
  const frame = useRef<HTMLDivElement>(null);
  const id = usePlotId("level");
  const width = useWidth(frame, 340);
  const height = width < 480 ? 250 : 290;
  const points = sky.satellites
    .flatMap((s) => {
      const level = strongest(s);
      return s.seen && level !== null && s.elevation_deg !== null
        ? [{ id: s.id, elevation: s.elevation_deg, azimuth: s.azimuth_deg, level }]
        : [];
    })
    .sort((a, b) => a.elevation - b.elevation);
  const levels = points.map((p) => p.level);
  const [low, high] = plainRange([...levels.map((l) => l - 1), ...levels.map((l) => l + 1)]);
  const x = (elevation: number) => kLeft + (elevation / 90) * (width - kLeft - kRight);
  const y = (level: number) => kTop + ((high - level) / (high - low)) * (height - kTop - kBottom);
  const onKey = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Escape") props.choose(null);
    const step = kSteps[event.key];
    if (step === undefined) return;
    event.preventDefault();
    const walk = points.map((p) => ({ id: p.id, azimuthDeg: p.azimuth, elevationDeg: p.elevation }));
    props.choose(stepAlong(walk, chosen, step));
  };
  const active = points.some((p) => p.id === chosen) ? `${id}-${chosen ?? ""}` : undefined;
  return (
    <div class="level" ref={frame}>
      <p class="unseen" id={`${id}-text`}>
        {props.summary} Arrow keys walk from low to high satellites, Escape leaves.
      </p>
      <svg
        class="level-picture"
        width={width}
        height={height}
        viewBox={`0 0 ${width} ${height}`}
        role="listbox"
        tabindex={0}
        aria-label="Signal strength of the received satellites by elevation"
        aria-describedby={`${id}-text`}
        aria-activedescendant={active}
        onKeyDown={onKey}
      >
        <g aria-hidden="true">
          {ticks(low, high, 5).map((level) => (
            <g key={level}>
              <path class="plot-grid" d={`M${kLeft} ${y(level)}H${width - kRight}`} />
              <text class="plot-tick end" x={kLeft - 6} y={y(level)}>
                {level}
              </text>
            </g>
          ))}
          {[0, 15, 30, 45, 60, 75, 90].map((elevation) => (
            <g key={elevation}>
              <path class="plot-grid" d={`M${x(elevation)} ${kTop}V${height - kBottom}`} />
              <text class="plot-tick" x={x(elevation)} y={height - kBottom + 13}>
                {elevation}°
              </text>
            </g>
          ))}
          <text class="plot-title" x={kLeft + (width - kLeft - kRight) / 2} y={height - 8}>
            elevation
          </text>
          {sky.cn0.bins_deg.map((from, i) => {
            const mean = sky.cn0.mean_dbhz[i] ?? null;
            const to = sky.cn0.bins_deg[i + 1] ?? Math.min(90, from + 5);
            return mean === null ? null : (
              <path key={from} class="level-mean" d={`M${x(from)} ${y(mean)}H${x(to)}`} />
            );
          })}
        </g>
        {points.map((p) => {
          const mine = p.id === chosen;
          const words = `${p.id}, ${systemLook(systemOf(p.id)).name}, elevation ${p.elevation.toFixed(0)} degrees, ${p.level.toFixed(1)} dB-Hz`;
          return (
            <g
              key={p.id}
              id={`${id}-${p.id}`}
              class="level-satellite"
              role="option"
              aria-selected={mine ? "true" : "false"}
              aria-label={words}
              onClick={() => props.choose(mine ? null : p.id)}
            >
              <circle class="dome-touch" cx={x(p.elevation)} cy={y(p.level)} r="12" />
              <Mark system={systemOf(p.id)} seen size={4.5} x={x(p.elevation)} y={y(p.level)} />
            </g>
          );
        })}
        {points.map((p) => {
          if (p.id !== chosen) return null;
          const left = p.elevation > 80;
          return (
            <g key={p.id} aria-hidden="true">
              <ChosenMark system={systemOf(p.id)} seen size={4.5} x={x(p.elevation)} y={y(p.level)} />
              <text
                class={`dome-label strong${left ? " end" : " start"}`}
                x={x(p.elevation) + (left ? -14 : 14)}
                y={y(p.level)}
              >
                {p.id}
              </text>
            </g>
          );
        })}
      </svg>
    </div>
  );
}
