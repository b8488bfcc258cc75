// Net pictures: whole ones for the bench, smaller ones for the table.

import { codes } from "./ask.js";
import type { Frame } from "./contract.js";
import { reduce, type Net } from "./reduce.js";
import { Shelf } from "./shelf.js";

const MEGABYTE = 1 << 20;
const bytes = (net: Net): number => net.codes.byteLength;
const whole = new Shelf<Net>(96 * MEGABYTE, bytes);
const smaller = new Shelf<Net>(192 * MEGABYTE, bytes);

/** Pictures of so many frames are fetched at a time: those looked at now are not to wait for all others. */
const AT_ONCE = 4;
let fetching = 0;
const waiting: (() => void)[] = [];

export function net(frame: Frame): Promise<Net> {
  return whole.get(`${frame.id}`, () => fetchNet(frame));
}

/** The largest picture of a whole number of pixels made one that still has `width` pixels across. */
export async function netOf(frame: Frame, width: number): Promise<Net> {
  const by = Math.max(1, Math.floor(frame.width / Math.max(1, width)));
  if (by === 1) return net(frame);
  return smaller.get(`${frame.id} ${by}`, async () => reduce(await fetchNet(frame), by));
}

async function fetchNet(frame: Frame): Promise<Net> {
  if (fetching >= AT_ONCE) await new Promise<void>((go) => waiting.push(go));
  fetching++;
  try {
    const picture = await codes(`frame/${frame.id}/net`);
    if (picture.length !== frame.width * frame.height) throw new Error(`${frame.name}: the picture came in part`);
    return { codes: picture, width: frame.width, height: frame.height };
  } finally {
    fetching--;
    waiting.shift()?.();
  }
}
