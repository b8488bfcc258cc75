// The tone table laid on a picture: one look-up a pixel, so that a print follows the hand.
import { CODES } from "./net.js";
/** `codes` through `screen` (4096 sRGB greys) as RGBA bytes into `into`, four for each code. */
export function develop(codes, screen, into) {
    if (screen.length !== CODES)
        throw new Error(`a tone table has ${CODES} greys, not ${screen.length}`);
    if (into.length !== 4 * codes.length)
        throw new Error(`${codes.length} pixels do not fit ${into.length} bytes`);
    const inks = palette(screen);
    const pixels = new Uint32Array(into.buffer, into.byteOffset, codes.length);
    for (let at = 0; at < codes.length; at++)
        pixels[at] = inks[codes[at]];
}
/** The same for the columns (or rows) from `from` to `to` alone: one band of a test strip. */
export function developBand(codes, width, across, from, to, screen, into) {
    const inks = palette(screen);
    const pixels = new Uint32Array(into.buffer, into.byteOffset, codes.length);
    const height = codes.length / width;
    const [left, right, top, bottom] = across ? [from, to, 0, height] : [0, width, from, to];
    for (let y = top; y < bottom; y++) {
        for (let at = y * width + left; at < y * width + right; at++)
            pixels[at] = inks[codes[at]];
    }
}
function palette(screen) {
    const bytes = new Uint8Array(4 * CODES);
    for (let code = 0; code < CODES; code++) {
        bytes.fill(screen[code], 4 * code, 4 * code + 3);
        bytes[4 * code + 3] = 255;
    }
    return new Uint32Array(bytes.buffer);
}
