// Prints and sheets made from here: the commands' own work, how far it is, and a way to stop.
import { post } from "./ask.js";
import { element } from "./element.js";
import { sizeWords } from "./size.js";
export class Doing {
    batch;
    said;
    hands;
    prints = element("button", { type: "button" });
    sheets = element("button", { type: "button" }, "make sheets");
    stop = element("button", { type: "button", class: "stop" }, "stop");
    away = element("button", { type: "button", class: "away" }, "put away");
    far = element("progress", { "aria-label": "how far it is" });
    words = element("p", { role: "status" });
    failures = element("ul", { "aria-label": "what went wrong" });
    work = null;
    marked = 0;
    /** Sheet of the prints that were ordered here last. */
    size;
    /** When it was told last, by the page's clock. */
    last = 0;
    constructor(place, batch, said, hands) {
        this.batch = batch;
        this.said = said;
        this.hands = hands;
        this.size = batch.size;
        place.append(this.words, this.far, this.stop, this.away, this.prints, this.sheets, this.failures);
        this.prints.addEventListener("click", () => this.askSheet(this.size));
        // A mark that is on its way into the notes counts.
        this.sheets.addEventListener("click", () => void this.hands.written().then(() => this.do("sheets")));
        this.stop.addEventListener("click", () => void this.do("stop"));
        this.away.addEventListener("click", () => {
            this.show(null, this.marked);
            // In other tabs, too.
            void this.do("put-away");
        });
        this.show(null, 0);
    }
    async do(what) {
        const { wrong } = await this.start(what, {});
        if (wrong !== undefined)
            this.said.say(wrong);
    }
    askSheet(size, why) {
        const asked = this.hands.askSheet(this.marked, size, this.batch.sizes, (size) => void this.print(size), why);
        if (!asked)
            this.said.say(why ?? "finish the slip that lies there first");
    }
    async print(size) {
        await this.hands.written();
        const { taken, wrong } = await this.start("prints", { size });
        // Whoever wrote it is to have it back.
        if (wrong !== undefined)
            return this.askSheet(size, wrong);
        // The sheet of an order that is not taken is not the one of the next.
        if (!taken)
            return;
        this.size = size;
        this.show(this.work, this.marked);
    }
    show(work, marked) {
        this.work = work;
        this.marked = marked;
        const running = work?.running ?? false;
        this.far.hidden = this.stop.hidden = !running;
        this.away.hidden = !work || running;
        this.prints.hidden = this.sheets.hidden = running;
        this.prints.replaceChildren(element("span", {}, "print the marked ones"), element("small", {}, `on ${sizeWords(this.size)}`));
        this.prints.disabled = marked === 0;
        this.prints.title = marked === 0 ? "mark frames with a ring first" : "";
        this.words.hidden = !work;
        this.words.classList.toggle("ended", !running);
        const failed = work && !running ? work.failures : [];
        this.failures.hidden = failed.length === 0;
        this.failures.replaceChildren(...failed.map((why) => element("li", {}, why)));
        if (!work)
            return;
        this.far.max = Math.max(1, work.of);
        this.far.value = work.done;
        this.words.textContent = running ? `${work.done} of ${work.of} ${work.what}, ${work.message}` : this.ended(work);
    }
    /** What came of an order, in a line: what was made and, of what was not, the first and how many more. */
    outcome(work) {
        const [first, ...others] = work.failures;
        const more = others.length > 0 ? `; ${others.length} more on the table` : "";
        return first === undefined ? this.ended(work) : `${this.ended(work)}: ${first}${more}`;
    }
    /** What was made, and where it lies. */
    ended({ well, what, message }) {
        return well && what === "prints" ? `${message}, in ${this.batch.name}/print` : message;
    }
    markedNow(marked) {
        if (marked !== this.marked)
            this.show(this.work, marked);
    }
    heard(work) {
        this.last = performance.now();
        this.show(work, this.marked);
        this.said.look();
    }
    /** The same, asked for at `asked`: what was told since is newer. */
    reread(work, asked) {
        if (this.last <= asked && JSON.stringify(work) !== JSON.stringify(this.work))
            this.heard(work);
    }
    async start(what, words) {
        const asked = performance.now();
        try {
            const response = await post(`do/${what}`, words);
            // What was told meanwhile is newer than the answer: short work may be done by then.
            if (response.status === 202) {
                const work = (await response.json());
                if (this.last <= asked)
                    this.heard(work);
                return { taken: true };
            }
            const why = (await response.text()) || response.statusText;
            if (response.status === 422)
                return { taken: false, wrong: why };
            // Until what was in the way is done.
            const { last } = this;
            this.said.say(why, () => this.last === last || (this.work?.running ?? false));
        }
        catch {
            this.said.say("dryside does not answer: is it still running?");
        }
        return { taken: false };
    }
}
