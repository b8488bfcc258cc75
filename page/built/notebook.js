// What the notes say of each frame, and what was decided here and is not in them yet.
// A change is shown at once, sent, kept while it cannot be written, and never laid over what another hand wrote meanwhile.
import { post } from "./ask.js";
import { fieldName, withShot } from "./shot.js";
import { dial, placedWords, stopsWords } from "./steps.js";
/** Order of a frame's own settings. */
const OWN = ["grade", "exposure", "place"];
/** First wait before an unsaved change is tried again, and the longest, in ms (house). */
const [SOON, LATEST] = [2000, 15000];
export class Notebook {
    frames;
    listeners;
    pending = [];
    done = [];
    busy = new Set();
    /** When what is known of a frame came, by the page's clock. */
    learnt = new Map();
    last = Promise.resolve();
    wait = SOON;
    retry;
    constructor(frames, listeners) {
        this.frames = frames;
        this.listeners = listeners;
    }
    /** Those that lie on the table, as they are decided. */
    get all() {
        return this.frames.filter((frame) => !frame.gone).map(({ id }) => this.seen(id));
    }
    order(id) {
        const lying = this.frames.filter((frame) => !frame.gone);
        return { place: lying.findIndex((frame) => frame.id === id) + 1, count: lying.length };
    }
    get empty() {
        return this.frames.every((frame) => frame.gone);
    }
    /** Whether there is such a frame on the table. */
    lies(id) {
        return this.frames[id]?.gone === false;
    }
    /** The frame as it is decided, written or not. */
    seen(id) {
        const frame = this.noted(id);
        return this.pending.filter((p) => p.id === id).reduce((seen, p) => ({ ...seen, ...p.shown }), frame);
    }
    /** The frame as the notes have it. */
    noted(id) {
        const frame = this.frames[id];
        if (!frame)
            throw new Error(`there is no frame ${id}`);
        return frame;
    }
    unsaved() {
        return this.pending.filter((p) => p.state === "unsaved");
    }
    conflict() {
        return this.pending.find((p) => p.state === "conflict");
    }
    isUnsaved(id) {
        return this.pending.some((p) => p.id === id && p.state !== "going");
    }
    /** `before` is the frame as it was looked at when this was begun: what another hand wrote since is asked about. */
    put(id, leaf, to, before = this.seen(id)) {
        const seen = this.seen(id);
        const from = standing(before, leaf, to);
        if (holds(from, to))
            return;
        const shown = leaf === "shot" ? withShot(seen, to) : { ...to };
        if (leaf === "print")
            shown.own = OWN.map((key, at) => to[key] ?? seen.own[at]);
        const look = Object.fromEntries(Object.keys(shown).map((key) => [key, seen[key]]));
        const step = { id, leaf, from, to, before: look };
        this.done.push(step);
        this.keep(step, shown);
    }
    /** Takes back the last change made here; the frame that it was made on. */
    undo() {
        const last = this.done.pop();
        if (!last)
            return undefined;
        this.keep({ ...last, from: last.to, to: last.from }, last.before);
        return last.id;
    }
    /** The batch read anew: what was missed. It was asked for at `asked`: what was learnt of a frame since is newer. */
    reread(frames, asked) {
        for (const frame of frames) {
            if ((this.learnt.get(frame.id) ?? 0) > asked)
                continue;
            if (JSON.stringify(frame) !== JSON.stringify(this.frames[frame.id]))
                this.heard(frame);
        }
    }
    /** The notes of a frame changed, by whatever hand, or a batch has added it, renamed it, or taken it away. */
    heard(frame) {
        // One before it was missed: the whole table is read anew then.
        if (frame.id > this.frames.length)
            return;
        const before = this.frames[frame.id];
        this.learn(frame);
        if (frame.gone) {
            if (before?.gone === false)
                this.listeners.went(before, this.forget(frame.id));
            else if (!before)
                this.listeners.changed(frame.id);
            return;
        }
        if (before?.gone !== false)
            this.listeners.came(frame);
        else if (before.name !== frame.name)
            this.listeners.said(`${before.name} is called ${frame.name} now`);
        this.compareAll(frame.id);
        this.listeners.changed(frame.id);
    }
    /** Ends a conflict: what was decided here, or what the notes say. */
    settle(pending, mine) {
        if (mine) {
            pending.from = standing(this.noted(pending.id), pending.leaf, pending.to);
            // What is written over is what an undo brings back.
            const step = this.done.filter((s) => s.id === pending.id && s.leaf === pending.leaf).at(-1);
            if (step)
                Object.assign(step.from, only(pending.from, Object.keys(step.from)));
            pending.state = "going";
            void this.send(pending.id);
        }
        else {
            this.drop(pending);
            this.listeners.said("left as the notes have it");
        }
        this.listeners.changed(pending.id);
    }
    /** When all that is on its way now has been answered. */
    answered() {
        return this.last;
    }
    tryAgain() {
        clearTimeout(this.retry);
        this.retry = undefined;
        for (const id of new Set(this.unsaved().map((p) => p.id)))
            void this.send(id);
    }
    /** What was to be written, and what could be undone, of a frame that is gone. */
    forget(id) {
        const lost = this.pending.filter((p) => p.id === id);
        this.pending = this.pending.filter((p) => p.id !== id);
        this.done = this.done.filter((step) => step.id !== id);
        return lost;
    }
    learn(frame) {
        this.frames[frame.id] = frame;
        this.learnt.set(frame.id, performance.now());
    }
    keep({ id, leaf, from: expected, to: wanted }, look) {
        const waiting = this.pending.find((p) => p.id === id && p.leaf === leaf);
        if (waiting)
            this.drop(waiting);
        const [from, to] = [{ ...expected, ...waiting?.from }, { ...waiting?.to, ...wanted }];
        const next = { id, leaf, from, to, shown: { ...waiting?.shown, ...look }, state: "going", why: "" };
        this.pending.push(next);
        if (waiting?.state !== "going")
            this.compare(next);
        this.listeners.changed(id);
        void this.send(id);
    }
    /** Whether another hand wrote meanwhile what this change is about, or took it back again. */
    compare(p) {
        const now = standing(this.noted(p.id), p.leaf, p.to);
        if (holds(now, p.to))
            this.drop(p);
        else if (!holds(now, p.from))
            p.state = "conflict";
        else if (p.state === "conflict")
            p.state = "going";
    }
    /** The same of all that waits to be written in the notes of a frame; what stands in nobody's way any more goes there. */
    compareAll(id) {
        for (const p of this.pending.filter((p) => p.id === id && p.state !== "going"))
            this.compare(p);
        if (this.pending.some((p) => p.id === id && p.state === "going"))
            void this.send(id);
    }
    /** One change after another of a frame: each needs the revision that the one before left. */
    async send(id) {
        if (this.busy.has(id))
            return;
        this.busy.add(id);
        for (let p = this.next(id); p; p = this.next(id, p))
            await this.write(p);
        this.busy.delete(id);
        this.listeners.changed(id);
    }
    next(id, after) {
        const open = this.pending.filter((p) => p.id === id && p.state !== "conflict");
        return open.find((p) => p !== after && p.state === "going") ?? (after ? undefined : open[0]);
    }
    async write(p) {
        try {
            for (;;) {
                this.compare(p);
                if (p.state === "conflict" || !this.pending.includes(p))
                    return;
                const address = `frame/${p.id}/${p.leaf}`;
                const words = this.toWrite(p);
                const body = p.leaf === "shot" ? { fields: words } : words;
                const response = await this.inTurn(() => post(address, { ...body, revision: this.noted(p.id).revision }));
                if (response.status === 200)
                    return this.written(p, (await response.json()));
                if (response.status !== 409)
                    return await this.refused(p, response);
                this.learn((await response.json()));
            }
        }
        catch {
            this.later(p, "dryside does not answer: is it still running?");
        }
    }
    /** One after another, of whatever frames: the folder of a batch is held by one hand at a time. */
    inTurn(ask) {
        const answer = this.last.then(ask);
        this.last = answer.catch(() => undefined);
        return answer;
    }
    /** Only what changes. A mark is told each time, for none is one, too; and with none the remark, which would go with the mark. */
    toWrite(p) {
        const now = standing(this.noted(p.id), p.leaf, p.to);
        const told = (key) => p.to[key] !== now[key] || key === "mark" || (key === "remark" && p.to.mark === null);
        return only(p.to, Object.keys(p.to).filter(told));
    }
    written(p, frame) {
        this.learn(frame);
        this.wait = SOON;
        this.drop(p);
        if (p.leaf === "print")
            this.together(frame);
        // The program may write it in its own words: a spot as pixels of the scan. What it answered is what an undo finds.
        const now = standing(frame, p.leaf, p.to);
        for (const step of this.done.filter((s) => s.id === p.id && s.leaf === p.leaf)) {
            for (const words of [step.from, step.to]) {
                for (const key of Object.keys(words))
                    if (key in p.to && words[key] === p.to[key])
                        Object.assign(words, only(now, [key]));
            }
        }
        const newer = this.pending.find((q) => q.id === p.id && q.leaf === p.leaf);
        if (newer)
            newer.from = standing(frame, p.leaf, newer.to);
        else
            this.listeners.said(`${frame.name}: ${told(p.leaf, now, frame)}`);
    }
    /** The settings of a scan hold for all its frames: the others have them at once, not when the program tells it. */
    together(frame) {
        const { scan, own, revision } = frame;
        for (const other of this.frames.filter((f) => f.scan === scan && f.id !== frame.id)) {
            const shown = Object.fromEntries(OWN.flatMap((key, at) => (own[at] === null ? [] : [[key, own[at]]])));
            this.learn({ ...other, ...shown, own, revision });
            this.compareAll(other.id);
            this.listeners.changed(other.id);
        }
    }
    async refused(p, response) {
        const words = await response.text();
        if (response.status === 422) {
            this.drop(p);
            this.done = this.done.filter((step) => step.id !== p.id || step.to !== p.to);
            this.listeners.refused(p, words);
        }
        else {
            this.later(p, words || response.statusText);
        }
    }
    later(p, why) {
        p.state = "unsaved";
        p.why = why;
        this.listeners.changed(p.id);
        this.retry ??= window.setTimeout(() => this.tryAgain(), this.wait);
        this.wait = Math.min(LATEST, 2 * this.wait);
    }
    drop(p) {
        this.pending = this.pending.filter((q) => q !== p);
    }
}
/** What stands in the notes of a frame or is to stand there, as it is said. */
export function told(leaf, of, { of_first }) {
    if (leaf === "shot")
        return Object.entries(of).map(([name, words]) => field(name, words, name in of_first)).join(", ");
    const { mark, remark, grade, exposure, place } = of;
    if (leaf === "mark")
        return (mark ?? "no mark") + (remark ? `, \u201c${remark}\u201d` : "");
    const said = [
        grade === null ? "no grade of its own" : grade && dial(`grade ${grade}`),
        exposure === null ? "no exposure of its own" : exposure && dial(stopsWords(exposure)),
        place === null ? "no placing of its own" : place && placedWords(place),
    ];
    return said.filter((words) => words).join(", ");
}
function field(name, words, ofFirst) {
    return words ? `${fieldName(name)} \u201c${words}\u201d` : `no ${fieldName(name)}${ofFirst ? " of its own" : ""}`;
}
/** The words of `frame` that `like` speaks of, too. */
export function standing(frame, leaf, like) {
    const [grade, exposure, place] = frame.own;
    const keys = Object.keys(like);
    if (leaf === "shot")
        return Object.fromEntries(keys.map((key) => [key, frame.shot[key] ?? ""]));
    return only(leaf === "print" ? { grade, exposure, place } : { mark: frame.mark, remark: frame.remark }, keys);
}
function only(words, keys) {
    return Object.fromEntries(keys.map((key) => [key, words[key]]));
}
function holds(now, wanted) {
    return Object.keys(wanted).every((key) => now[key] === wanted[key]);
}
