// How the uncertainty shrinks while data come in.
import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { useMemo } from "preact/hooks";
import { Chart } from "../plot/chart.tsx";
import type { Pane } from "../plot/draw.ts";
import { growthRows, growthSummary, methodWords } from "../plot/coordinate_words.ts";
import { logRange, millimetres } from "../plot/scale.ts";
import { Twin } from "../plot/twin.tsx";
import type { Coordinate } from "../types.ts";
import { number, utc } from "../ui/format.ts";

const row = signal<number | null>(null);

export function GrowthPlot(props: { doc: Coordinate }): JSX.Element {
  const key = JSON.stringify(props.doc.growth);
  const rows = useMemo(() => growthRows(props.doc.growth), [key]);
  const panes = useMemo<Pane[]>(
    () => [
      {
        title: "Uncertainty, one sigma [mm]",
        lines: [
          { label: "up", values: rows.u, look: "a", words: millimetres },
          { label: "north", values: rows.n, look: "b", words: millimetres },
          { label: "east", values: rows.e, look: "c", words: millimetres },
        ],
        range: logRange([...rows.e, ...rows.n, ...rows.u]),
        logarithmic: true,
        height: 280,
        dots: rows.hours.length <= 60,
      },
    ],
    [rows],
  );
  const at = row.value !== null && row.value < rows.hours.length ? row.value : null;
  return (
    <>
      <p>{growthSummary(rows)}</p>
      <Chart
        label="Uncertainty by hours of data"
        x={rows.hours}
        time={false}
        xTitle="hours of data"
        xWords={(hours) => `${number(hours, 1)} h, ${methodWords(rows.method[rows.hours.indexOf(hours)] ?? "")}`}
        panes={panes}
        row={at}
        onRow={(next) => (row.value = next)}
      />
      <Twin
        caption="Uncertainty by hours of data"
        head={["Hours", "Method", "East", "North", "Up", "Worked out"]}
        rows={() =>
          rows.hours.map((hours, i) => [
            number(hours, 1),
            methodWords(rows.method[i] ?? ""),
            ...[rows.e[i], rows.n[i], rows.u[i]].map((v) =>
              v === null || v === undefined ? "not known" : millimetres(v),
            ),
            utc((rows.unix_s[i] ?? 0) * 1000),
          ])
        }
        file="growth"
        csv={() => ({
          head: ["unix_s", "hours", "method", "sigma_e_mm", "sigma_n_mm", "sigma_u_mm"],
          rows: rows.hours.map((hours, i) => [
            rows.unix_s[i] ?? null, hours, rows.method[i] ?? null,
            rows.e[i] ?? null, rows.n[i] ?? null, rows.u[i] ?? null,
          ]),
        })}
      />
    </>
  );
}
