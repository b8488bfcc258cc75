// What the notes say of each frame, and what was decided here and is not in them yet.
// A change is shown at once, sent, kept while it cannot be written, and never laid over what another hand wrote meanwhile.

import { post } from "./ask.js";
import type { Frame } from "./contract.js";
import { fieldName, withShot } from "./shot.js";
import { dial, placedWords, stopsWords } from "./steps.js";

/** What is written of one leaf of a frame's notes; of a print only what changes. */
export interface Leaves {
  mark: Pick<Frame, "mark" | "remark">;
  shot: Record<string, string>;
  print: Partial<Pick<Frame, "grade" | "exposure" | "place">>;
}
export type Leaf = keyof Leaves;
/** Words as they stand in the notes, by what they are of; null where nothing stands. */
export type Words = Record<string, string | null | undefined>;

interface Change {
  id: number;
  leaf: Leaf;
  from: Words;
  to: Words;
}

interface Step extends Change {
  /** How the frame looked before, for what dryside finds itself stands in no words. */
  before: Partial<Frame>;
}

export interface Pending extends Change {
  /** How the frame looks with it. */
  shown: Partial<Frame>;
  state: "going" | "unsaved" | "conflict";
  why: string;
}

/** Which frame of how many one is, on the table. */
export interface Order {
  place: number;
  count: number;
}

export interface Listeners {
  changed(id: number): void;
  /** A batch has added this one, or it has come back. */
  came(frame: Frame): void;
  /** Its notes are gone, and what was not written in them yet is lost. */
  went(frame: Frame, lost: Pending[]): void;
  /** What cannot stand in the notes, and why: the words are not to be lost. */
  refused(pending: Pending, why: string): void;
  said(words: string): void;
}

/** Order of a frame's own settings. */
const OWN = ["grade", "exposure", "place"] as const;
/** First wait before an unsaved change is tried again, and the longest, in ms (house). */
const [SOON, LATEST] = [2000, 15000];

export class Notebook {
  private pending: Pending[] = [];
  private done: Step[] = [];
  private busy = new Set<number>();
  /** When what is known of a frame came, by the page's clock. */
  private learnt = new Map<number, number>();
  private last: Promise<unknown> = Promise.resolve();
  private wait = SOON;
  private retry: number | undefined;

  constructor(
    private frames: Frame[],
    private listeners: Listeners,
  ) {}

  /** Those that lie on the table, as they are decided. */
  get all(): Frame[] {
    return this.frames.filter((frame) => !frame.gone).map(({ id }) => this.seen(id));
  }

  order(id: number): Order {
    const lying = this.frames.filter((frame) => !frame.gone);
    return { place: lying.findIndex((frame) => frame.id === id) + 1, count: lying.length };
  }

  get empty(): boolean {
    return this.frames.every((frame) => frame.gone);
  }

  /** Whether there is such a frame on the table. */
  lies(id: number): boolean {
    return this.frames[id]?.gone === false;
  }

  /** The frame as it is decided, written or not. */
  seen(id: number): Frame {
    const frame = this.noted(id);
    return this.pending.filter((p) => p.id === id).reduce((seen, p) => ({ ...seen, ...p.shown }), frame);
  }

  /** The frame as the notes have it. */
  noted(id: number): Frame {
    const frame = this.frames[id];
    if (!frame) throw new Error(`there is no frame ${id}`);
    return frame;
  }

  unsaved(): Pending[] {
    return this.pending.filter((p) => p.state === "unsaved");
  }

  conflict(): Pending | undefined {
    return this.pending.find((p) => p.state === "conflict");
  }

  isUnsaved(id: number): boolean {
    return this.pending.some((p) => p.id === id && p.state !== "going");
  }

  /** `before` is the frame as it was looked at when this was begun: what another hand wrote since is asked about. */
  put<L extends Leaf>(id: number, leaf: L, to: Leaves[L], before = this.seen(id)): void {
    const seen = this.seen(id);
    const from = standing(before, leaf, to);
    if (holds(from, to)) return;
    const shown: Partial<Frame> = leaf === "shot" ? withShot(seen, to as Leaves["shot"]) : { ...to };
    if (leaf === "print") shown.own = OWN.map((key, at) => (to as Leaves["print"])[key] ?? seen.own[at]) as Frame["own"];
    const look: Partial<Frame> = Object.fromEntries(Object.keys(shown).map((key) => [key, seen[key as keyof Frame]]));
    const step = { id, leaf, from, to, before: look };
    this.done.push(step);
    this.keep(step, shown);
  }

  /** Takes back the last change made here; the frame that it was made on. */
  undo(): number | undefined {
    const last = this.done.pop();
    if (!last) return undefined;
    this.keep({ ...last, from: last.to, to: last.from }, last.before);
    return last.id;
  }

  /** The batch read anew: what was missed. It was asked for at `asked`: what was learnt of a frame since is newer. */
  reread(frames: Frame[], asked: number): void {
    for (const frame of frames) {
      if ((this.learnt.get(frame.id) ?? 0) > asked) continue;
      if (JSON.stringify(frame) !== JSON.stringify(this.frames[frame.id])) this.heard(frame);
    }
  }

  /** The notes of a frame changed, by whatever hand, or a batch has added it, renamed it, or taken it away. */
  heard(frame: Frame): void {
    // One before it was missed: the whole table is read anew then.
    if (frame.id > this.frames.length) return;
    const before = this.frames[frame.id];
    this.learn(frame);
    if (frame.gone) {
      if (before?.gone === false) this.listeners.went(before, this.forget(frame.id));
      else if (!before) this.listeners.changed(frame.id);
      return;
    }
    if (before?.gone !== false) this.listeners.came(frame);
    else if (before.name !== frame.name) this.listeners.said(`${before.name} is called ${frame.name} now`);
    this.compareAll(frame.id);
    this.listeners.changed(frame.id);
  }

  /** Ends a conflict: what was decided here, or what the notes say. */
  settle(pending: Pending, mine: boolean): void {
    if (mine) {
      pending.from = standing(this.noted(pending.id), pending.leaf, pending.to);
      // What is written over is what an undo brings back.
      const step = this.done.filter((s) => s.id === pending.id && s.leaf === pending.leaf).at(-1);
      if (step) Object.assign(step.from, only(pending.from, Object.keys(step.from)));
      pending.state = "going";
      void this.send(pending.id);
    } else {
      this.drop(pending);
      this.listeners.said("left as the notes have it");
    }
    this.listeners.changed(pending.id);
  }

  /** When all that is on its way now has been answered. */
  answered(): Promise<unknown> {
    return this.last;
  }

  tryAgain(): void {
    clearTimeout(this.retry);
    this.retry = undefined;
    for (const id of new Set(this.unsaved().map((p) => p.id))) void this.send(id);
  }

  /** What was to be written, and what could be undone, of a frame that is gone. */
  private forget(id: number): Pending[] {
    const lost = this.pending.filter((p) => p.id === id);
    this.pending = this.pending.filter((p) => p.id !== id);
    this.done = this.done.filter((step) => step.id !== id);
    return lost;
  }

  private learn(frame: Frame): void {
    this.frames[frame.id] = frame;
    this.learnt.set(frame.id, performance.now());
  }

  private keep({ id, leaf, from: expected, to: wanted }: Change, look: Partial<Frame>): void {
    const waiting = this.pending.find((p) => p.id === id && p.leaf === leaf);
    if (waiting) this.drop(waiting);
    const [from, to] = [{ ...expected, ...waiting?.from }, { ...waiting?.to, ...wanted }];
    const next: Pending = { id, leaf, from, to, shown: { ...waiting?.shown, ...look }, state: "going", why: "" };
    this.pending.push(next);
    if (waiting?.state !== "going") this.compare(next);
    this.listeners.changed(id);
    void this.send(id);
  }

  /** Whether another hand wrote meanwhile what this change is about, or took it back again. */
  private compare(p: Pending): void {
    const now = standing(this.noted(p.id), p.leaf, p.to);
    if (holds(now, p.to)) this.drop(p);
    else if (!holds(now, p.from)) p.state = "conflict";
    else if (p.state === "conflict") p.state = "going";
  }

  /** The same of all that waits to be written in the notes of a frame; what stands in nobody's way any more goes there. */
  private compareAll(id: number): void {
    for (const p of this.pending.filter((p) => p.id === id && p.state !== "going")) this.compare(p);
    if (this.pending.some((p) => p.id === id && p.state === "going")) void this.send(id);
  }

  /** One change after another of a frame: each needs the revision that the one before left. */
  private async send(id: number): Promise<void> {
    if (this.busy.has(id)) return;
    this.busy.add(id);
    for (let p = this.next(id); p; p = this.next(id, p)) await this.write(p);
    this.busy.delete(id);
    this.listeners.changed(id);
  }

  private next(id: number, after?: Pending): Pending | undefined {
    const open = this.pending.filter((p) => p.id === id && p.state !== "conflict");
    return open.find((p) => p !== after && p.state === "going") ?? (after ? undefined : open[0]);
  }

  private async write(p: Pending): Promise<void> {
    try {
      for (;;) {
        this.compare(p);
        if (p.state === "conflict" || !this.pending.includes(p)) return;
        const address = `frame/${p.id}/${p.leaf}`;
        const words = this.toWrite(p);
        const body = p.leaf === "shot" ? { fields: words } : words;
        const response = await this.inTurn(() => post(address, { ...body, revision: this.noted(p.id).revision }));
        if (response.status === 200) return this.written(p, (await response.json()) as Frame);
        if (response.status !== 409) return await this.refused(p, response);
        this.learn((await response.json()) as Frame);
      }
    } catch {
      this.later(p, "dryside does not answer: is it still running?");
    }
  }

  /** One after another, of whatever frames: the folder of a batch is held by one hand at a time. */
  private inTurn(ask: () => Promise<Response>): Promise<Response> {
    const answer = this.last.then(ask);
    this.last = answer.catch(() => undefined);
    return answer;
  }

  /** Only what changes. A mark is told each time, for none is one, too; and with none the remark, which would go with the mark. */
  private toWrite(p: Pending): Words {
    const now = standing(this.noted(p.id), p.leaf, p.to);
    const told = (key: string): boolean => p.to[key] !== now[key] || key === "mark" || (key === "remark" && p.to.mark === null);
    return only(p.to, Object.keys(p.to).filter(told));
  }

  private written(p: Pending, frame: Frame): void {
    this.learn(frame);
    this.wait = SOON;
    this.drop(p);
    if (p.leaf === "print") this.together(frame);
    // The program may write it in its own words: a spot as pixels of the scan. What it answered is what an undo finds.
    const now = standing(frame, p.leaf, p.to);
    for (const step of this.done.filter((s) => s.id === p.id && s.leaf === p.leaf)) {
      for (const words of [step.from, step.to]) {
        for (const key of Object.keys(words)) if (key in p.to && words[key] === p.to[key]) Object.assign(words, only(now, [key]));
      }
    }
    const newer = this.pending.find((q) => q.id === p.id && q.leaf === p.leaf);
    if (newer) newer.from = standing(frame, p.leaf, newer.to);
    else this.listeners.said(`${frame.name}: ${told(p.leaf, now, frame)}`);
  }

  /** The settings of a scan hold for all its frames: the others have them at once, not when the program tells it. */
  private together(frame: Frame): void {
    const { scan, own, revision } = frame;
    for (const other of this.frames.filter((f) => f.scan === scan && f.id !== frame.id)) {
      const shown = Object.fromEntries(OWN.flatMap((key, at) => (own[at] === null ? [] : [[key, own[at]]])));
      this.learn({ ...other, ...shown, own, revision });
      this.compareAll(other.id);
      this.listeners.changed(other.id);
    }
  }

  private async refused(p: Pending, response: Response): Promise<void> {
    const words = await response.text();
    if (response.status === 422) {
      this.drop(p);
      this.done = this.done.filter((step) => step.id !== p.id || step.to !== p.to);
      this.listeners.refused(p, words);
    } else {
      this.later(p, words || response.statusText);
    }
  }

  private later(p: Pending, why: string): void {
    p.state = "unsaved";
    p.why = why;
    this.listeners.changed(p.id);
    this.retry ??= window.setTimeout(() => this.tryAgain(), this.wait);
    this.wait = Math.min(LATEST, 2 * this.wait);
  }

  private drop(p: Pending): void {
    this.pending = this.pending.filter((q) => q !== p);
  }
}

/** What stands in the notes of a frame or is to stand there, as it is said. */
export function told(leaf: Leaf, of: Words, { of_first }: Frame): string {
  if (leaf === "shot") return Object.entries(of).map(([name, words]) => field(name, words, name in of_first)).join(", ");
  const { mark, remark, grade, exposure, place } = of;
  if (leaf === "mark") return (mark ?? "no mark") + (remark ? `, \u201c${remark}\u201d` : "");
  const said = [
    grade === null ? "no grade of its own" : grade && dial(`grade ${grade}`),
    exposure === null ? "no exposure of its own" : exposure && dial(stopsWords(exposure)),
    place === null ? "no placing of its own" : place && placedWords(place),
  ];
  return said.filter((words) => words).join(", ");
}

function field(name: string, words: string | null | undefined, ofFirst: boolean): string {
  return words ? `${fieldName(name)} \u201c${words}\u201d` : `no ${fieldName(name)}${ofFirst ? " of its own" : ""}`;
}

/** The words of `frame` that `like` speaks of, too. */
export function standing(frame: Frame, leaf: Leaf, like: Words): Words {
  const [grade, exposure, place] = frame.own;
  const keys = Object.keys(like);
  if (leaf === "shot") return Object.fromEntries(keys.map((key) => [key, frame.shot[key] ?? ""]));
  return only(leaf === "print" ? { grade, exposure, place } : { mark: frame.mark, remark: frame.remark }, keys);
}

function only(words: Words, keys: string[]): Words {
  return Object.fromEntries(keys.map((key) => [key, words[key]]));
}

function holds(now: Words, wanted: Words): boolean {
  return Object.keys(wanted).every((key) => now[key] === wanted[key]);
}
