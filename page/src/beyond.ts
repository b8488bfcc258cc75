// What lies beyond the film where it was scanned askew: the holder lets no light through, so it would print as white wedges.

import type { Net } from "./ask.js";
import type { Frame } from "./contract.js";
import { codeOf } from "./net.js";

/** How much denser than the frame's dense end the holder is at least, in D (house: no film builds up so much at its very edge). */
const DENSER = 0.5;
/** How far in from the edge it may reach, of the longer side (house: an askewness of some three degrees). */
const REACH = 0.06;
/** Pixels in which holder and film run into one another, and the least density that tells them from clear film there, in D (house). */
const SOFT = 2;
const TRACE = 0.1;

const known = new WeakMap<Net, { from: number; places: number[] }>();

/** Lays the paper's black over what lies beyond the film, in RGBA bytes. */
export function blacken(net: Net, frame: Frame, screen: Uint8Array, into: Uint8ClampedArray): void {
  const black = screen[codeOf(0)] ?? 0;
  for (const place of beyond(net, frame.dense)) {
    into.fill(black, 4 * place, 4 * place + 3);
    into[4 * place + 3] = 255;
  }
}

/** Pixels that hang together with the picture's edge and are as dense as no film. */
function beyond(net: Net, dense: number | null): number[] {
  if (dense === null) return [];
  const from = codeOf(dense + DENSER);
  const before = known.get(net);
  if (before?.from === from) return before.places;
  const { codes, width, height } = net;
  const reach = REACH * Math.max(width, height);
  const taken = new Uint8Array(codes.length);
  const places: number[] = [];
  const take = (x: number, y: number, wanted: number, deep: number): void => {
    if (x < 0 || y < 0 || x >= width || y >= height) return;
    const at = y * width + x;
    if (taken[at] || codes[at]! < wanted || Math.min(x, y, width - 1 - x, height - 1 - y) > deep) return;
    taken[at] = 1;
    places.push(at);
  };
  const around = (at: number, wanted: number, deep: number): void => {
    const [x, y] = [at % width, Math.floor(at / width)];
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) take(x + dx, y + dy, wanted, deep);
  };
  for (let x = 0; x < width; x++) for (const y of [0, height - 1]) take(x, y, from, reach);
  for (let y = 0; y < height; y++) for (const x of [0, width - 1]) take(x, y, from, reach);
  for (let next = 0; next < places.length; next++) around(places[next]!, from, reach);
  // Along the very edge the wedge runs out in pixels that are holder in part.
  for (let next = 0; next < places.length; next++) around(places[next]!, codeOf(TRACE), SOFT);
  for (let wide = 0, next = 0; wide < SOFT; wide++) {
    for (const end = places.length; next < end; next++) around(places[next]!, 0, reach);
  }
  known.set(net, { from, places });
  return places;
}
