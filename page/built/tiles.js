// True pixels of a frame, by squares of the scan.
import { net } from "./ask.js";
import { Shelf } from "./shelf.js";
/** Side of a square in pixels; the program gives at most 1024. */
export const TILE = 512;
/** Squares kept: 32 MB. */
const shelf = new Shelf(64, () => 1);
export function tile(frame, column, row) {
    return shelf.get(`${frame.id} ${column} ${row}`, () => {
        const [x, y] = [column * TILE, row * TILE];
        const width = Math.min(TILE, frame.pixels[0] - x);
        const height = Math.min(TILE, frame.pixels[1] - y);
        return net(`frame/${frame.id}/tile?x=${x}&y=${y}&width=${width}&height=${height}`);
    });
}
