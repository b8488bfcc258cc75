// What lies beyond the film where it was scanned askew: the holder lets no light through, so it would print as white wedges.

import type { Net } from "./ask.js";
import type { Frame } from "./contract.js";
import { codeOf } from "./net.js";

/** How much denser than the frame's dense end the holder is at least, in D (house: no film builds up so much at its very edge). */
const DENSER = 0.5;
/** How far in from the edge it may reach, of the longer side (house: an askewness of some three degrees). */
const REACH = 0.06;
/** Pixels over which holder and film run into one another, at most (house: a lens and its scatter spread an edge over some four). */
const SOFT = 6;
/**
 * How much thinner each of them is than the one before, at least, in D: what is left then prints by less than a sixth of a stop
 * too light, a smaller step than printers work in (common practice; film/ends.rs has the same). Grain stays below it on a sheet:
 * an rms granularity of 0.017 through 48 um (a fast film, from memory) is 0.010 in the square of 76 um that a pixel takes of
 * 4 x 5 in (Selwyn: it falls as the root of the area grows), 0.014 between two of them. On 24 x 36 mm it is as large as this: there a
 * pixel of film may be taken for edge, never more than SOFT from the holder.
 */
const FALL = 0.05;

const known = new WeakMap<Net, { from: number; places: number[] }>();

/** Lays the paper's black over what lies beyond the film, in RGBA bytes. */
export function blacken(net: Net, frame: Frame, screen: Uint8Array, into: Uint8ClampedArray): void {
  const black = screen[codeOf(0)] ?? 0;
  for (const place of beyond(net, frame.dense)) {
    into.fill(black, 4 * place, 4 * place + 3);
    into[4 * place + 3] = 255;
  }
}

/** Pixels that hang together with the picture's edge and are as dense as no film, and the slope from there down to the film. */
function beyond(net: Net, dense: number | null): number[] {
  if (dense === null) return [];
  const from = codeOf(dense + DENSER);
  const before = known.get(net);
  if (before?.from === from) return before.places;
  const { codes, width, height } = net;
  const reach = REACH * Math.max(width, height);
  const fall = codeOf(FALL) - codeOf(0);
  const places: number[] = [];
  /** How far from the holder a pixel was taken, and one more; 0 where it was not. */
  const taken = new Uint8Array(codes.length);
  const take = (at: number, far: number): void => {
    if (taken[at]) return;
    taken[at] = far + 1;
    places.push(at);
  };
  const around = (at: number, see: (next: number, step: number) => unknown): void => {
    const [x, y] = [at % width, Math.floor(at / width)];
    if (x > 0) see(at - 1, -1);
    if (x < width - 1) see(at + 1, 1);
    if (y > 0) see(at - width, -width);
    if (y < height - 1) see(at + width, width);
  };
  const deep = (at: number): number => {
    const [x, y] = [at % width, Math.floor(at / width)];
    return Math.min(x, y, width - 1 - x, height - 1 - y);
  };
  const isHolder = (at: number): boolean => codes[at]! >= from && deep(at) <= reach;
  /** Where a wedge runs out its pixels on the very edge are holder in part alone: they too are denser than those further in. */
  const isRim = (at: number, along: number): boolean => {
    if (deep(at) > 0) return false;
    let thinner = false;
    around(at, (next, step) => {
      if (Math.abs(step) !== Math.abs(along) && codes[at]! - codes[next]! >= fall) thinner = true;
    });
    return thinner;
  };
  for (let x = 0; x < width; x++) for (const at of [x, (height - 1) * width + x]) if (isHolder(at)) take(at, 0);
  for (let y = 0; y < height; y++) for (const at of [y * width, (y + 1) * width - 1]) if (isHolder(at)) take(at, 0);
  for (let i = 0; i < places.length; i++) around(places[i]!, (next) => isHolder(next) && take(next, 0));
  for (let i = 0; i < places.length; i++) {
    const at = places[i]!;
    const far = taken[at]! - 1;
    around(at, (next, step) => {
      if (deep(at) === 0 && isRim(next, step)) take(next, 0);
      else if (far < SOFT && codes[at]! - codes[next]! >= fall) take(next, far + 1);
    });
  }
  known.set(net, { from, places });
  return places;
}
