// What happens elsewhere: notes changed in an editor or in another tab, and how far work is.
import { json } from "./ask.js";
export function listen(heard) {
    const source = new EventSource("events");
    source.addEventListener("frame", (event) => heard.frame(JSON.parse(event.data)));
    source.addEventListener("work", (event) => heard.work(JSON.parse(event.data)));
    const anew = () => {
        const asked = performance.now();
        json("batch").then((batch) => {
            heard.away(false);
            heard.again(batch, asked);
        }, () => heard.away(true));
    };
    // Some lines were missed.
    source.addEventListener("anew", anew);
    source.addEventListener("error", () => {
        heard.away(true);
        // A browser does not come back by itself when it was refused.
        if (source.readyState === EventSource.CLOSED)
            setTimeout(() => listen(heard), 3000);
    });
    // Also the first time: something may have come between the batch and this line.
    source.addEventListener("open", anew);
}
