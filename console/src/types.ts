// The documents of docs/api.md, key by key. Units are the suffixes of the keys;
// times are RFC 3339 in UTC; null is "not known".

export type Role = "guest" | "helper" | "owner";
export type TrustState = "building" | "trusted" | "doubtful" | "withheld";
export type Vec3 = [number, number, number];
export type Nullable = number | null;

export interface Session {
  name: string;
  role: Role;
  token: string;
  ends: string;
}

// What a claim and a sign-in answer.
export interface Entered {
  session: Session;
}

export interface Door {
  claimed: boolean;
  claim_open: boolean;
  station: string;
  place: string | null;
  simulated: boolean;
  version: string;
  bundle: string;
  fingerprint: string | null;
  session: Session | null;
}

// RFC 9457; `field` names the key of the request that was refused.
export interface Problem {
  status: number;
  code: string;
  title: string;
  detail: string;
  remedy: string | null;
  field: string | null;
  retry_after_s: number | null;
}

export interface Reason {
  part: string;
  code: string;
  state: TrustState;
  what: string;
  remedy: string;
  since: string | null;
}

export type StepName =
  | "signal"
  | "ephemerides"
  | "position"
  | "record"
  | "certainty"
  | "adopted"
  | "trusted"
  | "rovers";

export interface RoadStep {
  step: StepName;
  state: "done" | "working" | "waiting" | "stopped";
  since: string | null;
  what: string;
  remaining_s: number | null;
}

export interface Job {
  id: string;
  kind: "growth" | "day" | "solve" | "export";
  state: "waiting" | "running" | "done" | "failed" | "cancelled";
  by: string | null;
  asked: string;
  started: string | null;
  ended: string | null;
  start: string | null;
  end: string | null;
  step: string | null;
  progress: number | null;
  what: string;
  why: string;
  record: number | null;
  report: boolean;
  files: { name: string; bytes: number }[];
}

export interface Now {
  schema_version: number;
  station: string;
  simulated: boolean;
  now: string;
  started: string;
  trust: {
    state: TrustState;
    since: string;
    sentence: string;
    reasons: Reason[];
    warnings: Reason[];
  };
  road: RoadStep[];
  receiver: {
    state: "opening" | "open" | "silent" | "waiting" | "ended";
    source: string | null;
    since: string | null;
    why: string;
    last_byte_age_s: number | null;
    bytes: number;
  };
  data: {
    last_epoch: string | null;
    last_epoch_age_s: number | null;
    epochs_received: number;
    epochs_missed: number;
    satellites: number | null;
    cn0_mean_dbhz: number | null;
  };
  recording: {
    state: "idle" | "recording" | "cannot_write" | "off";
    why: string;
    durable_offset: number | null;
    end_offset: number | null;
    dropped_bytes: number;
    disk_free_bytes: number | null;
  };
  rovers: { connected: number };
  job: Job | null;
}

export interface SkySatellite {
  id: string;
  azimuth_deg: number | null;
  elevation_deg: number | null;
  seen: boolean;
  signals: { code: string; cn0_dbhz: number | null }[];
}

export interface Sky {
  schema_version: number;
  now: string;
  satellites: SkySatellite[];
  tracks: { id: string; unix_s: number[]; azimuth_deg: Nullable[]; elevation_deg: Nullable[] }[];
  systems: { system: string; seen: number; above: number }[];
  cn0: { bins_deg: number[]; mean_dbhz: Nullable[] };
}

// Coordinates are null for guests.
export interface Candidate {
  id: number;
  method: string;
  products: string | null;
  origin: "station" | "imported" | "by_hand";
  source: string | null;
  added: string;
  by: string | null;
  first: string | null;
  end: string | null;
  hours: number | null;
  frame: string;
  epoch: string;
  ecef_m: Vec3 | null;
  geodetic_deg_m: Vec3 | null;
  sigma_enu_mm: Vec3;
  difference_enu_mm: Vec3 | null;
  agrees: boolean | null;
  why: string;
  adopted: boolean;
  adoptable: boolean;
}

export interface Adopted {
  record: number;
  method: string;
  at: string;
  by: string | null;
  why: string;
  frame: string;
  epoch: string;
  ecef_m: Vec3 | null;
  geodetic_deg_m: Vec3 | null;
  sigma_enu_mm: Vec3;
  point: string;
  arp_ecef_m: Vec3 | null;
}

export interface Coordinate {
  schema_version: number;
  frame: string;
  epoch: string;
  plate: string | null;
  adopted: Adopted | null;
  candidates: Candidate[];
  growth: {
    unix_s: number[];
    hours: Nullable[];
    sigma_e_mm: Nullable[];
    sigma_n_mm: Nullable[];
    sigma_u_mm: Nullable[];
    method: string[];
    record: Nullable[];
  };
  adoptions: { id: number; record: number; at: string; by: string | null; why: string }[];
  live: {
    geodetic_deg_m: Vec3 | null;
    sigma_enu_m: Vec3;
    epochs: number;
    first: string;
    last: string;
    apart_m: number | null;
  } | null;
  warnings: { code: string; what: string; size_m: number | null }[];
}

export interface Account {
  name: string;
  kind: "stream" | "person";
  enabled: boolean;
  max_connections: number | null;
  max_bytes_per_hour: number | null;
  connected: number;
}

export interface Stream {
  schema_version: number;
  broadcast: {
    kind: "adopted" | "provisional" | "receiver" | "none";
    record: number | null;
    type: number | null;
    arp_ecef_m: Vec3 | null;
    notice: string | null;
  };
  mountpoints: { name: string; open: boolean; rovers: number }[];
  rovers: {
    name: string | null;
    mount: string;
    address: string | null;
    since: string;
    sent_bytes: number;
  }[];
  totals: {
    connected: number;
    accepted: number;
    refused: number;
    cut: number;
    sent_bytes: number;
  };
  messages: { type: number; count: number; rate_hz: number | null }[];
  composed: { passed: number; dropped: number; withheld: number; inserted: number };
  age_s: number | null;
  accounts: Account[] | null;
}

export interface RecordHour {
  start: string;
  path: string | null;
  bytes: number;
  disk_bytes: number;
  first_epoch: string | null;
  last_epoch: string | null;
  epochs: number | null;
  open: boolean;
}

export interface RecordDoc {
  schema_version: number;
  from: string;
  to: string;
  hours: RecordHour[];
  gaps: { from: string; to: string; cause: string }[];
  disk: {
    free_bytes: number | null;
    leave_free_bytes: number | null;
    used_bytes: number | null;
    days_left: number | null;
  };
  minutes: {
    unix_s: number[];
    epochs: Nullable[];
    satellites: Nullable[];
    cn0_dbhz: Nullable[];
  };
}

export interface LogEntry {
  id: number;
  at: string;
  kind: string;
  text: string;
  details: Record<string, unknown>;
}

export interface Logbook {
  schema_version: number;
  entries: LogEntry[];
  // Goes back into `before` as it is.
  next: string | number | null;
  kinds: string[];
}

export interface Person {
  name: string;
  role: Role;
  enabled: boolean;
}

export interface People {
  schema_version: number;
  people: Person[];
}

export interface Jobs {
  schema_version: number;
  jobs: Job[];
}

export interface Hello {
  version: string;
  bundle: string;
}

export interface Changed {
  what: string[];
}
