// Codes of net density: code = 1000 D + 500, from 0 to 4095.

export const CODES = 4096;

export function densityOf(code: number): number {
  return (code - 500) / 1000;
}

export function codeOf(density: number): number {
  return Math.min(CODES - 1, Math.max(0, Math.round(1000 * density) + 500));
}
