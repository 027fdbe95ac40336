// The room Coordinate: where the antenna stands, how well that is known, what
// speaks for it and who decided it.
import type { JSX } from "preact";
import { methodWords, plainTriple, sexagesimal, sigmaWords } from "../plot/coordinate_words.ts";
import { figures, millimetres } from "../plot/scale.ts";
import { mayHelp, mayOwn, ofAnotherDay, useDocument, type Resource } from "../state.ts";
import type { Adopted, Coordinate, Jobs, Vec3 } from "../types.ts";
import { CopyButton } from "../ui/copy.tsx";
import { Facts, type Fact } from "../ui/facts.tsx";
import { capital, list, number } from "../ui/format.ts";
import { Panel, type Absent } from "../ui/panel.tsx";
import { When } from "../ui/when.tsx";
import { Bring } from "./coordinate_bring.tsx";
import { Candidates } from "./coordinate_candidates.tsx";
import { GrowthPlot } from "./coordinate_growth.tsx";
import { SolveForm, SolveJobs } from "./coordinate_solve.tsx";

const toNow = (
  <a class="button" href="#/now">
    See how far the station is
  </a>
);
const never = (): Absent | null => null;

export function CoordinateRoom(): JSX.Element {
  const coordinate = useDocument<Coordinate>("coordinate", "coordinate");
  const jobs = useDocument<Jobs>("jobs", "jobs");
  return (
    <div class="coordinate-room">
      <AdoptedPanel resource={coordinate} />
      <Panel
        title="Uncertainty by hours of data"
        resource={coordinate}
        class="coordinate-growth"
        first={(doc) =>
          doc.growth.hours.length > 0
            ? null
            : {
                will: "A line will show here how the uncertainty shrinks from hour to hour.",
                why: "The station works out its coordinate for the first time when about an hour is recorded.",
                action: toNow,
              }
        }
        empty={(doc) =>
          doc.growth.hours.some((hours) => hours !== null)
            ? null
            : {
                will: "There is nothing to draw.",
                why: "The solutions so far do not tell how many hours they rest on, as coordinates brought from elsewhere.",
              }
        }
      >
        {(doc) => <GrowthPlot doc={doc} />}
      </Panel>
      <Panel
        title="Candidates"
        resource={coordinate}
        class="coordinate-candidates"
        first={(doc) =>
          doc.candidates.length > 0
            ? null
            : {
                will: "Each coordinate that was worked out or brought will stand here, compared in millimetres.",
                why: "There is none yet.",
                action: toNow,
              }
        }
        empty={never}
      >
        {(doc) => <Candidates doc={doc} jobs={jobs.data.value?.jobs ?? []} />}
      </Panel>
      <LivePanel resource={coordinate} />
      <Panel
        title="Solutions at work"
        resource={jobs}
        class="coordinate-solve"
        first={(doc) =>
          mayHelp.value || doc.jobs.some((job) => job.kind !== "export")
            ? null
            : {
                will: "What works on a coordinate will stand here.",
                why: "Nothing was started yet; the station does so by itself when enough is recorded.",
                action: toNow,
              }
        }
        empty={never}
      >
        {(doc) => (
          <>
            <SolveJobs jobs={doc.jobs} />
            {doc.jobs.some((job) => job.kind !== "export") ? null : (
              <p>
                Nothing was started yet. The station works its coordinate out by itself, again and
                again as data come in.
              </p>
            )}
            {mayHelp.value ? (
              <details class="twin">
                <summary>Work one out for a time of your choice</summary>
                <SolveForm key={String(ofAnotherDay.value)} />
              </details>
            ) : null}
          </>
        )}
      </Panel>
      {mayOwn.value ? (
        <section class="panel coordinate-bring">
          <div class="panel-head">
            <h2>From elsewhere</h2>
          </div>
          <div class="panel-body">
            <Bring />
          </div>
        </section>
      ) : null}
      <HistoryPanel resource={coordinate} />
    </div>
  );
}

function AdoptedPanel(props: { resource: Resource<Coordinate> }): JSX.Element {
  return (
    <Panel
      title="The adopted coordinate"
      resource={props.resource}
      class="coordinate-adopted"
      first={(doc) =>
        doc.adopted !== null
          ? null
          : {
              will: "The coordinate that the rovers are given will stand here.",
              why:
                doc.candidates.length === 0
                  ? "None has been worked out yet."
                  : mayOwn.value
                    ? "None of the candidates below has been adopted. Look at them, and adopt one with its reason."
                    : "None of the candidates below has been adopted; an owner of the station does that.",
              ...(doc.candidates.length === 0 ? { action: toNow } : {}),
            }
      }
      empty={never}
    >
      {(doc) =>
        doc.adopted === null ? null : (
          <>
            {doc.warnings.length === 0 ? null : (
              <ul class="coordinate-warnings">
                {doc.warnings.map((w) => (
                  <li key={w.code}>
                    {capital(w.what)}
                    {w.size_m === null ? "" : ` (${millimetres(w.size_m * 1000)})`}
                  </li>
                ))}
              </ul>
            )}
            <AdoptedFacts adopted={doc.adopted} plate={doc.plate} />
          </>
        )
      }
    </Panel>
  );
}

function AdoptedFacts(props: { adopted: Adopted; plate: string | null }): JSX.Element {
  const { adopted } = props;
  // A guest is given no coordinates.
  const ecef = adopted.ecef_m as Vec3 | null;
  const geodetic = adopted.geodetic_deg_m as Vec3 | null;
  const facts: Fact[] = [
    {
      name: "Frame and epoch",
      value: `${adopted.frame} at ${adopted.epoch.slice(0, 10)}`,
      ...(props.plate === null ? {} : { more: `carried along with the plate: ${props.plate.replace(/^plate model /, "")}` }),
    },
    {
      name: "Uncertainty, one sigma",
      value: sigmaWords(adopted.sigma_enu_mm),
    },
    ...(ecef === null ? [] : [tripleFact("X, Y, Z", ecef)]),
    ...(geodetic === null ? [] : [geodeticFact(geodetic)]),
    ...(adopted.arp_ecef_m === null ? [] : [tripleFact("Antenna reference point", adopted.arp_ecef_m)]),
    {
      name: "Stands for",
      value: `${adopted.point === "arp" ? "the antenna's reference point" : `the ${adopted.point}`}, by ${methodWords(adopted.method)} (record ${adopted.record})`,
    },
    {
      name: "Adopted",
      value: (
        <>
          {adopted.by === null ? "" : `by ${adopted.by}, `}
          <When at={adopted.at} />
        </>
      ),
      more: `“${adopted.why}”`,
    },
  ];
  return (
    <>
      {ecef === null ? <p>Where exactly it is, helpers and owners of the station can see.</p> : null}
      <Facts facts={facts} />
    </>
  );
}

function tripleFact(name: string, xyz: Vec3): Fact {
  return {
    name,
    value: (
      <span class="figures triple">
        {xyz.map((v, i) => (
          <span key={i}>{number(v, 4)} m </span>
        ))}
      </span>
    ),
    more: <CopyButton text={plainTriple(xyz)} what="X, Y, Z" />,
  };
}

function geodeticFact(geodetic: Vec3): Fact {
  const [latitude, longitude, height_m] = geodetic;
  return {
    name: "Latitude, longitude, height",
    value: (
      <span class="figures triple">
        <span>{sexagesimal(latitude, "NS")} </span>
        <span>{sexagesimal(longitude, "EW")} </span>
        <span>{number(height_m, 4)} m </span>
      </span>
    ),
    more: (
      <>
        <span>Height above the ellipsoid. </span>
        <CopyButton text={plainTriple(geodetic, [10, 10, 4])} what="as degrees and metres" />
      </>
    ),
  };
}

function LivePanel(props: { resource: Resource<Coordinate> }): JSX.Element {
  return (
    <Panel
      title="What the last hour says"
      resource={props.resource}
      class="coordinate-live"
      first={never}
      empty={(doc) =>
        doc.live !== null
          ? null
          : {
              will: "The mean of the last hour's code ranges will stand here, as a plain check.",
              why: "Nothing usable has come in during the last hour.",
              action: toNow,
            }
      }
    >
      {(doc) => {
        const { live } = doc;
        if (live === null) return null;
        const place = live.geodetic_deg_m as Vec3 | null;
        const [e, n, u] = live.sigma_enu_m;
        return (
          <>
            <p>
              {live.apart_m === null
                ? "There is no adopted coordinate to compare it with."
                : `The mean of the code ranges lies ${figures(live.apart_m)} m from the adopted coordinate.`}{" "}
              Such a mean is good to about a metre: it finds gross mistakes, nothing finer.
            </p>
            <Facts
              facts={[
                ...(place === null
                  ? []
                  : [
                      {
                        name: "Position",
                        value: list([
                          `${number(Math.abs(place[0]), 6)}° ${place[0] < 0 ? "S" : "N"}`,
                          `${number(Math.abs(place[1]), 6)}° ${place[1] < 0 ? "W" : "E"}`,
                          `${number(place[2], 1)} m`,
                        ]),
                      },
                    ]),
                { name: "Uncertainty", value: `${figures(e)} m east, ${figures(n)} m north, ${figures(u)} m up` },
                { name: "From", value: `${number(live.epochs)} epochs`, more: <>the last one <When at={live.last} data /></> },
              ]}
            />
          </>
        );
      }}
    </Panel>
  );
}

function HistoryPanel(props: { resource: Resource<Coordinate> }): JSX.Element {
  return (
    <Panel
      title="Adoptions"
      resource={props.resource}
      class="coordinate-history"
      first={(doc) =>
        doc.adoptions.length > 0
          ? null
          : {
              will: "Who adopted what, when and why will be kept here.",
              why: "Nothing has been adopted yet.",
              action: toNow,
            }
      }
      empty={never}
    >
      {(doc) => (
        <ol class="adoptions">
          {[...doc.adoptions]
            .sort((a, b) => b.id - a.id)
            .map((a) => (
              <li key={a.id}>
                <p>
                  <strong>Record {a.record}</strong>
                  {a.by === null ? "" : `, by ${a.by}`}, <When at={a.at} />
                </p>
                <p class="adoptions-why">“{a.why}”</p>
              </li>
            ))}
        </ol>
      )}
    </Panel>
  );
}
