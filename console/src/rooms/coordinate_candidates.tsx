// The candidates, compared in millimetres, as a picture and as a table. On a narrow
// page the rows are laid out as cards; the roles are written out because browsers
// drop those of a table that is laid out otherwise.
import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { kRoot } from "../api.ts";
import {
  agreeWords, differenceFigures, methodWords, originWords, planeSummary, reportOf, sourceWords, spreads, whyWords,
} from "../plot/coordinate_words.ts";
import { Plane } from "../plot/plane_view.tsx";
import { figures } from "../plot/scale.ts";
import { CsvButton, TableScroll } from "../plot/twin.tsx";
import { mayOwn } from "../state.ts";
import type { Candidate, Coordinate, Job } from "../types.ts";
import { number } from "../ui/format.ts";
import { When } from "../ui/when.tsx";
import { AdoptDialog } from "./coordinate_adopt.tsx";

const chosen = signal<number | null>(null);
const choose = (id: number | null): void => {
  chosen.value = id;
};

export function Candidates(props: { doc: Coordinate; jobs: readonly Job[] }): JSX.Element {
  const { doc } = props;
  const [asked, ask] = useState<Candidate | null>(null);
  const drawn = spreads(doc.candidates);
  const against = doc.adopted === null ? "the best candidate" : `record ${doc.adopted.record}, the adopted one`;
  return (
    <>
      <p>{planeSummary(doc)}</p>
      {drawn.length < 2 ? null : (
        <>
          <Plane
            spreads={drawn}
            adopted={doc.adopted?.record ?? null}
            summary={planeSummary(doc)}
            chosen={chosen.value}
            choose={choose}
          />
          <p class="small-print">
            Differences from {against}. Outlines and upright lines reach two sigma to each side; the
            adopted one is drawn thick.
          </p>
        </>
      )}
      <TableScroll label="Candidates compared in millimetres">
        <table class="candidates" role="table">
          <caption class="unseen">Candidates compared in millimetres with {against}</caption>
          <thead role="rowgroup">
            <tr role="row">
              <th scope="col" role="columnheader">Record</th>
              <th scope="col" role="columnheader">
                Apart <span class="more">e, n, u in mm</span>
              </th>
              <th scope="col" role="columnheader">
                Sigma <span class="more">e, n, u in mm</span>
              </th>
              <th scope="col" role="columnheader">Verdict</th>
              <th scope="col" role="columnheader">From</th>
              <th scope="col" role="columnheader">
                <span class="unseen">What can be done</span>
              </th>
            </tr>
          </thead>
          <tbody role="rowgroup">
            {[...doc.candidates]
              .sort((a, b) => b.id - a.id)
              .map((c) => (
                <Row key={c.id} candidate={c} report={reportOf(c.id, props.jobs)} ask={() => ask(c)} />
              ))}
          </tbody>
        </table>
      </TableScroll>
      <div class="actions">
        <CsvButton file="candidates" csv={() => candidatesCsv(doc)} />
      </div>
      {asked === null ? null : (
        <AdoptDialog candidate={asked} doc={doc} close={() => ask(null)} />
      )}
    </>
  );
}

function Row(props: { candidate: Candidate; report: string | null; ask: () => void }): JSX.Element {
  const { candidate: c, report } = props;
  const mine = chosen.value === c.id;
  return (
    <tr role="row" class={mine ? "mine" : c.adopted ? "adopted" : undefined}>
      <th scope="row" role="rowheader">
        <button
          type="button"
          class="pick"
          aria-pressed={mine ? "true" : "false"}
          onClick={() => choose(mine ? null : c.id)}
        >
          {c.id}
        </button>
        <span class="more">{methodWords(c.method)}</span>
      </th>
      <td role="cell" class="figures" data-label="Apart">
        {c.adopted ? "–" : c.difference_enu_mm === null ? "not known" : c.difference_enu_mm.map((v, i) => (
          <span key={i}>{differenceFigures(v)} </span>
        ))}
      </td>
      <td role="cell" class="figures" data-label="Sigma">
        {c.sigma_enu_mm.map((v, i) => (
          <span key={i}>{figures(v)} </span>
        ))}
      </td>
      <td role="cell" class="agreement">
        <strong>{agreeWords(c)}</strong>
        {whyWords(c) === "" ? null : <span class="more">{whyWords(c)}</span>}
      </td>
      <td role="cell">
        {c.hours === null ? originWords(c.origin) : `${number(c.hours, 1)} h, ${originWords(c.origin)}`}
        <span class="more">
          {c.products === null ? "" : `${c.products}; `}
          {c.source === null ? "" : `${sourceWords(c.source)}; `}
          {c.frame} at {c.epoch.slice(0, 10)}; added{c.by === null || c.by === "station" ? "" : ` by ${c.by}`}{" "}
          <When at={c.added} show="age" />
        </span>
      </td>
      <td role="cell">
        {mayOwn.value && c.adoptable && !c.adopted ? (
          <button type="button" class="button small" onClick={props.ask} aria-label={`Adopt record ${c.id} …`}>
            Adopt …
          </button>
        ) : null}
        {report === null ? null : (
          <a
            class="button small quiet"
            href={`${kRoot}jobs/${encodeURIComponent(report)}/report`}
            target="_blank"
            rel="noopener"
            aria-label={`Report on record ${c.id}, in a new tab`}
          >
            Report
          </a>
        )}
      </td>
    </tr>
  );
}

function candidatesCsv(doc: Coordinate) {
  return {
    head: [
      "record", "method", "products", "origin", "source", "added", "by", "first", "end", "hours",
      "frame", "epoch", "x_m", "y_m", "z_m", "latitude_deg", "longitude_deg", "height_m",
      "sigma_e_mm", "sigma_n_mm", "sigma_u_mm", "difference_e_mm", "difference_n_mm",
      "difference_u_mm", "agrees", "adopted", "why",
    ],
    rows: doc.candidates.map((c) => [
      c.id, c.method, c.products, c.origin, c.source, c.added, c.by, c.first, c.end, c.hours,
      c.frame, c.epoch,
      // A guest is given no coordinates.
      ...(c.ecef_m ?? [null, null, null]),
      ...(c.geodetic_deg_m ?? [null, null, null]),
      ...c.sigma_enu_mm,
      ...(c.difference_enu_mm ?? [null, null, null]),
      c.agrees, c.adopted, c.why,
    ]),
  };
}
