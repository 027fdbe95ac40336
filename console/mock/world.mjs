// The documents of docs/api.md for an invented station, in whatever scenario is
// set. Nothing here is measured.
import { skyOf } from "./sky.mjs";

export const kStation = "LHOL00XXX";
const iso = (ms) => new Date(ms).toISOString().replace(/\.\d+Z$/, "Z");
const kHour = 3600e3;
const kDay = 24 * kHour;
const born = Date.now();

const kHere = [4277342.418, 669836.905, 4664921.532];
const kGeodetic = [47.3, 8.9, 512.0];

export function door(scene, session) {
  return {
    schema_version: 1,
    claimed: scene.claimed,
    claim_open: scene.claim_open,
    station: kStation,
    place: "Larch Hollow",
    simulated: scene.simulated,
    version: "0.9.0",
    bundle: scene.bundle,
    fingerprint: scene.tls
      ? "5A:0F:91:C2:3E:77:D4:08:BB:19:6C:E3:42:A5:F0:2D:88:17:CE:64:9A:03:5B:D1:7F:E6:20:C9:4B:31:AD:F8"
      : null,
    session,
  };
}

const kSteps = ["signal", "ephemerides", "position", "record", "certainty", "adopted", "trusted", "rovers"];
const kDone = {
  signal: "The receiver sends observations once a second.",
  ephemerides: "Orbits of 38 satellites have come.",
  position: "The place is known to two metres.",
  record: "26 hours lie on the disk without a gap.",
  certainty: "The coordinate is certain to 6 mm across and 9 mm in height.",
  adopted: "Record 7 was adopted by mara.",
  trusted: "Nothing speaks against the station.",
  rovers: "Two rovers are connected.",
};
const kWorking = {
  signal: "No byte has come from the receiver yet; check its cable and its power.",
  certainty: "More hours are needed until the height is certain to 10 mm.",
  trusted: "A reason stands against it; see above.",
  rovers: "No rover is connected; give one its access in the room Stream.",
};
const kWaiting = {
  ephemerides: "Orbits, from the receiver or from a second source.",
  position: "The place to a few metres, from code ranges.",
  record: "A first hour of raw data on the disk.",
  certainty: "Enough hours for a coordinate to be relied on.",
  adopted: "An owner adopts a coordinate.",
  trusted: "Nothing speaks against the station.",
  rovers: "Rovers connect and get corrections.",
};

function road(doneCount, state = "working", remaining_s = null) {
  return kSteps.map((step, at) => {
    if (at < doneCount) {
      return { step, state: "done", since: iso(born - (30 - 3 * at) * kHour), what: kDone[step], remaining_s: null };
    }
    if (at === doneCount) {
      return { step, state, since: iso(born - 2 * kHour), what: kWorking[step] ?? kWaiting[step], remaining_s };
    }
    return { step, state: "waiting", since: null, what: kWaiting[step], remaining_s: null };
  });
}

// As the station itself puts it: state, since when, reason, next step.
function spoken(trust) {
  const lower = (words) => words.charAt(0).toLowerCase() + words.slice(1);
  const head = `${trust.state.charAt(0).toUpperCase()}${trust.state.slice(1)} since ${trust.since.slice(0, 10)} ${trust.since.slice(11, 16)} UTC`;
  const [main, ...others] = trust.reasons;
  if (main !== undefined) {
    const more = others.length === 0 ? "" : others.length === 1 ? " There is one more reason." : ` There are ${others.length} more reasons.`;
    return `${head}: ${lower(main.what)}${more} Next: ${lower(main.remedy)}`;
  }
  const [note] = trust.warnings;
  if (note !== undefined) return `${head}. To note: ${lower(note.what)} Next: ${lower(note.remedy)}`;
  return `${head}. Nothing is to be done.`;
}

function trustOf(scene) {
  const trust = judged(scene);
  return { ...trust, sentence: spoken(trust) };
}

function judged(scene) {
  const since = iso(born - 2.2 * kHour);
  const empty = { reasons: [], warnings: [] };
  if (scene.state === "first") {
    return {
      state: "building", since: iso(born - 90e3),
      reasons: [{ part: "source", code: "no_signal", state: "building", what: "Not one byte has come from the receiver.",
        remedy: "Check the receiver's cable and power, and the source in station.toml.", since: iso(born - 90e3) }],
      warnings: [],
    };
  }
  if (scene.state === "nodata") {
    return {
      state: "withheld", since: iso(born - 20 * 60e3),
      reasons: [{ part: "source", code: "silent", state: "withheld", what: "Nothing comes from the receiver.",
        remedy: "Look at the receiver's power and its cable; the station opens the line again every ten seconds.", since: iso(born - 20 * 60e3) }],
      warnings: [],
    };
  }
  switch (scene.trust) {
    case "building":
      return {
        state: "building", since: iso(born - 7 * kHour),
        sentence: "This station is being built: its coordinate is not certain enough yet.",
        reasons: [{ part: "coordinate", code: "not_adopted", state: "building", what: "No coordinate has been adopted.",
          remedy: "Let it record for some 5 hours more, then adopt the coordinate that it has worked out.", since: iso(born - 7 * kHour) }],
        warnings: [],
      };
    case "doubtful":
      return {
        state: "doubtful", since,
        sentence: "Rovers are served with a warning: the antenna seems to have moved by 18 mm.",
        reasons: [{ part: "coordinate", code: "moved", state: "doubtful", what: "Since this morning the antenna lies 18 mm to the south-west of its adopted coordinate.",
          remedy: "Look at the mast; if it was knocked, fasten it and adopt a new coordinate.", since }],
        warnings: [{ part: "disk", code: "disk_low", state: "trusted", what: "The disk is full in 12 days.", remedy: "Shorten keep_days or fit a larger card.", since }],
      };
    case "withheld":
      return {
        state: "withheld", since,
        sentence: "Corrections are held back: someone jams the band, and the observations cannot be relied on.",
        reasons: [
          { part: "sky", code: "jammed", state: "withheld", what: "All signals near 1575 MHz fell by 14 dB within a second.",
            remedy: "Look for a transmitter nearby; the station serves again ten minutes after it ends.", since },
          { part: "sky", code: "few_satellites", state: "doubtful", what: "Only 5 satellites are received.", remedy: "", since },
        ],
        warnings: [],
      };
    default:
      return {
        state: "trusted", since: iso(born - 26 * kHour),
        sentence: "Rovers can rely on this station: its coordinate is adopted and nothing speaks against it.",
        ...empty,
        warnings: scene.warn
          ? [{ part: "clock", code: "leap_expires", state: "trusted", what: "The table of leap seconds ends in 28 days.", remedy: "Fetch products, or upgrade.", since }]
          : [],
      };
  }
}

export function now(scene) {
  const t = Date.now();
  const up_s = (t - born) / 1000;
  const first = scene.state === "first";
  const silent = scene.state === "nodata";
  const trust = trustOf(scene);
  const roadNow = first
    ? road(0)
    : trust.state === "building"
      ? road(4, "working", 17400)
      : trust.state === "trusted"
        ? road(8)
        : road(6, "stopped");
  const bytesNow = Math.round(94e6 + up_s * 1130);
  return {
    schema_version: 1, station: kStation, simulated: scene.simulated, now: iso(t), started: iso(born - 30 * kHour),
    trust, road: roadNow,
    receiver: first
      ? { state: "opening", source: "tcp://127.0.0.1:5001", since: iso(born - 90e3), why: "", last_byte_age_s: null, bytes: 0 }
      : silent
        ? { state: "silent", source: "tcp://127.0.0.1:5001", since: iso(born - 20 * 60e3), why: "no byte for 10 s", last_byte_age_s: 1200 + up_s, bytes: 94000000 }
        : { state: "open", source: "tcp://127.0.0.1:5001", since: iso(born - 30 * kHour), why: "", last_byte_age_s: 0.2, bytes: bytesNow },
    data: first
      ? { last_epoch: null, last_epoch_age_s: null, epochs_received: 0, epochs_missed: 0, satellites: null, cn0_mean_dbhz: null }
      : silent
        ? { last_epoch: iso(born - 20 * 60e3), last_epoch_age_s: 1200 + up_s, epochs_received: 106800, epochs_missed: 1212, satellites: 0, cn0_mean_dbhz: null }
        : { last_epoch: iso(t - 1000), last_epoch_age_s: 1, epochs_received: 108000 + Math.round(up_s), epochs_missed: 12, satellites: 31, cn0_mean_dbhz: 43.4 },
    recording: first
      ? { state: "idle", why: "", durable_offset: 0, end_offset: 0, dropped_bytes: 0, disk_free_bytes: 21.4e9 }
      : scene.disk === "full"
        ? { state: "cannot_write", why: "no space left on the device", durable_offset: 94000000, end_offset: 94000000, dropped_bytes: 180224, disk_free_bytes: 0 }
        : { state: silent ? "idle" : "recording", why: "", durable_offset: bytesNow - 4120, end_offset: bytesNow, dropped_bytes: 0, disk_free_bytes: 21.4e9 },
    rovers: { connected: first || silent ? 0 : 2 },
    job: first || silent || scene.job === "none" ? null : runningJob(up_s),
  };
}

let cancelled = false;
export function cancelJob() {
  cancelled = true;
}

function runningJob(up_s) {
  if (cancelled) return null;
  const progress = (0.31 + up_s / 600) % 1;
  return {
    id: "12", kind: "day", state: "running", by: "station", asked: iso(born - 20 * 60e3), started: iso(born - 19 * 60e3), ended: null,
    start: iso(Math.floor(born / kDay) * kDay - kDay), end: iso(Math.floor(born / kDay) * kDay), step: progress < 0.2 ? "export" : "solve",
    progress, what: "Working out the coordinate from yesterday's 24 hours.", why: "", record: null, report: false, files: [],
  };
}

export function jobs(scene) {
  const running = now(scene).job;
  if (scene.state === "first") return { schema_version: 1, jobs: [] };
  const done = (id, kind, hoursAgo, extra) => ({
    id, kind, state: "done", by: "station", asked: iso(born - hoursAgo * kHour), started: iso(born - hoursAgo * kHour + 5e3),
    ended: iso(born - hoursAgo * kHour + 240e3), start: iso(born - (hoursAgo + 24) * kHour), end: iso(born - hoursAgo * kHour), step: "solve",
    progress: 1, what: "The coordinate came out as record 7.", why: "", record: 7, report: true, files: [], ...extra,
  });
  return {
    schema_version: 1,
    jobs: [
      ...(running === null ? [] : [running]),
      done("11", "export", 3, { by: "mara", what: "Two files of RINEX 3.05 at 30 s.", record: null, report: false,
        files: [{ name: "LHOL00XXX_R_20263330000_01D_30S_MO.crx.gz", bytes: 2104332 }, { name: "LHOL00XXX_R_20263330000_01D_MN.rnx.gz", bytes: 148220 }] }),
      done("10", "solve", 6, { state: "failed", by: "mara", what: "No coordinate came out.", why: "Only 12 minutes lie between the two times; 30 are needed.", record: null, report: false }),
      done("9", "growth", 8, {}),
    ],
  };
}

export function sky(scene) {
  const t = Date.now();
  const document = skyOf(t / 1000, { received: !["first", "nodata"].includes(scene.state), ephemerides: scene.state !== "first" });
  return { ...document, now: iso(t) };
}

function candidate(id, method, hours, daysAgo, extra = {}) {
  const shift = [((id * 37) % 11) - 5, ((id * 53) % 9) - 4, ((id * 71) % 17) - 8].map((v) => (method === "code" ? v * 90 : v * 0.7));
  const sigma = method === "code" ? [310, 290, 640] : [4.2 + 20 / hours, 4.0 + 16 / hours, 8.6 + 60 / hours];
  const end = born - daysAgo * kDay;
  return {
    id, method, products: method === "code" ? "broadcast" : daysAgo < 2 ? "rapid" : "final", origin: "station", source: `job ${id + 1}`,
    added: iso(end + 2 * kHour), by: "station", first: iso(end - hours * kHour), end: iso(end), hours, frame: "IGb14", epoch: iso(end - (hours / 2) * kHour),
    ecef_m: kHere.map((v, at) => v + shift[at] / 1000), geodetic_deg_m: [kGeodetic[0] + shift[1] * 9e-9, kGeodetic[1] + shift[0] * 1.3e-8, kGeodetic[2] + shift[2] / 1000],
    sigma_enu_mm: sigma, difference_enu_mm: shift, agrees: Math.abs(shift[0]) < 3 * sigma[0], why: "", adopted: false, adoptable: true, ...extra,
  };
}

// What a guest does not see is null.
export function coordinate(scene, role) {
  const document = everyCoordinate(scene);
  if (role !== "guest") return document;
  const hide = (row) => ({ ...row, by: null, ecef_m: null, geodetic_deg_m: null });
  return {
    ...document,
    adopted: document.adopted === null ? null : { ...hide(document.adopted), arp_ecef_m: null },
    candidates: document.candidates.map(hide),
    adoptions: document.adoptions.map((row) => ({ ...row, by: null })),
    live: document.live === null ? null : { ...document.live, geodetic_deg_m: null },
  };
}

function everyCoordinate(scene) {
  const base = { schema_version: 1, frame: "IGb14", epoch: iso(born), plate: "EURA" };
  const none = { unix_s: [], hours: [], sigma_e_mm: [], sigma_n_mm: [], sigma_u_mm: [], method: [], record: [] };
  if (scene.state === "first") {
    return { ...base, plate: null, adopted: null, candidates: [], growth: none, adoptions: [], live: null, warnings: [] };
  }
  const building = scene.trust === "building";
  const candidates = [
    candidate(8, "ppp-float", 24, 0.2),
    candidate(7, "ppp-float", 24, 1.2, { adopted: !building, difference_enu_mm: building ? candidate(7, "x", 24, 1).difference_enu_mm : [0, 0, 0], agrees: building ? true : true }),
    candidate(6, "tie-fixed", 6, 1.5, { origin: "imported", by: "mara", source: "tie to the valley's known mark" }),
    candidate(5, "by_hand", 1, 2, { origin: "by_hand", by: "mara", source: "sheet of the surveyor, page 2", first: null, end: null, hours: null,
      difference_enu_mm: [41, -63, 120], agrees: false, why: "It lies 14 sigma away; its frame may be another.", sigma_enu_mm: [5, 5, 10], products: null }),
    candidate(4, "ppp-float", 12, 1.7),
    candidate(3, "ppp-float", 6, 2),
    candidate(2, "code", 2, 2.2),
    candidate(1, "code", 0.5, 2.3, { adoptable: false, why: "Half an hour is too little to adopt." }),
  ];
  const growth = { ...none, unix_s: [], hours: [], sigma_e_mm: [], sigma_n_mm: [], sigma_u_mm: [], method: [], record: [] };
  for (let hours = 0.5; hours <= 26; hours += hours < 4 ? 0.5 : 1) {
    const code = hours < 2;
    growth.unix_s.push(Math.round((born - (30 - hours) * kHour) / 1000));
    growth.hours.push(hours);
    growth.sigma_e_mm.push(code ? 500 / Math.sqrt(hours) : 3.6 + 44 / hours ** 1.3);
    growth.sigma_n_mm.push(code ? 440 / Math.sqrt(hours) : 3.4 + 31 / hours ** 1.3);
    growth.sigma_u_mm.push(code ? 980 / Math.sqrt(hours) : 8.2 + 96 / hours ** 1.25);
    growth.method.push(code ? "code" : "ppp-float");
    growth.record.push(null);
  }
  const adopted = building || scene.state === "nodata" ? null : {
    record: 7, method: "ppp-float", at: iso(born - 26 * kHour), by: "mara", why: "First full day; agrees with the tie to the known mark within 3 mm.",
    frame: "IGb14", epoch: candidates[1].epoch, ecef_m: candidates[1].ecef_m, geodetic_deg_m: candidates[1].geodetic_deg_m, sigma_enu_mm: candidates[1].sigma_enu_mm,
    point: "marker", arp_ecef_m: candidates[1].ecef_m.map((v, at) => v + [0.08, 0.013, 0.088][at]),
  };
  return {
    ...base, adopted,
    candidates: scene.state === "nodata" ? [] : candidates,
    growth: scene.state === "nodata" ? none : growth,
    adoptions: adopted === null ? [] : [
      { id: 2, record: 7, at: adopted.at, by: "mara", why: adopted.why },
      { id: 1, record: 2, at: iso(born - 44 * kHour), by: "mara", why: "To let the tractors try it at all; provisional." },
    ],
    live: scene.state === "nodata" ? null : { geodetic_deg_m: [47.3000021, 8.9000034, 512.9], sigma_enu_m: [0.21, 0.24, 0.55], epochs: 3600, first: iso(born - kHour), last: iso(Date.now() - 1000), apart_m: scene.trust === "doubtful" ? 0.94 : 0.41 },
    warnings: scene.trust === "doubtful" ? [{ code: "loading_missing", what: "The tides of the oceans were left out; no loading file was at hand.", size_m: 0.004 }] : [],
  };
}

export const accounts = [
  { name: "ditch-1", kind: "stream", enabled: true, max_connections: 1, max_bytes_per_hour: null },
  { name: "tractor-2", kind: "stream", enabled: true, max_connections: 2, max_bytes_per_hour: 8000000 },
  { name: "club-guest", kind: "stream", enabled: false, max_connections: 1, max_bytes_per_hour: 4000000 },
];

export function stream(scene, role) {
  const first = scene.state === "first";
  const empty = first || scene.state === "nodata";
  const up_s = (Date.now() - born) / 1000;
  const rovers = empty ? [] : [
    { name: "ditch-1", mount: "LHOL0", address: "192.168.7.31", since: iso(born - 3.1 * kHour), sent_bytes: Math.round(9.2e6 + up_s * 820) },
    { name: "tractor-2", mount: "LHOL0", address: "192.168.7.44", since: iso(born - 22 * 60e3), sent_bytes: Math.round(1.08e6 + up_s * 820) },
  ];
  const kinds = {
    building: { kind: "provisional", record: 2, type: 1005, arp_ecef_m: kHere, notice: "Provisional coordinate, uncertain by 0.6 m." },
    trusted: { kind: "adopted", record: 7, type: 1006, arp_ecef_m: kHere, notice: null },
    doubtful: { kind: "adopted", record: 7, type: 1006, arp_ecef_m: kHere, notice: "The antenna seems to have moved by 18 mm; check before you rely on it." },
    withheld: { kind: "none", record: null, type: null, arp_ecef_m: null, notice: "Corrections are held back: the band is jammed." },
  };
  const kind = empty ? { kind: "none", record: null, type: null, arp_ecef_m: null, notice: null } : kinds[scene.trust] ?? kinds.trusted;
  const rows = [[1006, 0.1], [1008, 0.03], [1019, 0.07], [1020, 0.05], [1033, 0.03], [1042, 0.04], [1046, 0.06], [1077, 1], [1087, 1], [1097, 1], [1127, 1]];
  return {
    schema_version: 1, broadcast: role === "guest" ? { ...kind, arp_ecef_m: null } : kind,
    mountpoints: [{ name: "LHOL0", open: false, rovers: rovers.length }, { name: "LHOLTRY", open: true, rovers: 0 }],
    rovers: role === "guest" ? rovers.map((one) => ({ ...one, name: null, address: null })) : rovers,
    totals: { connected: rovers.length, accepted: first ? 0 : 41, refused: first ? 0 : 3, cut: first ? 0 : 1, sent_bytes: first ? 0 : Math.round(212e6 + up_s * 1640) },
    messages: first ? [] : rows.map(([type, rate_hz]) => ({ type, count: Math.round(108000 * rate_hz), rate_hz: scene.state === "nodata" ? null : rate_hz })),
    composed: first ? { passed: 0, dropped: 0, withheld: 0, inserted: 0 } : { passed: 432118, dropped: 10804, withheld: scene.trust === "withheld" ? 9120 : 0, inserted: 10804 },
    age_s: empty ? null : 0.4,
    accounts: role === "guest" ? null : first ? [] : accounts.map((one) => ({ ...one, connected: rovers.filter((r) => r.name === one.name).length })),
  };
}

export function record(scene, from, to) {
  const t = Date.now();
  const end = to ?? Math.ceil(t / kHour) * kHour;
  const begin = from ?? end - 7 * kDay;
  const hours = [];
  const minutes = { unix_s: [], epochs: [], satellites: [], cn0_dbhz: [] };
  const gaps = [];
  const disk = { free_bytes: 21.4e9, leave_free_bytes: 536870912, used_bytes: scene.state === "first" ? 0 : 3.1e9, days_left: scene.state === "first" ? null : 143 };
  if (scene.state !== "first" && scene.state !== "nodata") {
    for (let at = Math.floor(begin / kHour) * kHour; at < Math.min(end, t); at += kHour) {
      const n = Math.round(at / kHour);
      const open = at + kHour > t;
      const hole = n % 41 === 0;
      if (n % 67 === 0) {
        gaps.push({ from: iso(at), to: iso(at + kHour), cause: "the computer had no power" });
        continue;
      }
      const epochs = open ? Math.round((t - at) / 1000) : hole ? 2710 : 3600;
      if (hole) gaps.push({ from: iso(at + 0.2 * kHour), to: iso(at + 0.447 * kHour), cause: "the receiver was silent" });
      const when = new Date(at);
      const day = Math.floor((at - Date.UTC(when.getUTCFullYear(), 0, 1)) / kDay) + 1;
      hours.push({
        start: iso(at), path: `${when.getUTCFullYear()}/${String(day).padStart(3, "0")}/${String(when.getUTCHours()).padStart(2, "0")}.seg${open ? "" : ".zst"}`,
        bytes: epochs * 1130, disk_bytes: Math.round(epochs * 1130 * (open ? 1 : 0.81)), first_epoch: iso(at), last_epoch: iso(at + epochs * 1000), epochs, open,
      });
      for (let m = 0; m < 60 && at + m * 60e3 < t; m += 1) {
        const out = hole && m > 12 && m < 27;
        minutes.unix_s.push((at + m * 60e3) / 1000);
        minutes.epochs.push(out ? null : 60);
        minutes.satellites.push(out ? null : 30 + Math.round(5 * Math.sin(n + m / 25)));
        minutes.cn0_dbhz.push(out ? null : 43 + 1.5 * Math.sin(n / 3 + m / 40));
      }
    }
  }
  return { schema_version: 1, from: iso(begin), to: iso(end), hours, gaps, disk, minutes };
}

const kKinds = ["started", "stopped", "gap", "rover_came", "rover_went", "user_changed", "record_added", "adopted", "trust_changed", "signed_in", "solve_ended"];
const kTexts = [
  ["signed_in", "mara signed in.", { user: "mara", address: "192.168.7.20" }],
  ["solve_ended", "A day was worked out: certain to 5 mm across and 11 mm in height.", { result: "record", record: 8, job: 11 }],
  ["trust_changed", "The station is trusted again.", { state: "trusted", before: "doubtful" }],
  ["rover_went", "ditch-1 went.", { reason: "closed by the rover", bytes: 1284022 }],
  ["gap", "Nothing came from the receiver for 14 minutes 49 seconds.", { cause: "the receiver was silent", from: "2026-06-02T10:00:00Z", end: "2026-06-02T10:14:49Z" }],
  ["user_changed", "club-guest was added.", { change: "added", user: "club-guest", by: "console: mara" }],
  ["trust_changed", "The antenna lies 18 mm from its adopted coordinate.", { state: "doubtful", before: "trusted", east_mm: -12, north_mm: -13, up_mm: 2 }],
  ["record_added", "Record 8 was added.", { record: 8, origin: "station", by: "job 11" }],
  ["adopted", "Record 7 was adopted: first full day, agrees with the tie.", { record: 7, why: "first full day, agrees with the tie", by: "console: mara" }],
  ["started", "Stillpoint 0.9.0 started.", { version: "0.9.0" }],
];

export function logbook(scene, limit, kinds, before) {
  const all = [];
  const total = scene.state === "first" ? 1 : 240;
  for (let id = total; id >= 1; id -= 1) {
    const [kind, text, details] = id === 1 ? kTexts[9] : kTexts[(total - id) % kTexts.length];
    all.push({ id, at: iso(born - (total - id) * 0.7 * kHour - 600e3), kind, text, details });
  }
  const chosen = all.filter((one) => (kinds.length === 0 || kinds.includes(one.kind)) && (before === null || one.id < before));
  const entries = scene.state === "nodata" ? [] : chosen.slice(0, limit);
  const more = chosen.length > entries.length && entries.length > 0;
  return { schema_version: 1, entries, next: more ? entries[entries.length - 1].id : null, kinds: scene.state === "first" ? ["started"] : kKinds };
}

export const people = [
  { name: "mara", role: "owner", enabled: true },
  { name: "jon", role: "helper", enabled: true },
  { name: "club", role: "guest", enabled: false },
];
