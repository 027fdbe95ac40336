// A chart's panes, drawn by uPlot, which is fetched when the first chart is.
import type uPlot from "uplot";
import type { Column } from "./columns.ts";
import { logTicks, ticks, timeLabel, timeTicks } from "./scale.ts";

// Three looks that differ in dashes and in colour.
export type LineLook = "a" | "b" | "c";

export interface Line {
  readonly label: string;
  readonly values: Column;
  // Drawn as a band behind the line: the lowest and highest around each value.
  readonly low?: Column;
  readonly high?: Column;
  readonly look: LineLook;
  // The value for people, with its unit.
  words(value: number, row: number): string;
}

export interface Pane {
  readonly title: string; // what the axis shows, with its unit
  readonly lines: readonly Line[];
  readonly range: readonly [number, number];
  readonly logarithmic?: boolean;
  readonly height: number; // of the pane [px]
  readonly dots?: boolean;
}

// What the panes have in common.
export interface Drawing {
  readonly x: readonly number[]; // ascending
  readonly time: boolean; // x is seconds since 1970
  readonly xTitle: string;
  readonly panes: readonly Pane[];
}

export type Library = typeof uPlot;
let library: Library | null = null;

// The library, if it is here already.
export const drawingLibrary = (): Library | null => library;

let asked: Promise<Library> | null = null;

// Fetches it; a failure is forgotten, so that the next call tries again.
export function fetchLibrary(): Promise<Library> {
  asked ??= import("uplot").then(
    (module) => (library = module.default),
    (reason: unknown) => {
      asked = null;
      throw reason;
    },
  );
  return asked;
}

const kAir = 0.04; // above and below a plain axis, of its length
const kDashes: Readonly<Record<LineLook, number[]>> = { a: [], b: [8, 4], c: [2, 4] };

function colour(host: Element, name: string): string {
  return getComputedStyle(host).getPropertyValue(name).trim() || "#777";
}

// An edge of a band: not drawn itself, without a point at the cursor.
const kEdge: uPlot.Series = { width: 0, points: { show: false } };

// The bands' series stand behind those of the lines, the upper edge first.
function bandsOf(pane: Pane, fillOf: (look: LineLook) => string): uPlot.Band[] {
  const out: uPlot.Band[] = [];
  let at = pane.lines.length + 1;
  for (const line of pane.lines) {
    if (line.low === undefined || line.high === undefined) continue;
    out.push({ series: [at, at + 1], fill: fillOf(line.look) });
    at += 2;
  }
  return out;
}

export interface Made {
  readonly plots: uPlot[];
  destroy(): void;
}

// Draws the panes into the last child of each of host's children. `hovered` is
// called with the row under the cursor, null where there is none.
export function draw(
  Plot: Library,
  host: HTMLElement,
  props: Drawing,
  width: number,
  hovered: (row: number | null) => void,
): Made {
  const ink = colour(host, "--plot-axis");
  const grid = colour(host, "--plot-grid");
  const font = "12px system-ui, sans-serif";
  const narrow = width < 480;
  const plots = props.panes.map((pane, index) => {
    const last = index === props.panes.length - 1;
    const [low, high] = pane.range;
    const options: uPlot.Options = {
      width,
      height: pane.height + (last ? 42 : 8),
      padding: [6, 14, 0, 0],
      legend: { show: false },
      tzDate: (s) => Plot.tzDate(new Date(s * 1000), "Etc/UTC"),
      cursor: {
        y: false,
        drag: { x: false, y: false, setScale: false },
        points: {
          size: (_u, series) => (series <= pane.lines.length ? 9 : 0),
          width: 0,
          fill: () => colour(host, "--ink"),
        },
      },
      scales: {
        x: { time: props.time },
        y: pane.logarithmic
          ? { distr: 3, range: [low, high] }
          : { range: [low - kAir * (high - low), high + kAir * (high - low)] },
      },
      axes: [
        {
          stroke: ink,
          font,
          size: last ? 42 : 8,
          grid: { stroke: grid, width: 1 },
          ticks: { stroke: grid, width: 1, size: 4 },
          splits: (_u, _axis, from, to) => {
            const most = Math.max(2, Math.floor((width - 60) / (narrow ? 62 : 84)));
            return props.time ? timeTicks(from, to, most) : ticks(from, to, most);
          },
          values: (_u, splits) =>
            last ? splits.map((v) => (props.time ? timeLabel(v) : String(v))) : splits.map(() => ""),
          ...(last ? { label: props.xTitle, labelFont: font, labelSize: 18, size: 24 } : {}),
        },
        {
          stroke: ink,
          font,
          size: 44,
          grid: { stroke: grid, width: 1 },
          ticks: { show: false },
          splits: () =>
            pane.logarithmic
              ? logTicks(low, high, 12)
              : ticks(low, high, Math.max(3, Math.floor(pane.height / 34))),
          filter: (_u, splits) => splits,
          values: (_u, splits) => splits.map((v) => String(v)),
        },
      ],
      series: [
        {},
        ...pane.lines.map((line) => {
          const stroke = colour(host, `--plot-${line.look}`);
          const series: uPlot.Series = {
            label: line.label,
            stroke,
            width: 2,
            // Dashes tell lines of one pane apart; a single one is drawn whole.
            dash: pane.lines.length > 1 ? kDashes[line.look] : [],
            spanGaps: false,
            points: pane.dots ? { show: true, size: 5, fill: stroke, stroke } : { show: false },
          };
          return series;
        }),
        ...pane.lines.flatMap((line) =>
          line.low === undefined || line.high === undefined ? [] : [kEdge, kEdge],
        ),
      ],
      bands: bandsOf(pane, (look) => colour(host, `--plot-${look}-band`)),
      hooks: {
        setCursor: [(u) => hovered((u.cursor.left ?? -1) < 0 ? null : (u.cursor.idx ?? null))],
      },
    };
    const edges = pane.lines.flatMap((line) =>
      line.low === undefined || line.high === undefined ? [] : [[...line.high], [...line.low]],
    );
    const data = [[...props.x], ...pane.lines.map((line) => [...line.values]), ...edges];
    const place = host.children[index]?.lastElementChild;
    return new Plot(options, data as uPlot.AlignedData, place instanceof HTMLElement ? place : host);
  });
  return { plots, destroy: () => plots.forEach((plot) => plot.destroy()) };
}

