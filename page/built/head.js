// What stands around the table in words: how many frames there are and how they are marked, the light, the frame at hand, and what
// is not saved yet.
import { element, find } from "./element.js";
import { DIM, LIT } from "./negative.js";
import { told } from "./notebook.js";
import { notices } from "./notices.js";
import { dial, stopsWords } from "./steps.js";
export class Head {
    notebook;
    doing;
    surround;
    unsaved = find("unsaved");
    hand = find("at-hand");
    answered = true;
    constructor(notebook, doing, surround) {
        this.notebook = notebook;
        this.doing = doing;
        this.surround = surround;
    }
    count() {
        const all = this.notebook.all;
        const of = (what) => all.filter((f) => f.mark === what).length;
        const marks = [of("print") && `${of("print")} to print`, of("hold") && `${of("hold")} held`, of("skip") && `${of("skip")} skipped`];
        find("count").textContent = [`${all.length} ${all.length === 1 ? "frame" : "frames"}`, ...marks.filter((w) => w)].join(" \u00b7 ");
        this.doing.markedNow(of("print"));
        this.tellUnsaved();
    }
    light(positive) {
        find("surround").textContent = `grey around the pictures L* ${this.surround}, of the table L* ${positive ? DIM : LIT}`;
    }
    /** The frame at hand: what its notes say, and what the program warns of. A screen reader hears it from the frame itself. */
    tell(frame) {
        const print = dial(`grade ${frame.grade}`) + (frame.exposure === "0" ? "" : `, ${dial(stopsWords(frame.exposure))}`);
        const words = [frame.title, frame.date, frame.error ? "" : print, frame.remark && `\u201c${frame.remark}\u201d`];
        const flags = notices(frame).map((notice) => element("span", { class: "flag" }, notice));
        this.hand.replaceChildren(element("b", {}, frame.name), ...words.filter((w) => w).map((w) => element("span", {}, w)), ...flags);
        this.hand.title = notices(frame).join("\n");
    }
    /** Whether the program answers. */
    answers(now) {
        this.answered = now;
        this.tellUnsaved();
    }
    tellUnsaved() {
        const waiting = this.notebook.unsaved();
        this.unsaved.hidden = waiting.length === 0 && this.answered;
        if (this.unsaved.hidden)
            return;
        const why = waiting[0]?.why ?? "dryside does not answer: is it still running? What you do here is kept and tried again";
        const name = (p) => {
            const frame = this.notebook.noted(p.id);
            return `${frame.name}: ${told(p.leaf, p.to, frame)}`;
        };
        const names = waiting.map(name).join("; ");
        const line = waiting.length > 0 ? `not saved yet: ${names}. ${why}` : why;
        // Said aloud by a screen reader: once, not at each new try.
        if (this.unsaved.firstElementChild?.textContent === line)
            return;
        this.unsaved.replaceChildren(element("span", {}, line));
        if (waiting.length === 0)
            return;
        const again = element("button", { type: "button" }, "try now");
        again.addEventListener("click", () => this.notebook.tryAgain());
        this.unsaved.append(again);
    }
}
