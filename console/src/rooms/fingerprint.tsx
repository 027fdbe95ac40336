// The fingerprint of the station's own certificate, to be compared by eye.
import type { JSX } from "preact";

export function Fingerprint(props: { of: string | null }): JSX.Element {
  if (props.of === null) {
    return (
      <p class="small-print">
        This page came without encryption. That is meant for the station's own network; from outside
        of it, use TLS.
      </p>
    );
  }
  return (
    <div class="fingerprint">
      <p>
        Where the browser warns of the station's certificate, compare: it is the right one if the browser
        shows this SHA-256 fingerprint, and the command above printed the same.
      </p>
      <p>
        <code>{props.of}</code>
      </p>
    </div>
  );
}
