// The enlarger bench: one frame, its print made by eye. Nothing is written while something is tried.
import { json } from "./ask.js";
import { Curve } from "./curve.js";
import { Easel } from "./easel.js";
import { element, svg } from "./element.js";
import { Loupe } from "./loupe.js";
import { negative } from "./negative.js";
import { netWords } from "./net.js";
import { net } from "./nets.js";
import { told } from "./notebook.js";
import { notices } from "./notices.js";
import { draw } from "./pencil.js";
import { Placing } from "./placing.js";
import { Scale } from "./scale.js";
import { darker, dial, harder, stopsOf, stopsWords, stopWords } from "./steps.js";
import { Strip } from "./strip.js";
import { printed, straight } from "./tones.js";
/** Stops to either side that the scale of exposures shows. */
const REACH = 2;
export class Bench {
    section;
    batch;
    notebook;
    hands;
    easel = new Easel(() => void this.show());
    curve = new Curve();
    loupe = new Loupe(this.easel.picture);
    strip = new Strip(this.easel, (exposure) => this.chooseFromStrip(exposure));
    placing;
    heading = element("h2", {});
    mark = svg("svg", { class: "pencil small", "aria-hidden": "true" });
    count = element("p", { class: "about" });
    about = element("p", { class: "about" });
    flags = element("ul", { class: "flags" });
    words = element("p", { class: "words", "aria-live": "polite" });
    held = element("span", {});
    keeping = element("div", { class: "keeping" });
    notes = element("p", { class: "notes" });
    trouble = element("p", { class: "trouble", hidden: "" });
    grades;
    exposures;
    trial = {};
    /** The frame when the first of it was tried. */
    before;
    id = 0;
    tone;
    overlays = new Set();
    constructor(section, batch, notebook, hands) {
        this.section = section;
        this.batch = batch;
        this.notebook = notebook;
        this.hands = hands;
        // A spot lies on its zone without stops beyond it.
        this.placing = new Placing(this.easel, batch.zones, (place) => this.try({ place, exposure: "0" }));
        this.grades = new Scale("grade", { words: "softer", key: "g", run: () => this.grade(-1) }, { words: "harder", key: "G", run: () => this.grade(1) }, (grade) => this.try({ grade }));
        this.exposures = new Scale("exposure in stops", { words: "less", key: "\u2212", run: () => this.expose(-1) }, { words: "more", key: "+", run: () => this.expose(1) }, (exposure) => this.try({ exposure }));
        const head = element("header", {}, this.mark, this.heading, this.count, this.about, this.flags);
        const keep = element("button", { type: "button", class: "keep" }, "keep", element("kbd", { "aria-hidden": "true" }, "\u21b5"));
        keep.addEventListener("click", () => this.keep());
        const back = element("button", { type: "button" }, "as it was", element("kbd", { "aria-hidden": "true" }, "Esc"));
        back.addEventListener("click", () => this.leave());
        this.keeping.append(this.held, keep, back);
        const line = element("div", { class: "line" }, this.words, this.keeping);
        const scales = element("div", { class: "scales" }, this.grades.element, this.exposures.element);
        const foot = element("footer", {}, line, this.notes, scales, this.placing.element);
        const middle = element("div", { class: "middle" }, this.easel.element, this.curve.element, this.trouble);
        section.append(head, middle, foot, this.loupe.element);
        this.listen();
    }
    get open() {
        return !this.section.hidden;
    }
    get frame() {
        return this.notebook.seen(this.id);
    }
    get tried() {
        return Object.keys(this.trial).length > 0;
    }
    get on() {
        return {
            strip: this.strip.on,
            zone: this.placing.on,
            loupe: this.loupe.on,
            curve: !this.curve.element.hidden,
            focus: this.overlays.has("focus"),
            dust: this.overlays.has("dust"),
        };
    }
    stepIn(id) {
        if (this.id !== id || this.section.hidden)
            this.clear();
        this.id = id;
        this.section.hidden = false;
        this.strip.lift();
        this.placing.turn(false);
        void this.show();
        void this.overlay();
    }
    stepOut() {
        this.dropTrial();
        this.strip.lift();
        this.placing.turn(false);
        this.loupe.turn(false);
        this.section.hidden = true;
    }
    /** Nothing of the frame before stays on the bench. */
    clear() {
        this.dropTrial();
        this.wanted = "";
        this.tone = undefined;
        this.easel.clear();
        this.loupe.clear();
        this.curve.element.replaceChildren();
        this.trouble.hidden = true;
    }
    /** What was tried and not kept is told: it was the work of a hand. */
    dropTrial() {
        if (this.tried)
            this.hands.said(`${this.frame.name}, not kept: ${told("print", { ...this.trial }, this.frame)}`);
        this.trial = {};
    }
    /** One step back; false when there is none but to leave the bench. */
    leave() {
        if (this.strip.on)
            this.strip.lift();
        else if (this.placing.on)
            this.placing.turn(false);
        else if (this.loupe.on)
            this.loupe.turn(false);
        else if (this.tried)
            this.trial = {};
        else
            return false;
        void this.show();
        return true;
    }
    /** Arrows, where something on the bench takes them. */
    arrow(dx, dy) {
        if (this.strip.on)
            this.strip.move(dx || dy);
        else if (this.placing.on)
            this.placing.move(dx, dy);
        else if (this.loupe.on)
            this.loupe.move(dx, dy);
        else
            return false;
        return true;
    }
    zone(number) {
        if (!this.placing.on)
            return false;
        this.placing.choose(number);
        return true;
    }
    grade(steps) {
        this.try({ grade: harder(this.batch.grades, this.wished.grade, steps) });
    }
    expose(thirds) {
        this.try({ exposure: darker(this.wished.exposure, thirds) });
    }
    /** What was tried goes into the notes. */
    keep() {
        if (this.strip.on)
            return this.strip.take();
        if (!this.tried)
            return this.hands.said("nothing is tried: the notes stand as they are");
        const { trial } = this;
        this.trial = {};
        this.placing.turn(false);
        this.notebook.put(this.id, "print", trial, this.before);
        void this.show();
    }
    async turnStrip() {
        if (this.strip.on) {
            this.strip.lift();
            return this.show();
        }
        this.hands.printing();
        this.placing.turn(false);
        this.loupe.turn(false);
        try {
            await this.strip.lay(this.notebook.noted(this.id), this.wished);
            this.tell(this.frame);
        }
        catch (error) {
            this.fail(error);
        }
        this.hands.changed();
    }
    turnZone() {
        this.strip.lift();
        this.loupe.turn(false);
        this.hands.printing();
        this.placing.turn(!this.placing.on);
        void this.show();
    }
    turnLoupe() {
        this.strip.lift();
        this.placing.turn(false);
        this.loupe.turn(!this.loupe.on);
        void this.show();
    }
    turnCurve() {
        this.curve.element.hidden = !this.curve.element.hidden;
        void this.show();
    }
    async turnOverlay(which) {
        if (!this.overlays.delete(which))
            this.overlays.add(which);
        await this.overlay();
        this.hands.changed();
    }
    async show() {
        const frame = this.frame;
        const noted = this.notebook.noted(this.id);
        this.tell(frame);
        const wanted = JSON.stringify([this.id, this.trial, this.hands.looks(), noted.revision]);
        this.wanted = wanted;
        try {
            if (frame.width === 0)
                throw new Error(frame.error ?? "there is no picture of this frame");
            const looks = this.hands.looks();
            const tone = looks.straight ? straight(noted) : printed(noted, this.wished);
            // A negative is looked at without a print: notes that cannot be read are no hindrance.
            const [picture, print] = await Promise.all([net(frame, this.easel.longOf(frame)), looks.positive ? tone : tone.catch(() => undefined)]);
            if (this.wanted !== wanted || !this.open)
                return;
            this.trouble.hidden = !frame.error;
            this.trouble.textContent = frame.error ?? "";
            this.tone = print;
            const screen = looks.positive && print ? print.screen : negative(frame.base ?? 0);
            this.easel.lay(picture, [frame.name, ...(print?.words ?? ["negative"])].join(", "));
            this.easel.frame(frame, looks.positive ? screen : undefined);
            if (!this.strip.on)
                this.easel.expose(screen);
            this.easel.paper.classList.toggle("lit", !looks.positive);
            this.loupe.lay(frame, screen);
            if (this.placing.on)
                this.placing.turn(true);
            if (this.on.curve && print)
                this.curve.show(print);
            this.tell(frame);
            this.ahead(noted);
        }
        catch (error) {
            if (this.wanted === wanted) {
                if (frame.width === 0)
                    this.clear();
                this.tell(frame);
                this.fail(frame.error ?? error);
            }
        }
        this.hands.changed();
    }
    wanted = "";
    get wished() {
        const { grade, exposure, place } = this.frame;
        return { grade, exposure, place, ...this.trial };
    }
    try(more) {
        this.hands.printing();
        if (!this.tried)
            this.before = this.frame;
        const { grade, exposure, place } = this.frame;
        const wished = { ...this.wished, ...more };
        this.trial = {};
        if (wished.grade !== grade)
            this.trial.grade = wished.grade;
        if (wished.exposure !== exposure)
            this.trial.exposure = wished.exposure;
        if (wished.place !== place)
            this.trial.place = wished.place;
        if (this.strip.on)
            void this.strip.lay(this.notebook.noted(this.id), this.wished).catch((e) => this.fail(e));
        void this.show();
    }
    chooseFromStrip(exposure) {
        this.strip.lift();
        this.try({ exposure });
    }
    /** The next steps of grade and exposure are asked for before they are wanted, so that the picture follows at once. */
    ahead(noted) {
        const now = this.wished;
        for (const step of [-1, 1]) {
            const asked = [
                printed(noted, { ...now, grade: harder(this.batch.grades, now.grade, step) }),
                printed(noted, { ...now, exposure: darker(now.exposure, step) }),
            ];
            // A neighbour that cannot be had is told when it is wanted.
            for (const answer of asked)
                answer.catch(() => undefined);
        }
    }
    tell(frame) {
        const looks = this.hands.looks();
        this.heading.textContent = frame.name;
        this.heading.dataset["mark"] = frame.mark ?? "";
        draw(this.mark, frame.mark, 34, 26, frame.id);
        const { place, count } = this.notebook.order(this.id);
        this.count.textContent = `${place} of ${count}`;
        this.about.textContent = [frame.title, frame.date].filter((w) => w !== "").join(" \u00b7 ");
        this.flags.replaceChildren(...notices(frame).map((notice) => element("li", {}, notice)));
        const words = this.tone?.words ?? [frame.grade && `grade ${frame.grade}`];
        const told = looks.positive
            ? words.map(dial).join(", ")
            : frame.thin === null || frame.dense === null
                ? "negative"
                : `negative, net ${netWords(frame.thin)} to ${netWords(frame.dense)} D`;
        // Said aloud by a screen reader: once, when it changes.
        if (this.words.textContent !== told)
            this.words.textContent = told;
        this.keeping.hidden = !this.tried;
        const held = frame.together > 1 ? `tried, not noted; for all ${frame.together} frames of ${frame.scan}` : "tried, not noted";
        if (this.held.textContent !== held)
            this.held.textContent = held;
        this.notes.textContent = frame.remark ? `\u201c${frame.remark}\u201d` : "";
        const { grade, exposure } = this.wished;
        this.grades.show(this.batch.grades, grade, frame.grade, (g) => `grade ${g}`);
        const middle = Math.round(stopsOf(frame.exposure));
        const steps = Array.from({ length: 6 * REACH + 1 }, (_, i) => stopWords(3 * (middle - REACH) + i));
        this.exposures.show(steps, exposure, frame.exposure, stopsWords);
    }
    fail(error) {
        this.trouble.hidden = false;
        this.trouble.textContent = error instanceof Error ? error.message : String(error);
    }
    async overlay() {
        const { id } = this;
        for (const which of ["focus", "dust"])
            this.easel.wipe(which);
        try {
            if (this.overlays.has("focus")) {
                const map = await json(`frame/${id}/focus`);
                if (this.id !== id || !this.overlays.has("focus"))
                    return;
                this.easel.dot("focus", map.marks);
                this.hands.said(map.words.join(", "));
            }
            if (this.overlays.has("dust")) {
                const map = await json(`frame/${id}/dust`);
                if (this.id !== id || !this.overlays.has("dust"))
                    return;
                this.easel.box("dust", map.specks);
                const { length } = map.specks;
                this.hands.said(length === 0 ? "no dust found" : `${length} ${length === 1 ? "speck" : "specks"} of dust`);
            }
        }
        catch (error) {
            this.hands.said(error instanceof Error ? error.message : String(error));
        }
    }
    listen() {
        const over = (event) => {
            const spot = this.easel.spotOf(event);
            if (!spot)
                return;
            if (this.loupe.on)
                this.loupe.moveTo(spot, event.pointerType === "touch");
            if (this.placing.on && event.buttons > 0)
                this.placing.at(spot);
        };
        this.easel.paper.addEventListener("pointermove", over);
        this.easel.paper.addEventListener("pointerdown", over);
    }
}
