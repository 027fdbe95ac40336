// Lines over a common axis, in one pane or several below each other. The chart is
// one slider for the keyboard and for readers of the screen: its value is a row of
// the columns, said in words. The legend below shows the same row in figures.
import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { stepRow } from "./columns.ts";
import { draw, drawingLibrary, fetchLibrary, type Drawing, type LineLook, type Made } from "./draw.ts";
import { useLook, usePlotId, useWidth } from "./hooks.ts";

export interface ChartProps extends Drawing {
  readonly label: string; // names the slider
  readonly xWords: (x: number) => string;
  readonly row: number | null; // the cursor
  readonly onRow: (row: number | null) => void;
}

export function Chart(props: ChartProps): JSX.Element {
  const frame = useRef<HTMLDivElement>(null);
  const host = useRef<HTMLDivElement>(null);
  const made = useRef<Made | null>(null);
  const quiet = useRef(false); // while we set the cursor ourselves
  const width = useWidth(frame, 320);
  const look = useLook();
  const [ready, setReady] = useState(drawingLibrary() !== null);
  const [failed, setFailed] = useState(false);

  const ask = () => {
    setFailed(false);
    fetchLibrary().then(
      () => setReady(true),
      () => setFailed(true),
    );
  };
  useEffect(() => {
    if (!ready) ask();
  }, [ready]);

  const setCursors = () => {
    const x = props.row === null ? undefined : props.x[props.row];
    quiet.current = true;
    for (const plot of made.current?.plots ?? []) {
      const left = x === undefined ? -10 : plot.valToPos(x, "x");
      plot.setCursor({ left, top: x === undefined ? -10 : 1 }, false);
    }
    quiet.current = false;
  };

  useEffect(() => {
    const element = host.current;
    const library = drawingLibrary();
    if (!ready || library === null || element === null) return undefined;
    const drawn = draw(library, element, props, width, (row) => {
      if (!quiet.current && row !== null) props.onRow(row);
    });
    made.current = drawn;
    setCursors();
    return () => {
      made.current = null;
      drawn.destroy();
    };
  }, [ready, width, look, props.x, props.panes]);

  useEffect(setCursors, [props.row]);

  const shown = props.row ?? props.x.length - 1;
  const x = props.x[shown];
  const readings = props.panes.flatMap((pane) =>
    pane.lines.map((line) => {
      const value = line.values[shown] ?? null;
      const alone = pane.lines.length === 1;
      return { line, alone, words: value === null ? "not known" : line.words(value, shown) };
    }),
  );
  const place = x === undefined ? "" : props.xWords(x);
  const spoken = `${place}: ${readings.map((r) => `${r.line.label} ${r.words}`).join(", ")}`;
  const onKey = (event: KeyboardEvent) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Escape" && props.row !== null) {
      props.onRow(null);
      return;
    }
    const row = stepRow(props.x.length, props.row, event.key);
    if (row === null) return;
    event.preventDefault();
    props.onRow(row);
  };

  const describe = usePlotId("chart");
  return (
    <div class="chart" ref={frame}>
      <div
        class="chart-field"
        role="slider"
        tabIndex={0}
        aria-label={props.label}
        aria-valuemin={0}
        aria-valuemax={Math.max(0, props.x.length - 1)}
        aria-valuenow={Math.max(0, shown)}
        aria-valuetext={spoken}
        aria-describedby={describe}
        ref={host}
        onKeyDown={onKey}
      >
        {props.panes.map((pane, index) => (
          <div class="chart-pane" key={pane.title}>
            <p class="chart-title">{pane.title}</p>
            <div
              class="chart-host"
              style={{ minHeight: `${pane.height + (index + 1 === props.panes.length ? 42 : 8)}px` }}
            />
          </div>
        ))}
      </div>
      {failed ? (
        <p class="chart-note">
          The drawing part of this page did not arrive.{" "}
          <button type="button" class="button small" onClick={ask}>
            Draw it again
          </button>
        </p>
      ) : ready ? null : (
        <p class="chart-note">The drawing is being fetched …</p>
      )}
      <p class="unseen" id={describe}>
        Arrow keys move along the plot, Page keys by a tenth, Home and End to its ends, Escape leaves
        the cursor.
      </p>
      <dl class="chart-legend">
        <div class="chart-at">
          <dt>{props.row === null ? "Latest" : "At"}</dt>
          <dd>{place}</dd>
        </div>
        {readings.map(({ line, alone, words }) => (
          <div key={line.label}>
            <dt>
              <Sample look={line.look} whole={alone} /> {line.label}
            </dt>
            <dd>{words}</dd>
          </div>
        ))}
      </dl>
    </div>
  );
}

// A piece of a line as the legend shows it.
function Sample(props: { look: LineLook; whole: boolean }): JSX.Element {
  return (
    <svg class="chart-sample" width="26" height="10" aria-hidden="true">
      <path class={`line-${props.look}${props.whole ? " whole" : ""}`} d="M1 5H25" />
    </svg>
  );
}
