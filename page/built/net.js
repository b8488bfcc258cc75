// Codes of net density: code = 1000 D + 500, from 0 to 4095.
export const CODES = 4096;
export function densityOf(code) {
    return (code - 500) / 1000;
}
export function codeOf(density) {
    return Math.min(CODES - 1, Math.max(0, Math.round(1000 * density) + 500));
}
/** A net density in D as it is said: none is below nothing by a rounding. */
export function netWords(density) {
    return density.toFixed(2).replace(/^-(?=0\.00$)/, "");
}
