// A short list of what is so: a word and a sentence each.
import type { ComponentChildren, JSX } from "preact";

export interface Fact {
  name: string;
  value: ComponentChildren;
  // A second line, smaller.
  more?: ComponentChildren;
  // Something is not as it should be: marked by a word and a mark, not by colour.
  amiss?: boolean;
}

export function Facts(props: { facts: Fact[] }): JSX.Element {
  return (
    <dl class="facts">
      {props.facts.map((fact) => (
        <div key={fact.name} class={fact.amiss === true ? "fact amiss" : "fact"}>
          <dt>{fact.name}</dt>
          <dd>
            <span>{fact.value}</span>
            {fact.more === undefined ? null : <span class="more">{fact.more}</span>}
          </dd>
        </div>
      ))}
    </dl>
  );
}
