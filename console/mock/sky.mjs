// An invented sky for the mock: circular orbits over the demo's place, a grain bin
// in the north-east that hides what is low, and signal strengths that rise with
// elevation. Good enough to look at, not to learn from.
const kLat = (47.3 * Math.PI) / 180;
const kLon = (8.9 * Math.PI) / 180;
const kEarth_m = 6378137;
const kTurn_rad_s = 7.2921159e-5;

// letter, satellites, planes, radius [m], period [s], inclination [deg], signals
const kFleets = [
  { system: "G", count: 30, planes: 6, radius_m: 26.56e6, period_s: 43082, tilt_deg: 55, codes: ["1C", "2W", "5Q"] },
  { system: "E", count: 24, planes: 3, radius_m: 29.6e6, period_s: 50685, tilt_deg: 56, codes: ["1C", "5Q", "7Q"] },
  { system: "R", count: 22, planes: 3, radius_m: 25.51e6, period_s: 40544, tilt_deg: 64.8, codes: ["1C", "2C"] },
  { system: "C", count: 24, planes: 3, radius_m: 27.9e6, period_s: 46391, tilt_deg: 55, codes: ["2I", "6I", "1P"] },
];

function lookAt(fleet, index, unix_s) {
  const plane = index % fleet.planes;
  const slot = Math.floor(index / fleet.planes);
  const perPlane = Math.ceil(fleet.count / fleet.planes);
  const node = (2 * Math.PI * plane) / fleet.planes + fleet.system.charCodeAt(0);
  const along =
    (2 * Math.PI * unix_s) / fleet.period_s + (2 * Math.PI * (slot + plane / fleet.planes)) / perPlane;
  const tilt = (fleet.tilt_deg * Math.PI) / 180;
  const x0 = Math.cos(along);
  const y0 = Math.sin(along) * Math.cos(tilt);
  const turned = node - kTurn_rad_s * (unix_s % 86164.1);
  const x = fleet.radius_m * (x0 * Math.cos(turned) - y0 * Math.sin(turned));
  const y = fleet.radius_m * (x0 * Math.sin(turned) + y0 * Math.cos(turned));
  const z = fleet.radius_m * Math.sin(along) * Math.sin(tilt);
  const ux = Math.cos(kLat) * Math.cos(kLon);
  const uy = Math.cos(kLat) * Math.sin(kLon);
  const uz = Math.sin(kLat);
  const dx = x - kEarth_m * ux;
  const dy = y - kEarth_m * uy;
  const dz = z - kEarth_m * uz;
  const east = -Math.sin(kLon) * dx + Math.cos(kLon) * dy;
  const north = -Math.sin(kLat) * (Math.cos(kLon) * dx + Math.sin(kLon) * dy) + Math.cos(kLat) * dz;
  const up = ux * dx + uy * dy + uz * dz;
  const azimuth_deg = ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
  const elevation_deg = (Math.atan2(up, Math.hypot(east, north)) * 180) / Math.PI;
  return { azimuth_deg, elevation_deg };
}

const hidden = (azimuth_deg, elevation_deg) =>
  elevation_deg < 4 || (azimuth_deg > 25 && azimuth_deg < 70 && elevation_deg < 25);
const one = (value) => Math.round(value * 10) / 10;

export function skyOf(unix_s, { received = true, ephemerides = true } = {}) {
  const satellites = [];
  const tracks = [];
  const systems = [];
  for (const fleet of kFleets) {
    let seenCount = 0;
    let above = 0;
    for (let index = 0; index < fleet.count; index += 1) {
      const { azimuth_deg, elevation_deg } = lookAt(fleet, index, unix_s);
      if (elevation_deg < 0 || !ephemerides) continue;
      above += 1;
      const seen = received && !hidden(azimuth_deg, elevation_deg);
      if (seen) seenCount += 1;
      const id = fleet.system + String(index + 1).padStart(2, "0");
      const best = 34 + 14 * Math.sin((elevation_deg * Math.PI) / 180) + Math.sin(index * 7 + unix_s / 40);
      satellites.push({
        id,
        azimuth_deg: one(azimuth_deg),
        elevation_deg: one(elevation_deg),
        seen,
        signals: seen ? fleet.codes.map((code, at) => ({ code, cn0_dbhz: one(best - 2.5 * at) })) : [],
      });
      const track = { id, unix_s: [], azimuth_deg: [], elevation_deg: [] };
      for (let back = 36; back >= 0; back -= 1) {
        const then = Math.floor(unix_s / 300) * 300 - back * 300;
        const at = lookAt(fleet, index, then);
        if (at.elevation_deg < 0) continue;
        track.unix_s.push(then);
        track.azimuth_deg.push(one(at.azimuth_deg));
        track.elevation_deg.push(one(at.elevation_deg));
      }
      if (received) tracks.push(track);
    }
    systems.push({ system: fleet.system, seen: seenCount, above });
  }
  if (received && ephemerides) {
    satellites.push({
      id: "S23",
      azimuth_deg: null,
      elevation_deg: null,
      seen: true,
      signals: [{ code: "1C", cn0_dbhz: 41.2 }],
    });
  }
  const bins_deg = Array.from({ length: 18 }, (_, at) => at * 5);
  const mean_dbhz = bins_deg.map((from) => {
    const inside = satellites.filter(
      (sat) => sat.seen && sat.elevation_deg !== null && sat.elevation_deg >= from && sat.elevation_deg < from + 5,
    );
    if (inside.length === 0) return null;
    const sum = inside.reduce((total, sat) => total + Math.max(...sat.signals.map((sig) => sig.cn0_dbhz)), 0);
    return one(sum / inside.length);
  });
  return { schema_version: 1, satellites, tracks, systems, cn0: { bins_deg, mean_dbhz } };
}
