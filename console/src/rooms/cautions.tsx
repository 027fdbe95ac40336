// What may hurt people or cost them dearly. Shown on the first page that anybody
// sees, and reachable from every other.
import type { JSX } from "preact";

const kCautions: { title: string; words: string }[] = [
  {
    title: "Roofs and masts",
    words:
      "Use fall protection, never work up there alone, and keep well clear of overhead lines, mast and ladder included.",
  },
  {
    title: "Lightning and earthing",
    words:
      "A licensed electrician earths the mast to the local code and fits a protector where the antenna cable enters the house. Stay away from it in a thunderstorm.",
  },
  {
    title: "Mains and power over the network cable outdoors",
    words: "The same electrician, the same code: parts made for outdoors, with the protection they ask for.",
  },
  {
    title: "Radio links",
    words: "Sending needs the licence, or has to keep to the licence-free limits, of the place where the aerial stands.",
  },
  {
    title: "Legal boundaries and construction control",
    words:
      "These belong to people licensed for them. A coordinate from this program is not a survey certificate.",
  },
  {
    title: "Machines and drones",
    words: "Corrections are no safety function. Keep the safety functions of the machine itself, and keep them switched on.",
  },
  {
    title: "Life and limb, aviation",
    words: "Corrections from this station are not meant for anything on which a life depends, nor for aviation.",
  },
];

export function CautionList(): JSX.Element {
  return (
    <dl class="cautions">
      {kCautions.map((one) => (
        <div key={one.title}>
          <dt>{one.title}</dt>
          <dd>{one.words}</dd>
        </div>
      ))}
    </dl>
  );
}

export function Cautions(): JSX.Element {
  return (
    <section class="panel">
      <div class="panel-head">
        <h2>Before you climb, connect or rely on it</h2>
      </div>
      <CautionList />
    </section>
  );
}
