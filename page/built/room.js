// The room: table and bench, which frame is at hand, and how it is looked at.
import { Bench } from "./bench.js";
import { find } from "./element.js";
import { Head } from "./head.js";
import { Notebook, told } from "./notebook.js";
import { Slip } from "./slip.js";
import { Table } from "./table.js";
import { Writing } from "./writing.js";
/** Frames that come within so many ms are told together (house: a strip's frames come at once). */
const TOGETHER = 300;
export class Room {
    said;
    looks = { positive: true, straight: false };
    notebook;
    slip;
    writing;
    table;
    bench;
    head;
    rail;
    at = 0;
    stepped = false;
    /** What has come and gone, and is not told yet. */
    more = [];
    less = [];
    arranging = false;
    constructor(batch, doing, said) {
        this.said = said;
        this.notebook = new Notebook(batch.frames, {
            changed: (id) => this.changed(id),
            came: (frame) => this.came(frame),
            went: (frame, lost) => this.went(frame, lost),
            refused: (pending, why) => this.writing.again(pending, why),
            said: said.say,
        });
        this.slip = new Slip(find("slip"), () => {
            this.rail?.wait(this.slip.open);
            said.look();
            // When what was written on the one before is put down.
            if (!this.slip.open)
                queueMicrotask(() => this.writing.next());
        });
        this.writing = new Writing(this.slip, this.notebook, batch.shot, said.say);
        this.table = new Table(find("surface"), batch.frames, {
            at: (id) => this.goTo(id, false),
            stepIn: (id) => this.stepIn(id),
            picked: () => this.show(),
        });
        this.bench = new Bench(find("bench"), batch, this.notebook, {
            said: said.say,
            looks: () => this.looks,
            changed: () => this.show(),
            // What is tried on paper is looked at as a print.
            printing: () => this.lookAt(true, false),
        });
        this.head = new Head(this.notebook, doing, batch.surround);
    }
    get say() {
        return this.said.say;
    }
    /** Begins, with the buttons in their places. */
    open(rail) {
        this.rail = rail;
        this.look();
        this.head.count();
        this.turnTo();
    }
    get view() {
        return this.bench.open ? "bench" : "table";
    }
    get empty() {
        return this.notebook.empty;
    }
    /** The frame at hand, as it is decided. */
    get here() {
        return this.notebook.seen(this.at);
    }
    goTo(id, focus = true) {
        if (!this.notebook.lies(id))
            return;
        this.at = id;
        this.table.goTo(id, focus);
        this.head.tell(this.here);
        this.show();
    }
    stepIn(id = this.at) {
        if (!this.notebook.lies(id))
            return;
        this.goTo(id, false);
        this.table.turnLoupe(false);
        this.stepped = true;
        location.hash = String(id + 1);
    }
    /** To where the address points: a frame on the bench, or the table. */
    turnTo() {
        const number = Number(location.hash.slice(1));
        if (this.notebook.lies(number - 1)) {
            this.goTo(number - 1, false);
            document.body.classList.add("at-bench");
            this.bench.stepIn(number - 1);
            find("bench").focus();
        }
        else if (this.bench.open) {
            this.stepped = false;
            this.bench.stepOut();
            document.body.classList.remove("at-bench");
            this.table.lay();
            this.goTo(this.at);
        }
        else if (!this.empty)
            this.head.tell(this.here);
        this.show();
    }
    /** By arrows: to another frame, or what lies on this one is moved. */
    next(dx, dy) {
        if (this.bench.open) {
            if (this.bench.arrow(dx, dy) || dy !== 0)
                return;
            const all = this.notebook.all;
            const id = all[all.findIndex((frame) => frame.id === this.at) + dx]?.id;
            if (id === undefined)
                return this.say(dx > 0 ? "this is the last frame" : "this is the first frame");
            this.turnBench(id);
        }
        else if (this.table.loupe)
            this.table.moveLoupe(dx, dy);
        else
            this.goTo(this.table.next(dx, dy));
    }
    /** One step back. */
    escape() {
        if (this.bench.open) {
            if (!this.bench.leave())
                this.stepOut();
        }
        else if (this.table.loupe)
            this.table.turnLoupe(false);
        else {
            if (this.table.sideBySide)
                this.table.laySideBySide(false);
            this.table.unpick();
        }
        this.show();
    }
    laySideBySide() {
        const { table } = this;
        if (table.sideBySide) {
            table.turnLoupe(false);
            return this.escape();
        }
        if (table.picked.length < 2)
            return this.say("select two to four frames first");
        table.laySideBySide(true);
        this.goTo(table.picked[0] ?? this.at);
        this.show();
    }
    turnLoupe() {
        this.table.turnLoupe(!this.table.loupe);
        this.show();
    }
    mark(to) {
        const { id, mark, remark } = this.here;
        this.notebook.put(id, "mark", { mark: mark === to ? null : to, remark });
    }
    undo() {
        const id = this.notebook.undo();
        if (id === undefined)
            this.say("there is nothing to undo");
        else if (id !== this.at && this.bench.open)
            this.turnBench(id);
        else
            this.goTo(id);
    }
    turnNegative() {
        this.lookAt(!this.looks.positive, false);
        this.say(this.looks.positive ? "positives, graded" : "negatives");
        if (this.bench.open)
            void this.bench.show();
    }
    turnStraight() {
        this.lookAt(true, !this.looks.straight);
        this.say(this.looks.straight ? "positives, straight" : "positives, graded");
        if (this.bench.open)
            void this.bench.show();
    }
    /** The buttons as they stand by now. */
    show() {
        this.rail?.show(this.view);
    }
    turnBench(id) {
        this.at = id;
        history.replaceState(null, "", `#${id + 1}`);
        this.turnTo();
    }
    stepOut() {
        // As the browser's own way back does, which leaves the bench, too.
        if (this.stepped)
            return history.back();
        history.replaceState(null, "", location.pathname);
        this.turnTo();
    }
    lookAt(positive, straight) {
        Object.assign(this.looks, { positive, straight });
        this.look();
    }
    look() {
        this.table.lookAt(this.looks);
        this.head.light(this.looks.positive);
        this.show();
    }
    changed(id) {
        this.update(id);
        if (this.bench.open && this.bench.frame.id === id)
            void this.bench.show();
        this.show();
        this.head.count();
        if (id === this.at)
            this.head.tell(this.here);
        this.writing.askAbout(this.notebook.conflict());
    }
    update(id) {
        const { notebook } = this;
        this.table.update(notebook.seen(id), notebook.noted(id), notebook.isUnsaved(id), notebook.order(id));
    }
    came(frame) {
        if (!this.table.has(frame.id))
            this.table.add(frame, this.notebook.order(frame.id));
        this.more.push(frame);
        this.arrangeSoon();
    }
    /** Its place closes up; what was not written yet is told, for there is nowhere to write it. */
    went(frame, lost) {
        const words = lost.map((p) => told(p.leaf, p.to, frame)).join(", ");
        this.less.push({ name: frame.name, lost: words && `${frame.name}, not kept: ${words}` });
        this.update(frame.id);
        if (this.bench.open && this.at === frame.id)
            this.stepOut();
        this.writing.askAbout(this.notebook.conflict());
        this.arrangeSoon();
    }
    arrangeSoon() {
        if (!this.arranging)
            setTimeout(() => this.arrange(), TOGETHER);
        this.arranging = true;
    }
    /** Lays out what has come and closes up what is gone, and tells it. */
    arrange() {
        this.arranging = false;
        const [more, less] = [this.more.splice(0), this.less.splice(0)];
        this.table.hang();
        const all = this.notebook.all;
        for (const { id } of all)
            this.update(id);
        this.table.lay();
        const far = ({ id }) => Math.abs(id - this.at);
        const nearest = [...all].sort((a, b) => far(a) - far(b))[0];
        if (nearest && nearest.id !== this.at && !this.bench.open)
            this.goTo(nearest.id);
        this.head.count();
        if (nearest)
            this.head.tell(this.here);
        this.show();
        const of = (names, one, many) => (names.length === 1 ? `${names[0]} ${one}` : names.length > 1 ? `${names.length} frames ${many}` : "");
        const said = [
            of(less.map((frame) => frame.name), "is on the table no more", "are on the table no more"),
            ...less.map((frame) => frame.lost),
            of(more.map((frame) => frame.name), "has come to the table", "have come to the table"),
        ].filter((words) => words);
        if (said.length > 0)
            this.say(said.join("; "));
    }
}
