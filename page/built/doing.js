// Prints and sheets made from here: the commands' own work, how far it is, and a way to stop.
import { post } from "./ask.js";
import { element } from "./element.js";
export class Doing {
    batch;
    said;
    written;
    prints = element("button", { type: "button" });
    sheets = element("button", { type: "button" }, "make sheets");
    stop = element("button", { type: "button", class: "stop" }, "stop");
    away = element("button", { type: "button", class: "away" }, "put away");
    far = element("progress", { "aria-label": "how far it is" });
    words = element("p", { role: "status" });
    failures = element("ul", { "aria-label": "what went wrong" });
    work = null;
    marked = 0;
    /** When it was told last, by the page's clock. */
    last = 0;
    constructor(place, batch, said, written) {
        this.batch = batch;
        this.said = said;
        this.written = written;
        place.append(this.words, this.far, this.stop, this.away, this.prints, this.sheets, this.failures);
        // A mark that is on its way into the notes counts.
        this.prints.addEventListener("click", () => void this.written().then(() => this.start("do/prints")));
        this.sheets.addEventListener("click", () => void this.written().then(() => this.start("do/sheets")));
        this.stop.addEventListener("click", () => void this.start("stop"));
        this.away.addEventListener("click", () => this.show(null, this.marked));
        this.show(null, 0);
    }
    show(work, marked) {
        this.work = work;
        this.marked = marked;
        const running = work?.running ?? false;
        this.far.hidden = this.stop.hidden = !running;
        this.away.hidden = !work || running;
        this.prints.hidden = this.sheets.hidden = running;
        const size = this.batch.size.replace("x", " \u00d7 ").replace(/(\d)([a-z])/, "$1 $2");
        this.prints.replaceChildren(element("span", {}, "print the marked ones"), element("small", {}, `on ${size}`));
        this.prints.disabled = marked === 0;
        this.prints.title = marked === 0 ? "mark frames with a ring first" : "";
        this.words.hidden = !work;
        this.words.classList.toggle("ended", !running);
        const [ended, ...failed] = running ? [] : this.ended(work);
        this.failures.hidden = failed.length === 0;
        this.failures.replaceChildren(...failed.map((why) => element("li", {}, why)));
        if (!work)
            return;
        this.far.max = Math.max(1, work.of);
        this.far.value = work.done;
        this.words.textContent = ended ?? `${work.done} of ${work.of} ${work.what}, ${work.message}`;
    }
    /** How it ended: what was made and where it lies, then what went wrong, a line each. */
    ended(work) {
        if (!work)
            return [];
        const [made = "", ...failed] = work.message.split("; ");
        return [work.well && work.what === "prints" ? `${made}, in ${this.batch.name}/print` : made, ...failed];
    }
    markedNow(marked) {
        if (marked !== this.marked)
            this.show(this.work, marked);
    }
    heard(work) {
        this.last = performance.now();
        this.show(work, this.marked);
    }
    /** The same, asked for at `asked`: what was told since is newer. */
    reread(work, asked) {
        if (work && this.last <= asked && JSON.stringify(work) !== JSON.stringify(this.work))
            this.heard(work);
    }
    async start(address) {
        const asked = performance.now();
        try {
            const response = await post(address, {});
            // What was told meanwhile is newer than the answer: short work may be done by then.
            if (response.status === 202) {
                const work = (await response.json());
                if (this.last <= asked && work)
                    this.heard(work);
            }
            else
                this.said((await response.text()) || response.statusText);
        }
        catch {
            this.said("dryside does not answer: is it still running?");
        }
    }
}
