// What to look at before a frame is trusted.

import type { Frame } from "./contract.js";

/** What the program warns of, and what cannot be read in the shot notes, with its place there. */
export function notices({ flags, unread }: Frame): string[] {
  return [...flags.map((flag) => flag.message), ...Object.values(unread).map((slip) => `in the notes, ${slip}`)];
}
