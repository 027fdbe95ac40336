// A moment: in UTC, said so, with the age beside it.
import type { JSX } from "preact";
import { dataNow_ms, stationNow_ms } from "../state.ts";
import { kUnknown, relative, utc, utcNear } from "./format.ts";

export function When(props: {
  at: string | null | undefined;
  // "both" (default): time and age; "age": the age alone, the time on hover.
  show?: "both" | "age" | "time";
  // A time of the data, whose day may be another than the station's.
  data?: boolean;
}): JSX.Element {
  const { at } = props;
  if (at === null || at === undefined) return <span>{kUnknown}</span>;
  const now_ms = props.data === true ? dataNow_ms() : stationNow_ms();
  const age = relative(Date.parse(at), now_ms);
  const show = props.show ?? "both";
  return (
    <time dateTime={at} title={utc(at, true)}>
      {show === "age" ? age : utcNear(at, now_ms)}
      {show === "both" ? <span class="age"> ({age})</span> : null}
    </time>
  );
}
