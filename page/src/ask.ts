// Asking the program. What it refuses comes back as an error with its own words.

export class Refused extends Error {
  constructor(
    readonly status: number,
    words: string,
  ) {
    super(words);
  }
}

async function answer(address: string, how?: RequestInit): Promise<Response> {
  const response = await fetch(address, { cache: "no-store", ...how });
  if (!response.ok) throw new Refused(response.status, (await response.text()) || response.statusText);
  return response;
}

export async function json<T>(address: string): Promise<T> {
  return (await (await answer(address)).json()) as T;
}

/** A picture of net densities: its codes row by row. */
export interface Net {
  codes: Uint16Array;
  width: number;
  height: number;
}

/** Codes are little-endian, as every browser's own numbers are; the picture's size is in the headers. */
export async function net(address: string): Promise<Net> {
  const response = await answer(address);
  const [width, height] = ["x-width", "x-height"].map((name) => Number(response.headers.get(name)));
  const codes = new Uint16Array(await response.arrayBuffer());
  if (!width || !height || codes.length !== width * height) throw new Error("the picture came in part: step in again");
  return { codes, width, height };
}

/** The bare answer, whatever its status: who writes must look at it. */
export function post(address: string, body: unknown): Promise<Response> {
  return fetch(address, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}
