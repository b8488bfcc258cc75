// What the notes say of each frame, and what was decided here and is not in them yet.
// A change is shown at once, sent, kept while it cannot be written, and never laid over what another hand wrote meanwhile.
import { post } from "./ask.js";
const LEAVES = {
    mark: ["mark", "remark"],
    title: ["title"],
    print: ["grade", "exposure", "place"],
};
/** First wait before an unsaved change is tried again, and the longest, in ms (house). */
const [SOON, LATEST] = [2000, 15000];
export class Notebook {
    frames;
    listeners;
    pending = [];
    done = [];
    busy = new Set();
    wait = SOON;
    retry;
    constructor(frames, listeners) {
        this.frames = frames;
        this.listeners = listeners;
    }
    get all() {
        return this.frames.map((_, id) => this.seen(id));
    }
    /** The frame as it is decided, written or not. */
    seen(id) {
        const frame = this.noted(id);
        return this.pending.filter((p) => p.id === id).reduce((seen, p) => ({ ...seen, ...p.to }), frame);
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
    put(id, leaf, to) {
        const from = values(this.seen(id), leaf);
        if (same(from, to))
            return;
        this.done.push({ id, leaf, from, to });
        this.keep(id, leaf, to, from);
    }
    /** Takes back the last change made here; the frame that it was made on. */
    undo() {
        const last = this.done.pop();
        if (!last)
            return undefined;
        this.keep(last.id, last.leaf, last.from, last.to);
        return last.id;
    }
    /** The batch read anew, after the program was away. */
    reread(frames) {
        for (const frame of frames)
            this.heard(frame);
    }
    /** The notes of a frame changed, by whatever hand. */
    heard(frame) {
        this.frames[frame.id] = frame;
        for (const p of this.pending.filter((p) => p.id === frame.id && p.state === "unsaved"))
            this.compare(p);
        this.listeners.changed(frame.id);
    }
    /** Ends a conflict: what was decided here, or what the notes say. */
    settle(pending, mine) {
        if (mine) {
            pending.from = values(this.noted(pending.id), pending.leaf);
            pending.state = "going";
            void this.send(pending.id);
        }
        else {
            this.drop(pending);
            this.listeners.said("left as the notes have it");
        }
        this.listeners.changed(pending.id);
    }
    tryAgain() {
        clearTimeout(this.retry);
        this.retry = undefined;
        for (const id of new Set(this.unsaved().map((p) => p.id)))
            void this.send(id);
    }
    keep(id, leaf, to, expected) {
        const waiting = this.pending.find((p) => p.id === id && p.leaf === leaf);
        if (waiting)
            this.drop(waiting);
        const from = waiting ? waiting.from : expected;
        const next = { id, leaf, from, to, state: "going", why: "" };
        this.pending.push(next);
        if (waiting?.state !== "going")
            this.compare(next);
        this.listeners.changed(id);
        void this.send(id);
    }
    /** Whether another hand wrote meanwhile what this change is about. */
    compare(p) {
        const now = values(this.noted(p.id), p.leaf);
        if (same(now, p.to))
            this.drop(p);
        else if (!same(now, p.from))
            p.state = "conflict";
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
                const response = await post(address, { ...this.toWrite(p), revision: this.noted(p.id).revision });
                if (response.status === 200)
                    return this.written(p, (await response.json()));
                if (response.status !== 409)
                    return await this.refused(p, response);
                this.frames[p.id] = (await response.json());
            }
        }
        catch {
            this.later(p, "dryside does not answer: is `dryside table` still running?");
        }
    }
    /** Only what changes: a grade that dryside finds stays for it to find. A mark is told each time, for none is one, too. */
    toWrite(p) {
        const now = this.noted(p.id);
        const changed = LEAVES[p.leaf].filter((key) => p.to[key] !== now[key] || key === "mark");
        return Object.fromEntries(changed.map((key) => [key, p.to[key]]));
    }
    written(p, frame) {
        this.frames[p.id] = frame;
        this.wait = SOON;
        this.drop(p);
        // The program may write it in its own words: a spot as pixels of the scan.
        const now = values(frame, p.leaf);
        for (const step of this.done.filter((s) => s.id === p.id && s.leaf === p.leaf)) {
            if (same(step.to, p.to))
                step.to = now;
            if (same(step.from, p.to))
                step.from = now;
        }
        const newer = this.pending.find((q) => q.id === p.id && q.leaf === p.leaf);
        if (newer)
            newer.from = now;
        else
            this.listeners.said(`${frame.name}: ${told(p, now)}`);
    }
    async refused(p, response) {
        const words = await response.text();
        if (response.status === 422) {
            this.drop(p);
            this.listeners.said(words);
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
/** What a change says, in the words of the notes. */
export function told(p, of = p.to) {
    if (p.leaf === "title")
        return of.title ? `title \u201c${of.title}\u201d` : "no title";
    if (p.leaf === "print")
        return `grade ${of.grade}, ${of.exposure} stop, placed by ${/=(\w+)$/.exec(of.place ?? "")?.[0].replace("=", "a spot on zone ") ?? of.place}`;
    return (of.mark ?? "no mark") + (of.remark ? `, \u201c${of.remark}\u201d` : "");
}
export function values(frame, leaf) {
    return Object.fromEntries(LEAVES[leaf].map((key) => [key, frame[key]]));
}
function same(a, b) {
    return Object.keys(a).every((key) => a[key] === b[key]);
}
