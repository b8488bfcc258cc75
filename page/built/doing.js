// Prints and sheets made from here: the commands' own work, how far it is, and a way to stop.
import { post } from "./ask.js";
import { element } from "./element.js";
export class Doing {
    size;
    said;
    prints = element("button", { type: "button" });
    sheets = element("button", { type: "button" }, "make sheets");
    stop = element("button", { type: "button", class: "stop" }, "stop");
    far = element("progress", { "aria-label": "how far it is" });
    words = element("p", { role: "status" });
    work = null;
    marked = 0;
    told = 0;
    constructor(place, size, said) {
        this.size = size;
        this.said = said;
        place.append(this.words, this.far, this.stop, this.prints, this.sheets);
        this.prints.addEventListener("click", () => void this.start("do/prints"));
        this.sheets.addEventListener("click", () => void this.start("do/sheets"));
        this.stop.addEventListener("click", () => void this.start("stop"));
        this.show(null, 0);
    }
    show(work, marked) {
        this.work = work;
        this.marked = marked;
        const running = work?.running ?? false;
        this.far.hidden = this.stop.hidden = !running;
        this.prints.hidden = this.sheets.hidden = running;
        this.prints.replaceChildren(element("span", {}, "print the marked ones"), element("small", {}, this.size));
        this.prints.disabled = marked === 0;
        this.prints.title = marked === 0 ? "mark frames with a ring first" : "";
        this.words.hidden = !work;
        this.words.classList.toggle("ended", !running);
        if (!work)
            return;
        this.far.max = Math.max(1, work.of);
        this.far.value = work.done;
        this.words.textContent = running ? `${work.done} of ${work.of} ${work.what}, ${work.message}` : work.message;
    }
    markedNow(marked) {
        this.show(this.work, marked);
    }
    heard(work) {
        this.told++;
        this.show(work, this.marked);
    }
    async start(address) {
        const told = this.told;
        try {
            const response = await post(address, {});
            // What was told meanwhile is newer than the answer: short work may be done by then.
            if (response.status === 202) {
                const work = (await response.json());
                if (this.told === told)
                    this.show(work, this.marked);
            }
            else
                this.said((await response.text()) || response.statusText);
        }
        catch {
            this.said("dryside does not answer: is `dryside table` still running?");
        }
    }
}
