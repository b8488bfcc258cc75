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

/** Codes of net density, little-endian as every browser's own numbers are. */
export async function codes(address: string): Promise<Uint16Array> {
  return new Uint16Array(await (await answer(address)).arrayBuffer());
}

/** The bare answer, whatever its status: who writes must look at it. */
export function post(address: string, body: unknown): Promise<Response> {
  return fetch(address, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}
