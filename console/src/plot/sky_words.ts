// What the sky says in sentences.
import type { Sky, SkySatellite } from "../types.ts";
import { list, plural } from "../ui/format.ts";
import { compareIds, heightWord, windWord } from "./dome.ts";

export function systemOf(id: string): string {
  return id.charAt(0);
}

// The strongest of a satellite's signals [dB-Hz], null where none is known.
export function strongest(satellite: SkySatellite): number | null {
  let best: number | null = null;
  for (const signal of satellite.signals) {
    if (signal.cn0_dbhz !== null && (best === null || signal.cn0_dbhz > best)) {
      best = signal.cn0_dbhz;
    }
  }
  return best;
}

// Above the horizon and not received, the highest first: the higher, the more
// it matters.
export function missing(sky: Sky): SkySatellite[] {
  return sky.satellites
    .filter((s) => !s.seen && s.elevation_deg !== null)
    .sort((a, b) => (b.elevation_deg ?? 0) - (a.elevation_deg ?? 0) || compareIds(a.id, b.id));
}

// Received, but where they stand is not known yet.
export function placeless(sky: Sky): SkySatellite[] {
  return sky.satellites
    .filter((s) => s.elevation_deg === null || s.azimuth_deg === null)
    .sort((a, b) => compareIds(a.id, b.id));
}

export function whereWords(satellite: SkySatellite): string {
  const { azimuth_deg: azimuth, elevation_deg: elevation } = satellite;
  if (azimuth === null || elevation === null) return "direction not known yet";
  return `${windWord(azimuth)}, ${heightWord(elevation)}`;
}

// Where most of those not received stand, if it is one direction; else null.
export function commonDirection(satellites: readonly SkySatellite[]): string | null {
  if (satellites.length < 3) return null;
  const counts = new Map<string, number>();
  for (const s of satellites) {
    if (s.azimuth_deg === null) continue;
    const wind = windWord(s.azimuth_deg);
    counts.set(wind, (counts.get(wind) ?? 0) + 1);
  }
  for (const [wind, count] of counts) {
    if (count / satellites.length >= 0.6) {
      return `${count} of the ${satellites.length} stand in the ${wind}: something may be in the way there.`;
    }
  }
  return null;
}

// The dome in one or two sentences, for those who do not see it.
export function skySummary(sky: Sky): string {
  const seen = sky.satellites.filter((s) => s.seen).length;
  const lost = missing(sky);
  const systems = new Set(sky.satellites.filter((s) => s.seen).map((s) => systemOf(s.id))).size;
  const first = `${plural(seen, "satellite")} of ${plural(systems, "system")} received.`;
  if (lost.length === 0) return `${first} None that stands above the horizon is missing.`;
  return `${first} ${lost.length} above the horizon and not received: ${list(lost.map((s) => s.id))}.`;
}

// Whether a satellite climbs or sinks, by the last points of its track.
export function trend(track: Sky["tracks"][number] | undefined): "rising" | "setting" | null {
  if (track === undefined) return null;
  const known = track.elevation_deg.filter((e): e is number => e !== null);
  const last = known.at(-1);
  const before = known.at(-2);
  if (last === undefined || before === undefined || last === before) return null;
  return last > before ? "rising" : "setting";
}

// The mean strength of low and of high satellites in a sentence.
export function levelSummary(sky: Sky): string {
  const mean = (from: number, to: number): number | null => {
    const values = sky.satellites
      .filter((s) => s.seen && s.elevation_deg !== null && s.elevation_deg >= from && s.elevation_deg < to)
      .map(strongest)
      .filter((v): v is number => v !== null);
    return values.length === 0 ? null : values.reduce((sum, v) => sum + v, 0) / values.length;
  };
  const low = mean(0, 30);
  const high = mean(60, 91);
  const say = (value: number | null) => (value === null ? "not known" : `${value.toFixed(1)} dB-Hz`);
  return `Mean strength below 30°: ${say(low)}; above 60°: ${say(high)}.`;
}
