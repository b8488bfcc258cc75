// How frames print: the program's answers, each asked once.
import { json } from "./ask.js";
import { Shelf } from "./shelf.js";
/** Answers that are kept; each is 4 kB of tones and a curve. */
const ROOM = 2000;
const shelf = new Shelf(ROOM, () => 1);
/** `noted` printed as `wished` says. Only what differs is asked for: notes may hold more than a grade and stops can say. */
export function printed(noted, wished) {
    const query = new URLSearchParams();
    for (const key of ["grade", "exposure", "place"]) {
        const wish = wished[key];
        if (wish !== undefined && wish !== noted[key])
            query.set(key, wish);
    }
    return ask(noted, query.toString());
}
/** As on the straight pages. */
export function straight(frame) {
    return ask(frame, "straight");
}
function ask(frame, query) {
    return shelf.get(`${frame.id} ${frame.revision} ${query}`, async () => {
        const answer = await json(`frame/${frame.id}/printed${query ? `?${query}` : ""}`);
        return { ...answer, screen: Uint8Array.from(atob(answer.screen), (c) => c.charCodeAt(0)) };
    });
}
