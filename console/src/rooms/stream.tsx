// What leaves the station and why, who gets it, and who may.
import type { JSX } from "preact";
import { now, useDocument } from "../state.ts";
import type { Now, Stream, Vec3 } from "../types.ts";
import { CopyButton } from "../ui/copy.tsx";
import { Facts, type Fact } from "../ui/facts.tsx";
import { bytes, kUnknown, number, plural, quantity, span } from "../ui/format.ts";
import { Panel, type Absent } from "../ui/panel.tsx";
import { When } from "../ui/when.tsx";
import { AccountList } from "./stream_accounts.tsx";
import { messageName, oldestGood_s } from "./stream_messages.ts";

export function StreamRoom(): JSX.Element {
  const stream = useDocument<Stream>("stream", "stream");
  return (
    <>
      <div class="columns">
        <Panel title="What is broadcast" resource={stream} first={nothingYet} empty={() => null}>
          {(of) => <Broadcast of={of} />}
        </Panel>
        <Panel title="Where rovers connect" resource={stream} first={() => null} empty={noMountpoint}>
          {(of) => <Mountpoints of={of} />}
        </Panel>
      </div>
      <Panel title="Rovers at present" resource={stream} first={noRoverEver} empty={noRover}>
        {(of) => <Rovers of={of} />}
      </Panel>
      <AccountList resource={stream} />
      <Panel title="Messages from the receiver" resource={stream} first={noMessageYet} empty={() => null}>
        {(of) => <Messages of={of} />}
      </Panel>
    </>
  );
}

function nothingYet(of: Stream): Absent | null {
  if (of.messages.length > 0 || of.totals.accepted > 0) return null;
  return {
    will: "What rovers are sent, with which coordinate, and the reason for it.",
    why: "The receiver has sent no RTCM message since the station started, so there is nothing to pass on.",
    action: (
      <a class="button" href="#/now">
        See what is missing
      </a>
    ),
  };
}

function noMountpoint(of: Stream): Absent | null {
  if (of.mountpoints.length > 0) return null;
  return {
    will: "The mountpoints that rovers can choose.",
    why: "None stands in station.toml. Add a [[mountpoint]] there; it is taken up with a reload.",
  };
}

function noRoverEver(of: Stream): Absent | null {
  if (of.totals.accepted > 0 || of.rovers.length > 0) return null;
  return {
    will: "Each rover with its mountpoint, how long it has been here, and how much it was sent.",
    why: "No rover has been here since the station started. It needs an access of its own, or an open mountpoint.",
  };
}

function noRover(of: Stream): Absent | null {
  if (of.rovers.length > 0) return null;
  return {
    will: "Each rover with its mountpoint, how long it has been here, and how much it was sent.",
    why: `Nobody is connected just now. Since the station started ${plural(of.totals.accepted, "connection was", "connections were")} let in and ${number(of.totals.refused)} refused.`,
  };
}

function noMessageYet(of: Stream): Absent | null {
  if (of.messages.length > 0) return null;
  return {
    will: "Each kind of message that the receiver sends, with its rate.",
    why: "No message has come since the station started.",
  };
}

const kKinds: Record<Stream["broadcast"]["kind"], string> = {
  adopted: "Corrections with the adopted coordinate",
  provisional: "Corrections with a provisional coordinate",
  receiver: "Corrections with whatever coordinate the receiver itself sends",
  none: "No coordinate is sent",
};

// Why it is so, as far as the verdict of the station tells.
function because(kind: Stream["broadcast"]["kind"], at: Now | null): string {
  const state = at?.trust.state;
  if (kind === "adopted") {
    return state === "doubtful"
      ? "The station is doubtful, so rovers get a notice beside it."
      : "An owner adopted it, and the station stands by it.";
  }
  if (kind === "provisional") return "None has been adopted yet, and station.toml allows a provisional one.";
  if (kind === "receiver") return "None has been adopted, and station.toml leaves the receiver's own in the stream.";
  const reason = at?.trust.reasons[0]?.what;
  if (state === "withheld") return `The station holds it back. ${reason ?? ""}`;
  if (state === "building") return "None has been adopted yet. An owner does it in the room Coordinate.";
  return "None has been adopted, or nothing comes from the receiver.";
}

function Ecef(props: { of: Vec3 }): JSX.Element {
  return (
    <span class="ecef">
      {props.of.map((part, axis) => (
        <span key={axis}>
          {"XYZ".charAt(axis)} {quantity(part, "m", 4)}
        </span>
      ))}
    </span>
  );
}

function Broadcast(props: { of: Stream }): JSX.Element {
  const { broadcast, composed, age_s, totals } = props.of;
  const arp = broadcast.arp_ecef_m;
  const facts: Fact[] = [
    {
      name: "Coordinate",
      value: arp === null ? kUnknown : <Ecef of={arp} />,
      more:
        arp === null ? (
          "Nothing is sent, or your role does not see coordinates."
        ) : (
          <>
            Antenna reference point, in message {broadcast.type ?? "—"}
            {broadcast.record === null ? "" : `, from record ${broadcast.record}`}.{" "}
            <CopyButton text={arp.map((part) => part.toFixed(4)).join(" ")} what="X Y Z" />
          </>
        ),
    },
    {
      name: "Age",
      value: age_s === null ? "Nothing has gone out" : `The newest epoch is ${quantity(age_s, "s", 1)} old`,
      amiss: age_s !== null && age_s > oldestGood_s(props.of.messages),
    },
    {
      name: "Messages",
      value: `${number(composed.passed)} passed on as they came`,
      more: `${number(composed.dropped)} left out, ${number(composed.inserted)} put in, ${number(composed.withheld)} held back`,
      amiss: now.data.value?.trust.state === "withheld",
    },
    {
      name: "Connections",
      value: `${number(totals.accepted)} let in, ${number(totals.refused)} refused`,
      more: `${number(totals.cut)} cut for being too slow; ${bytes(totals.sent_bytes)} sent in all`,
    },
  ];
  return (
    <>
      <p class="says">
        <strong>{kKinds[broadcast.kind]}.</strong> {because(broadcast.kind, now.data.value)}
      </p>
      {broadcast.notice === null ? null : (
        <p class="told">
          Rovers are told in message 1029: <q>{broadcast.notice}</q>
        </p>
      )}
      {broadcast.kind === "none" ? <Facts facts={facts.slice(1)} /> : <Facts facts={facts} />}
    </>
  );
}

function Mountpoints(props: { of: Stream }): JSX.Element {
  return (
    <>
      <ul class="rows">
        {props.of.mountpoints.map((mount) => (
          <li key={mount.name}>
            <div>
              <p class="row-name">
                <code>{mount.name}</code>
              </p>
              <p class="row-more">{mount.open ? "Open to everybody" : "For those with an access"}</p>
            </div>
            <p>{mount.rovers === 0 ? "no rover" : plural(mount.rovers, "rover")}</p>
          </li>
        ))}
      </ul>
      <p class="small-print">
        A rover needs this station's address (<code>{location.hostname}</code> from where you are), the
        rovers' port (2101 unless <code>[rovers] listen</code> says another), a mountpoint, and for a
        closed one a name with its token.
      </p>
    </>
  );
}

function Rovers(props: { of: Stream }): JSX.Element {
  return (
    <ul class="rows">
      {props.of.rovers.map((rover, index) => (
        <li key={`${rover.name ?? ""} ${rover.since} ${index}`}>
          <div>
            <p class="row-name">{rover.name ?? "A rover"}</p>
            <p class="row-more">
              <code>{rover.mount}</code> since <When at={rover.since} />
              {rover.address === null ? "" : `, from ${rover.address}`}
            </p>
          </div>
          <p>was sent {bytes(rover.sent_bytes)}</p>
        </li>
      ))}
    </ul>
  );
}

// "once a second", "every 10 s".
function pace(rate_hz: number | null): string {
  if (rate_hz === null) return "not at present";
  if (rate_hz >= 0.95) return rate_hz < 1.05 ? "once a second" : `${number(rate_hz, 1)} a second`;
  return rate_hz > 0 ? `every ${span(1 / rate_hz)}` : "not in the last minutes";
}

function Messages(props: { of: Stream }): JSX.Element {
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label="Messages from the receiver, a table">
      <table>
        <thead>
          <tr>
            <th scope="col">Type</th>
            <th scope="col">What it carries</th>
            <th scope="col">How often</th>
            <th scope="col" class="number">
              So far
            </th>
          </tr>
        </thead>
        <tbody>
          {props.of.messages.map((message) => (
            <tr key={message.type}>
              <th scope="row">{message.type}</th>
              <td>{messageName(message.type)}</td>
              <td>{pace(message.rate_hz)}</td>
              <td class="number">{number(message.count)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
