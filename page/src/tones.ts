// How frames print: the program's answers, each asked once.

import { json } from "./ask.js";
import type { Frame, Printed } from "./contract.js";
import { Shelf } from "./shelf.js";

/** What is left out stands as it is noted. */
export interface Trial {
  grade?: string;
  exposure?: string;
  place?: string;
}

export type Tone = Omit<Printed, "screen"> & { screen: Uint8Array };

/** Answers that are kept; each is 4 kB of tones and a curve. */
const ROOM = 2000;
const shelf = new Shelf<Tone>(ROOM, () => 1);

/** `noted` printed as `wished` says. Only what differs is asked for: notes may hold more than a grade and stops can say. */
export function printed(noted: Frame, wished: Trial): Promise<Tone> {
  const query = new URLSearchParams();
  for (const key of ["grade", "exposure", "place"] as const) {
    const wish = wished[key];
    if (wish !== undefined && wish !== noted[key]) query.set(key, wish);
  }
  return ask(noted, query.toString());
}

/** As on the straight pages. */
export function straight(frame: Frame): Promise<Tone> {
  return ask(frame, "straight");
}

function ask(frame: Frame, query: string): Promise<Tone> {
  return shelf.get(`${frame.id} ${frame.revision} ${query}`, async () => {
    const answer = await json<Printed>(`frame/${frame.id}/printed${query ? `?${query}` : ""}`);
    return { ...answer, screen: Uint8Array.from(atob(answer.screen), (c) => c.charCodeAt(0)) };
  });
}
