// A calendar of cells that fill up from below with what they hold. An empty box
// with a broken outline is what was not recorded; a dot, recorded but not counted
// yet; a box without a lid is being written. Arrow keys walk through it.
import type { JSX } from "preact";
import { useRef } from "preact/hooks";
import { stepCell, type CellKind } from "./calendar.ts";
import { usePlotId, useWidth } from "./hooks.ts";

export interface GridCell {
  readonly key: number;
  readonly kind: CellKind;
  readonly share: number | null; // 0 … 1
  readonly words: string;
}

export interface GridRow {
  readonly label: string;
  readonly cells: readonly GridCell[];
}

export interface CellGridProps {
  label: string;
  summary: string;
  columns: readonly string[]; // titles; empty ones are not drawn
  rows: readonly GridRow[];
  chosen: number | null; // a cell's key
  choose: (key: number | null) => void;
}

const kHead = 20;
const kAir = 2; // between cells

export function CellGrid(props: CellGridProps): JSX.Element {
  const { rows, chosen } = props;
  const frame = useRef<HTMLDivElement>(null);
  const id = usePlotId("cells");
  const width = useWidth(frame, 340);
  const count = props.columns.length;
  const label = 58;
  const pitch = Math.min(36, (width - label) / count);
  const tall = Math.max(20, Math.min(30, pitch * 1.15));
  const height = kHead + rows.length * (tall + kAir + 2);
  const shown = label + pitch * count;
  const top = (row: number) => kHead + row * (tall + kAir + 2);
  const here = () => {
    for (const [row, r] of rows.entries()) {
      const column = r.cells.findIndex((c) => c.key === chosen);
      if (column >= 0) return { row, column };
    }
    return null;
  };
  const onKey = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey || rows.length === 0) return;
    if (event.key === "Escape") {
      props.choose(null);
      return;
    }
    const at = here();
    const next = stepCell(rows.length, at ?? { row: 0, column: 0 }, event.key, count);
    if (next === null) return;
    event.preventDefault();
    const target = at === null ? rows[0]?.cells[0] : rows[next.row]?.cells[next.column];
    if (target !== undefined) props.choose(target.key);
  };
  return (
    <div class="cells" ref={frame}>
      <p class="unseen" id={`${id}-text`}>
        {props.summary} Arrow keys walk through the cells, Escape leaves.
      </p>
      <svg
        class="cells-picture"
        width={shown}
        height={height}
        viewBox={`0 0 ${shown} ${height}`}
        role="grid"
        tabindex={0}
        aria-label={props.label}
        aria-describedby={`${id}-text`}
        aria-activedescendant={here() === null ? undefined : `${id}-${chosen ?? ""}`}
        onKeyDown={onKey}
      >
        <g aria-hidden="true">
          {props.columns.map((title, column) =>
            title === "" ? null : (
              <text key={column} class="plot-tick" x={label + pitch * (column + 0.5)} y={8}>
                {title}
              </text>
            ),
          )}
        </g>
        {rows.map((row, r) => (
          <g key={row.label} role="row">
            <text class="cells-row" role="rowheader" x={label - 8} y={top(r) + tall / 2}>
              {row.label}
            </text>
            {row.cells.map((cell, c) => (
              <g
                key={cell.key}
                id={`${id}-${cell.key}`}
                class={cellClass(cell, cell.key === chosen)}
                role="gridcell"
                aria-label={cell.words}
                aria-selected={cell.key === chosen ? "true" : "false"}
                onClick={() => props.choose(cell.key === chosen ? null : cell.key)}
              >
                <CellMark cell={cell} x={label + pitch * c} y={top(r)} w={pitch - kAir} h={tall} />
              </g>
            ))}
          </g>
        ))}
      </svg>
    </div>
  );
}

function cellClass(cell: GridCell, mine: boolean): string {
  const whole = cell.share !== null && cell.share >= 0.999;
  return `cell cell-${cell.kind}${whole ? " cell-whole" : ""}${mine ? " mine" : ""}`;
}

function CellMark(props: { cell: GridCell; x: number; y: number; w: number; h: number }): JSX.Element {
  const { cell, x, y, w, h } = props;
  // What little was recorded is seen as well, and so is what little is missing.
  const filled =
    cell.share === null || cell.share === 0
      ? 0
      : cell.share >= 1
        ? h
        : Math.min(h - 2.5, Math.max(2, cell.share * h));
  return (
    <>
      <rect class="cell-touch" x={x - 1} y={y - 2} width={w + 2} height={h + 4} />
      {filled > 0 ? <rect class="cell-fill" x={x} y={y + h - filled} width={w} height={filled} /> : null}
      {cell.kind === "open" ? (
        <path class="cell-box" d={`M${x + 0.5} ${y}V${y + h - 0.5}H${x + w - 0.5}V${y}`} />
      ) : cell.kind === "ahead" ? null : (
        <rect class="cell-box" x={x + 0.5} y={y + 0.5} width={Math.max(1, w - 1)} height={h - 1} />
      )}
      {cell.kind === "unknown" ? <circle class="cell-dot" cx={x + w / 2} cy={y + h / 2} r="2" /> : null}
    </>
  );
}
