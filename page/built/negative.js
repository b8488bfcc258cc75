// The negative itself, as it lies on a lit table: what is left of the table's light behind base and picture.
import { luminanceOf, screenCode } from "./light.js";
import { CODES, densityOf } from "./net.js";
/** L* of the lit surface: bright, and still below the white that prints are judged by (house). */
export const LIT = 92;
/** sRGB greys for all codes of net density, over a base of `base` D. */
export function negative(base) {
    const screen = new Uint8Array(CODES);
    for (let code = 0; code < CODES; code++) {
        screen[code] = screenCode(luminanceOf(LIT) * 10 ** -(densityOf(code) + base));
    }
    return screen;
}
