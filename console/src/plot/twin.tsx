// The table twin of a plot: the same values as rows, and as a file.
import type { ComponentChildren, JSX } from "preact";
import { useState } from "preact/hooks";
import { toCsv, type CsvValue } from "./csv.ts";

export interface TwinProps {
  caption: string;
  head: string[];
  // Asked for only while the table is open.
  rows: () => ComponentChildren[][];
  // The file's name without its ending, and what stands in it.
  file: string;
  csv: () => { head: string[]; rows: CsvValue[][] };
  // Where the table is shorter than the file.
  note?: string;
}

export function Twin(props: TwinProps): JSX.Element {
  const [open, setOpen] = useState(false);
  return (
    <details class="twin" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>As a table</summary>
      {open ? (
        <>
          {props.note === undefined ? null : <p class="small-print">{props.note}</p>}
          <TableScroll label={props.caption}>
            <table>
              <caption class="unseen">{props.caption}</caption>
              <thead>
                <tr>
                  {props.head.map((word) => (
                    <th key={word} scope="col">
                      {word}
                    </th>
                  ))}
                </tr>
              </thead>
              <tbody>
                {props.rows().map((cells, row) => (
                  <tr key={row}>
                    {cells.map((cell, column) =>
                      column === 0 ? (
                        <th key={column} scope="row">
                          {cell}
                        </th>
                      ) : (
                        <td key={column}>{cell}</td>
                      ),
                    )}
                  </tr>
                ))}
              </tbody>
            </table>
          </TableScroll>
          <div class="actions">
            <CsvButton file={props.file} csv={props.csv} />
          </div>
        </>
      ) : null}
    </details>
  );
}

// A table that may be wider than its place: scrolled with the keyboard too.
export function TableScroll(props: { label: string; children: ComponentChildren }): JSX.Element {
  return (
    <div class="table-scroll" role="region" aria-label={props.label} tabIndex={0}>
      {props.children}
    </div>
  );
}

export function CsvButton(props: {
  file: string;
  csv: () => { head: string[]; rows: CsvValue[][] };
}): JSX.Element {
  const save = (): void => {
    const { head, rows } = props.csv();
    const blob = new Blob([toCsv(head, rows)], { type: "text/csv;charset=utf-8" });
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = `${props.file}.csv`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  };
  return (
    <button type="button" class="button small" onClick={save}>
      Download as CSV
    </button>
  );
}
