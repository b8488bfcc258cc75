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
/** Codes are little-endian, as every browser's own numbers are; the picture's size is in the headers. */
export async function net(address) {
    const response = await answer(address);
    const [width, height] = ["x-width", "x-height"].map((name) => Number(response.headers.get(name)));
    const codes = new Uint16Array(await response.arrayBuffer());
    if (!width || !height || codes.length !== width * height)
        throw new Error("the picture came in part: step in again");
    return { codes, width, height };
}
/** The bare answer, whatever its status: who writes must look at it. */
export function post(address, body) {
    return fetch(address, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(body),
    });
}
