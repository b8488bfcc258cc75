// Net pictures, as large as they are looked at.

import * as ask from "./ask.js";
import type { Net } from "./ask.js";
import type { Frame } from "./contract.js";
import { Shelf } from "./shelf.js";

const MEGABYTE = 1 << 20;
const shelf = new Shelf<Net>(256 * MEGABYTE, (net) => net.codes.byteLength);
/** Long edges that pictures are asked for, in pixels: few, so that a table that changes its size need not ask anew each time (house). */
const EDGES = [400, 800, 1600, 2400];

/** So many pictures are fetched at a time; the latest wish comes first, for the eye has moved on. */
const AT_ONCE = 4;
let fetching = 0;
const waiting: (() => void)[] = [];

/** One whose long edge has at least `long` pixels, where the frame has as many and the program gives as many. */
export function net(frame: Frame, long: number): Promise<Net> {
  const most = Math.max(...frame.pixels);
  const edge = EDGES.find((edge) => edge >= Math.min(long, most)) ?? EDGES.at(-1)!;
  return shelf.get(`${of(frame)} ${edge}`, () => fetchNet(`frame/${frame.id}/net?edge=${edge}`));
}

/** A frame that is made again may have another outline and another base. */
function of(frame: Frame): string {
  return [frame.id, frame.width, frame.height, frame.base, frame.away].join(" ");
}

async function fetchNet(address: string): Promise<Net> {
  if (fetching >= AT_ONCE) await new Promise<void>((go) => waiting.push(go));
  fetching++;
  try {
    return await ask.net(address);
  } finally {
    fetching--;
    waiting.pop()?.();
  }
}
