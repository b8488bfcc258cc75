// What happens elsewhere: notes changed in an editor or in another tab, and how far work is.

import type { Batch, Frame, Work } from "./contract.js";
import { json } from "./ask.js";

export interface Heard {
  frame(frame: Frame): void;
  work(work: Work): void;
  /** The program answers again: all that was missed meanwhile. */
  again(batch: Batch): void;
  away(away: boolean): void;
}

export function listen(heard: Heard): void {
  const source = new EventSource("events");
  let lost = false;
  source.addEventListener("frame", (event) => heard.frame(JSON.parse(event.data as string) as Frame));
  source.addEventListener("work", (event) => heard.work(JSON.parse(event.data as string) as Work));
  const anew = (): void => {
    json<Batch>("batch").then(
      (batch) => {
        heard.away(false);
        heard.again(batch);
      },
      () => heard.away(true),
    );
  };
  // Some lines were missed.
  source.addEventListener("anew", anew);
  source.addEventListener("error", () => {
    lost = true;
    heard.away(true);
    // A browser does not come back by itself when it was refused.
    if (source.readyState === EventSource.CLOSED) setTimeout(() => listen(heard), 3000);
  });
  source.addEventListener("open", () => {
    if (!lost) return;
    lost = false;
    anew();
  });
}
