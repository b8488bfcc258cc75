// What is written on slips of paper: a remark, the shot notes, and an answer where two hands wrote the same thing.
import { element } from "./element.js";
import { standing, told } from "./notebook.js";
import { fieldName } from "./shot.js";
import { sizeWords } from "./size.js";
/** How a field that is read by the program wants to be written. */
const HINTS = { date: "2026-11-25 16:30" };
export class Writing {
    slip;
    notebook;
    fields;
    say;
    /** Words that could not stand, while another slip lies open. */
    refused = [];
    /** The frame's name and what the notes said when the question that lies there was asked. */
    asked = { name: "", theirs: "" };
    constructor(slip, notebook, fields, say) {
        this.slip = slip;
        this.notebook = notebook;
        this.fields = fields;
        this.say = say;
    }
    /** The sheet of so many prints; false where another slip lies open. `why`: what is wrong with `size`. */
    sheet(prints, size, sizes, done, why) {
        if (this.slip.open)
            return false;
        const name = `sheet for ${prints === 1 ? "one print" : `${prints} prints`}: one of these, or type your own`;
        const choices = sizes.map((size) => [size, sizeWords(size)]);
        this.slip.write(name, [{ name, now: size, choices, hint: "30x24cm, 8x10in" }], ([size = ""]) => done(size), { why, button: "print" });
        return true;
    }
    /** `tried` and `why`: what could not stand there. */
    remark({ id, name, remark }, tried = {}, why) {
        const done = ([words = ""]) => {
            // The mark is none of this slip's matter: it stays as it is by now.
            const seen = this.notebook.seen(id);
            if (words !== remark)
                this.notebook.put(id, "mark", { mark: seen.mark, remark: words }, { ...seen, remark });
        };
        this.slip.write(`remark on ${name}`, [{ name: `remark on ${name}`, now: tried["remark"] ?? remark }], done, { why });
    }
    /** A field that only the first scan's notes have is shown as theirs: what is written here stands in its own. */
    shot(frame, tried = {}, why) {
        const { id, name, shot, unread, of_first, together, scan } = frame;
        const hint = (field) => (field in of_first ? `first scan: ${of_first[field]}` : (HINTS[field] ?? ""));
        const wrong = (field) => (tried[field] === undefined ? unread[field] : undefined);
        const lines = this.fields.map((field) => ({ name: fieldName(field), now: tried[field] ?? shot[field] ?? "", hint: hint(field), wrong: wrong(field) }));
        const of = together > 1 ? `shot notes of ${scan}, all ${together} frames` : `shot notes of ${name}`;
        const done = (words) => {
            const all = this.fields.map((field, i) => [field, words[i] ?? ""]);
            const changed = all.filter(([field, words]) => words !== (shot[field] ?? ""));
            if (changed.length > 0)
                this.notebook.put(id, "shot", Object.fromEntries(changed), frame);
        };
        // The hand is wanted where it could not stand.
        const at = Math.max(0, this.fields.findIndex((field) => why?.startsWith(`${field}: `)));
        this.slip.write(of, lines, done, { why, at });
    }
    /** Words that could not stand in the notes come back to the hand; what else was refused is told. */
    again(pending, why) {
        const { id, leaf, from, to } = pending;
        const frame = this.notebook.noted(id);
        const written = leaf === "shot" || (leaf === "mark" && to["remark"] !== from["remark"]);
        if (!written)
            this.say(why);
        else if (this.slip.open)
            this.refused.push([pending, why]);
        else if (leaf === "shot")
            this.shot({ ...frame, shot: { ...frame.shot, ...stood(from) } }, to, why);
        else
            this.remark({ ...frame, remark: from["remark"] ?? "" }, to, why);
    }
    /** What waited for the slip to be free. */
    next() {
        if (this.slip.open)
            return;
        this.askAbout(this.notebook.conflict());
        const refused = this.slip.open ? undefined : this.refused.shift();
        if (refused)
            this.again(...refused);
    }
    /** The question of a conflict, or none any more. It waits while words are written. */
    askAbout(conflict) {
        const { slip } = this;
        if (!conflict) {
            if (slip.about !== undefined)
                slip.close();
            return;
        }
        if (slip.open && slip.about === undefined)
            return;
        const frame = this.notebook.noted(conflict.id);
        const mine = told(conflict.leaf, conflict.to, frame);
        const theirs = told(conflict.leaf, standing(frame, conflict.leaf, conflict.to), frame);
        // Asked once, and anew where the notes say something else by now.
        if (slip.about === conflict && this.asked.name === frame.name && this.asked.theirs === theirs)
            return;
        this.asked = { name: frame.name, theirs };
        const question = element("p", {}, element("b", {}, frame.name), ` was changed elsewhere. you: ${mine} \u2014 in the notes: ${theirs}`);
        slip.ask(conflict, question, [
            [`yours: ${mine}`, () => this.notebook.settle(conflict, true)],
            [`the notes': ${theirs}`, () => this.notebook.settle(conflict, false)],
        ]);
    }
}
/** What stood there when the hand began. */
function stood(from) {
    return Object.fromEntries(Object.entries(from).map(([name, words]) => [name, words ?? ""]));
}
