// What stands around the table in words: how many frames there are and how they are marked, the light, the frame at hand, and what
// is not saved yet.

import type { Frame, Mark } from "./contract.js";
import type { Doing } from "./doing.js";
import { element, find } from "./element.js";
import { DIM, LIT } from "./negative.js";
import { told, type Notebook, type Pending } from "./notebook.js";
import { notices } from "./notices.js";
import { dial, stopsWords } from "./steps.js";

export class Head {
  private unsaved = find("unsaved");
  private hand = find("at-hand");
  private answered = true;

  constructor(
    private notebook: Notebook,
    private doing: Doing,
    private surround: number,
  ) {}

  count(): void {
    const all = this.notebook.all;
    const of = (what: Mark): number => all.filter((f) => f.mark === what).length;
    const marks = [of("print") && `${of("print")} to print`, of("hold") && `${of("hold")} held`, of("skip") && `${of("skip")} skipped`];
    find("count").textContent = [`${all.length} ${all.length === 1 ? "frame" : "frames"}`, ...marks.filter((w) => w)].join(" \u00b7 ");
    this.doing.markedNow(of("print"));
    this.tellUnsaved();
  }

  light(positive: boolean): void {
    find("surround").textContent = `grey around the pictures L* ${this.surround}, of the table L* ${positive ? DIM : LIT}`;
  }

  /** The frame at hand: what its notes say, and what the program warns of. A screen reader hears it from the frame itself. */
  tell(frame: Frame): void {
    const print = dial(`grade ${frame.grade}`) + (frame.exposure === "0" ? "" : `, ${dial(stopsWords(frame.exposure))}`);
    const words = [frame.title, frame.date, frame.error ? "" : print, frame.remark && `\u201c${frame.remark}\u201d`];
    const flags = notices(frame).map((notice) => element("span", { class: "flag" }, notice));
    this.hand.replaceChildren(element("b", {}, frame.name), ...words.filter((w) => w).map((w) => element("span", {}, w)), ...flags);
    this.hand.title = notices(frame).join("\n");
  }

  /** Whether the program answers. */
  answers(now: boolean): void {
    this.answered = now;
    this.tellUnsaved();
  }

  private tellUnsaved(): void {
    const waiting = this.notebook.unsaved();
    this.unsaved.hidden = waiting.length === 0 && this.answered;
    if (this.unsaved.hidden) return;
    const why = waiting[0]?.why ?? "dryside does not answer: is it still running? What you do here is kept and tried again";
    const name = (p: Pending): string => {
      const frame = this.notebook.noted(p.id);
      return `${frame.name}: ${told(p.leaf, p.to, frame)}`;
    };
    const names = waiting.map(name).join("; ");
    const line = waiting.length > 0 ? `not saved yet: ${names}. ${why}` : why;
    // Said aloud by a screen reader: once, not at each new try.
    if (this.unsaved.firstElementChild?.textContent === line) return;
    this.unsaved.replaceChildren(element("span", {}, line));
    if (waiting.length === 0) return;
    const again = element("button", { type: "button" }, "try now");
    again.addEventListener("click", () => this.notebook.tryAgain());
    this.unsaved.append(again);
  }
}
