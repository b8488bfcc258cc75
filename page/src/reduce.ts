// A net picture made smaller as a lens would: light is averaged, not density.

import { CODES, densityOf } from "./net.js";

export interface Net {
  codes: Uint16Array;
  width: number;
  height: number;
}

const LIGHT = Float64Array.from({ length: CODES }, (_, code) => 10 ** -densityOf(code));

/** `net` with squares of `by` pixels a side made one; what is left over at the right and below is dropped. */
export function reduce(net: Net, by: number): Net {
  const width = Math.max(1, Math.floor(net.width / by));
  const height = Math.max(1, Math.floor(net.height / by));
  const codes = new Uint16Array(width * height);
  const [across, down] = [Math.min(by, net.width), Math.min(by, net.height)];
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let light = 0;
      for (let dy = 0; dy < down; dy++) {
        const row = (y * by + dy) * net.width + x * by;
        for (let at = row; at < row + across; at++) light += LIGHT[net.codes[at]!]!;
      }
      const code = Math.round(500 - 1000 * Math.log10(light / (across * down)));
      codes[y * width + x] = Math.min(CODES - 1, Math.max(0, code));
    }
  }
  return { codes, width, height };
}
