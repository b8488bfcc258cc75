// What is written on slips of paper: a remark, the shot notes, and an answer where two hands wrote the same thing.

import type { Frame } from "./contract.js";
import { element } from "./element.js";
import { standing, told, type Notebook, type Pending, type Words } from "./notebook.js";
import { fieldName } from "./shot.js";
import type { Slip } from "./slip.js";

/** How a field that is read by the program wants to be written. */
const HINTS: Record<string, string> = { date: "2026-11-25 16:30" };

export class Writing {
  constructor(
    private slip: Slip,
    private notebook: Notebook,
    private fields: string[],
    private say: (words: string) => void,
  ) {}

  remark({ id, name, remark }: Frame): void {
    this.slip.write(`remark on ${name}`, [{ name: `remark on ${name}`, now: remark }], ([words = ""]) =>
      this.notebook.put(id, "mark", { mark: this.notebook.seen(id).mark, remark: words }),
    );
  }

  /** `tried` and `why`: what could not stand there. */
  shot({ id, name, shot, together, scan }: Frame, tried: Words = {}, why = ""): void {
    const lines = this.fields.map((field) => ({ name: fieldName(field), now: tried[field] ?? shot[field] ?? "", hint: HINTS[field] ?? "" }));
    const of = together > 1 ? `shot notes of ${scan}, all ${together} frames` : `shot notes of ${name}`;
    const done = (words: string[]): void => {
      const all = this.fields.map((field, i) => [field, words[i] ?? ""] as const);
      const changed = all.filter(([field, words]) => words !== (shot[field] ?? ""));
      if (changed.length > 0) this.notebook.put(id, "shot", Object.fromEntries(changed));
    };
    this.slip.write(of, lines, done, why);
  }

  /** Words that could not stand in the notes come back to the hand; what else was refused is told. */
  again(pending: Pending, why: string): void {
    const frame = this.notebook.noted(pending.id);
    if (pending.leaf === "shot" && !this.slip.open) this.shot(frame, pending.to, why);
    else this.say(why);
  }

  /** The question of a conflict, or none any more. */
  askAbout(conflict: Pending | undefined): void {
    const { slip } = this;
    if (!conflict) {
      if (slip.about !== undefined) slip.close();
      return;
    }
    if (slip.about === conflict) return;
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
