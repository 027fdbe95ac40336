// Candidates in the horizontal plane, as ellipses of two sigma on millimetre
// paper, and their heights on a scale beside. The adopted coordinate is where the
// two thick lines of the paper cross.
import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import { awayWords, chooseWindow, kSigmas, rimLabels, type Spread } from "./ellipse.ts";
import { usePlotId, useWidth } from "./hooks.ts";
import { signed, ticks } from "./scale.ts";

export interface PlaneProps {
  spreads: readonly Spread[];
  adopted: number | null; // the record in the middle, null before the first
  summary: string;
  chosen: number | null;
  choose: (id: number | null) => void;
}

const kTop = 10;
const kBottom = 38;
const kLeft = 42;
const kColumn = 26; // of a candidate on the height scale [px]
const kGap = 46; // between the plane and the heights, for the scale's figures

export function Plane(props: PlaneProps): JSX.Element {
  const { chosen } = props;
  const frame = useRef<HTMLDivElement>(null);
  const id = usePlotId("plane");
  const width = useWidth(frame, 340);
  const [all, showAll] = useState(false);
  const window = chooseWindow(props.spreads, all ? Infinity : undefined);
  const narrowed = chooseWindow(props.spreads).outside.length > 0;
  const inside = [...window.inside].sort((a, b) => a.id - b.id);
  const heights = Math.max(2, inside.length) * kColumn + 8;
  // Side by side where there is room, else the heights below.
  const beside = width >= 430 + heights;
  const side = Math.max(200, Math.min(420, width - kLeft - 12 - (beside ? kGap + heights : 0)));
  const height = kTop + side + kBottom;
  const across = kLeft + side + 12;
  const upTall = beside ? side : 190;
  const x = (e: number) => kLeft + side / 2 + (e / window.half) * (side / 2);
  const y = (n: number) => kTop + side / 2 - (n / window.half) * (side / 2);
  const lines = ticks(-window.half, window.half, side < 260 ? 4 : 8);
  const scale = side / 2 / window.half;
  const onKey = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey || inside.length === 0) return;
    const at = inside.findIndex((s) => s.id === chosen);
    const pick = (row: number) => {
      event.preventDefault();
      props.choose(inside[(row + inside.length) % inside.length]?.id ?? null);
    };
    if (event.key === "ArrowRight" || event.key === "ArrowDown") pick(at + 1);
    else if (event.key === "ArrowLeft" || event.key === "ArrowUp") pick(at < 0 ? inside.length - 1 : at - 1);
    else if (event.key === "Home") pick(0);
    else if (event.key === "End") pick(inside.length - 1);
    else if (event.key === "Escape") props.choose(null);
  };
  const active = inside.some((s) => s.id === chosen) ? `${id}-${chosen ?? ""}` : undefined;
  const words = (s: Spread) =>
    `Record ${s.id}${s.id === props.adopted ? ", adopted" : ""}: ${signed(s.e)} mm east, ${signed(s.n)} mm north, ${signed(s.u)} mm up`;
  const ring = (s: Spread) => (s.id === props.adopted ? " adopted" : s.id === chosen ? " mine" : "");
  const rims = inside.map((s) => ({
    x: x(s.e),
    y: y(s.n),
    rx: s.sigmaE * kSigmas * scale,
    ry: s.sigmaN * kSigmas * scale,
  }));
  const labels = rimLabels(rims, 18, 13);
  return (
    <div class={beside ? "plane beside" : "plane"} ref={frame}>
      <p class="unseen" id={`${id}-text`}>
        {props.summary} Arrow keys walk through the candidates, Escape leaves.
      </p>
      <svg
        class="plane-picture"
        width={across}
        height={height}
        viewBox={`0 0 ${across} ${height}`}
        role="listbox"
        tabindex={0}
        aria-label="Candidates in the horizontal plane"
        aria-describedby={`${id}-text`}
        aria-activedescendant={active}
        onKeyDown={onKey}
      >
        <g aria-hidden="true">
          <clipPath id={`${id}-clip`}>
            <rect x={kLeft} y={kTop} width={side} height={side} />
          </clipPath>
          <rect class="plane-paper" x={kLeft} y={kTop} width={side} height={side} />
          {lines.map((mm) => (
            <g key={mm}>
              <path class={mm === 0 ? "plane-zero" : "plot-grid"} d={`M${x(mm)} ${kTop}v${side}`} />
              <path class={mm === 0 ? "plane-zero" : "plot-grid"} d={`M${kLeft} ${y(mm)}h${side}`} />
              <text class="plot-tick" x={x(mm)} y={kTop + side + 13}>
                {mm}
              </text>
              <text class="plot-tick end" x={kLeft - 6} y={y(mm)}>
                {mm}
              </text>
            </g>
          ))}
          <text class="plot-title" x={kLeft + side / 2} y={height - 8}>
            east [mm]
          </text>
          <text class="plot-title" transform={`translate(10 ${kTop + side / 2}) rotate(-90)`}>
            north [mm]
          </text>
        </g>
        {inside.map((s) => (
          <g
            key={s.id}
            id={`${id}-${s.id}`}
            class={`plane-candidate${ring(s)}`}
            role="option"
            aria-selected={s.id === chosen ? "true" : "false"}
            aria-label={words(s)}
            clip-path={`url(#${id}-clip)`}
            onClick={() => props.choose(s.id === chosen ? null : s.id)}
          >
            <ellipse
              class="plane-ellipse"
              cx={x(s.e)}
              cy={y(s.n)}
              rx={Math.max(2, s.sigmaE * kSigmas * scale)}
              ry={Math.max(2, s.sigmaN * kSigmas * scale)}
            />
            <circle class="plane-centre" cx={x(s.e)} cy={y(s.n)} r="2.5" />
            <circle class="dome-touch" cx={x(s.e)} cy={y(s.n)} r="12" />
          </g>
        ))}
        <g aria-hidden="true">
          {inside.map((s, i) => (
            <text
              key={s.id}
              class={`dome-label${s.id === chosen || s.id === props.adopted ? " strong" : ""}`}
              x={Math.min(kLeft + side - 12, Math.max(kLeft + 12, labels[i]?.x ?? 0))}
              y={Math.min(kTop + side - 8, Math.max(kTop + 8, labels[i]?.y ?? 0))}
            >
              {s.id}
            </text>
          ))}
        </g>
      </svg>
      <Heights
        inside={inside}
        half={window.halfUp}
        tall={upTall}
        columns={heights}
        ring={ring}
        choose={(s) => props.choose(s === chosen ? null : s)}
      />
      {narrowed ? (
        <div class="plane-outside">
          <p class="small-print">
            {all
              ? "All candidates are in the picture."
              : `Too far out or too uncertain for this picture: ${window.outside.map((s) => `record ${s.id} (${awayWords(s)})`).join("; ")}.`}
          </p>
          <button type="button" class="button small" onClick={() => showAll(!all)}>
            {all ? "Show the close ones larger" : "Show them all"}
          </button>
        </div>
      ) : null}
    </div>
  );
}

// Heights as upright lines of two sigma; the keyboard has them with the plane.
function Heights(props: {
  inside: readonly Spread[];
  half: number;
  tall: number;
  columns: number;
  ring: (s: Spread) => string;
  choose: (id: number) => void;
}): JSX.Element {
  const { inside, half, tall } = props;
  const left = kGap;
  const y = (u: number) => kTop + tall / 2 - (u / half) * (tall / 2);
  const x = (row: number) => left + 8 + kColumn * (row + 0.5);
  const width = left + props.columns + 6;
  const height = kTop + tall + kBottom;
  const edge = (u: number) => Math.min(kTop + tall, Math.max(kTop, y(u)));
  return (
    <svg class="plane-heights" width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      <rect class="plane-paper" x={left} y={kTop} width={props.columns} height={tall} />
      {ticks(-half, half, tall < 260 ? 4 : 8).map((mm) => (
        <g key={mm}>
          <path class={mm === 0 ? "plane-zero" : "plot-grid"} d={`M${left} ${y(mm)}h${props.columns}`} />
          <text class="plot-tick end" x={left - 6} y={y(mm)}>
            {mm}
          </text>
        </g>
      ))}
      {inside.map((s, row) => (
        <g key={s.id} class={`plane-candidate${props.ring(s)}`} onClick={() => props.choose(s.id)}>
          <path
            class="plane-height"
            d={`M${x(row)} ${edge(s.u - kSigmas * s.sigmaU)}V${edge(s.u + kSigmas * s.sigmaU)}`}
          />
          <path class="plane-height-mid" d={`M${x(row) - 7} ${y(s.u)}h14`} />
          <rect class="dome-touch" x={x(row) - 12} y={kTop} width="24" height={tall} />
          <text class="plot-tick" x={x(row)} y={kTop + tall + 13}>
            {s.id}
          </text>
        </g>
      ))}
      <text class="plot-title" x={left + props.columns / 2} y={height - 8}>
        record
      </text>
      <text class="plot-title" transform={`translate(10 ${kTop + tall / 2}) rotate(-90)`}>
        up [mm]
      </text>
    </svg>
  );
}
