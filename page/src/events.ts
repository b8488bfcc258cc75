// What happens elsewhere: notes changed in an editor or in another tab, and how far work is.

import type { Batch, Frame, Work } from "./contract.js";
import { json } from "./ask.js";

export interface Heard {
  frame(frame: Frame): void;
  /** None, once what has ended was put away. */
  work(work: Work | null): void;
  /** The program answers again: all that was missed meanwhile, and when it was asked for, by the page's clock. */
  again(batch: Batch, asked: number): void;
  away(away: boolean): void;
}

export function listen(heard: Heard): void {
  const source = new EventSource("events");
  source.addEventListener("frame", (event) => heard.frame(JSON.parse(event.data as string) as Frame));
  source.addEventListener("work", (event) => heard.work(JSON.parse(event.data as string) as Work | null));
  const anew = (): void => {
    const asked = performance.now();
    json<Batch>("batch").then(
      (batch) => {
        heard.away(false);
        heard.again(batch, asked);
      },
      () => heard.away(true),
    );
  };
  // Some lines were missed.
  source.addEventListener("anew", anew);
  source.addEventListener("error", () => {
    heard.away(true);
    // A browser does not come back by itself when it was refused.
    if (source.readyState === EventSource.CLOSED) setTimeout(() => listen(heard), 3000);
  });
  // Also the first time: something may have come between the batch and this line.
  source.addEventListener("open", anew);
}
