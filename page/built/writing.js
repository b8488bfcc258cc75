// What is written on slips of paper: a remark, the shot notes, and an answer where two hands wrote the same thing.
import { element } from "./element.js";
import { standing, told } from "./notebook.js";
import { fieldName } from "./shot.js";
/** How a field that is read by the program wants to be written. */
const HINTS = { date: "2026-11-25 16:30" };
export class Writing {
    slip;
    notebook;
    fields;
    say;
    constructor(slip, notebook, fields, say) {
        this.slip = slip;
        this.notebook = notebook;
        this.fields = fields;
        this.say = say;
    }
    remark({ id, name, remark }) {
        this.slip.write(`remark on ${name}`, [{ name: `remark on ${name}`, now: remark }], ([words = ""]) => this.notebook.put(id, "mark", { mark: this.notebook.seen(id).mark, remark: words }));
    }
    /** `tried` and `why`: what could not stand there. */
    shot({ id, name, shot, together, scan }, tried = {}, why = "") {
        const lines = this.fields.map((field) => ({ name: fieldName(field), now: tried[field] ?? shot[field] ?? "", hint: HINTS[field] ?? "" }));
        const of = together > 1 ? `shot notes of ${scan}, all ${together} frames` : `shot notes of ${name}`;
        const done = (words) => {
            const all = this.fields.map((field, i) => [field, words[i] ?? ""]);
            const changed = all.filter(([field, words]) => words !== (shot[field] ?? ""));
            if (changed.length > 0)
                this.notebook.put(id, "shot", Object.fromEntries(changed));
        };
        this.slip.write(of, lines, done, why);
    }
    /** Words that could not stand in the notes come back to the hand; what else was refused is told. */
    again(pending, why) {
        const frame = this.notebook.noted(pending.id);
        if (pending.leaf === "shot" && !this.slip.open)
            this.shot(frame, pending.to, why);
        else
            this.say(why);
    }
    /** The question of a conflict, or none any more. */
    askAbout(conflict) {
        const { slip } = this;
        if (!conflict) {
            if (slip.about !== undefined)
                slip.close();
            return;
        }
        if (slip.about === conflict)
            return;
        const frame = this.notebook.noted(conflict.id);
        const mine = told(conflict.leaf, conflict.to);
        const theirs = told(conflict.leaf, standing(frame, conflict.leaf, conflict.to));
        const question = element("p", {}, element("b", {}, frame.name), ` was changed elsewhere. you: ${mine} \u2014 in the notes: ${theirs}`);
        slip.ask(conflict, question, [
            [`yours: ${mine}`, () => this.notebook.settle(conflict, true)],
            [`the notes': ${theirs}`, () => this.notebook.settle(conflict, false)],
        ]);
    }
}
