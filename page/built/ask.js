// Asking the program. What it refuses comes back as an error with its own words.
export class Refused extends Error {
    status;
    constructor(status, words) {
        super(words);
        this.status = status;
    }
}
async function answer(address, how) {
    const response = await fetch(address, { cache: "no-store", ...how });
    if (!response.ok)
        throw new Refused(response.status, (await response.text()) || response.statusText);
    return response;
}
export async function json(address) {
    return (await (await answer(address)).json());
}
/** Codes of net density, little-endian as every browser's own numbers are. */
export async function codes(address) {
    return new Uint16Array(await (await answer(address)).arrayBuffer());
}
/** The bare answer, whatever its status: who writes must look at it. */
export function post(address, body) {
    return fetch(address, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(body),
    });
}
