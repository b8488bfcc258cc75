// Prints and sheets made from here: the commands' own work, how far it is, and a way to stop.

import { post } from "./ask.js";
import type { Batch, Work } from "./contract.js";
import { element } from "./element.js";
import type { Said } from "./said.js";
import { sizeWords } from "./size.js";

export interface DoingHands {
  /** When what is on its way into the notes is there. */
  written(): Promise<unknown>;
  /** Asks on which sheet to print; false where a hand is at something else. */
  askSheet(prints: number, size: string, sizes: string[], done: (size: string) => void, why?: string): boolean;
}

/** What came of something that was sent: `wrong` is why its words cannot be taken; what else was in the way has been said. */
type Came = { taken: boolean; wrong?: string };

export class Doing {
  private prints = element("button", { type: "button" });
  private sheets = element("button", { type: "button" }, "make sheets");
  private stop = element("button", { type: "button", class: "stop" }, "stop");
  private away = element("button", { type: "button", class: "away" }, "put away");
  private far = element("progress", { "aria-label": "how far it is" });
  private words = element("p", { role: "status" });
  private failures = element("ul", { "aria-label": "what went wrong" });
  private work: Work | null = null;
  private marked = 0;
  /** Sheet of the prints that were ordered here last. */
  private size: string;
  /** When it was told last, by the page's clock. */
  private last = 0;

  constructor(
    place: HTMLElement,
    private batch: Pick<Batch, "name" | "size" | "sizes">,
    private said: Said,
    private hands: DoingHands,
  ) {
    this.size = batch.size;
    place.append(this.words, this.far, this.stop, this.away, this.prints, this.sheets, this.failures);
    this.prints.addEventListener("click", () => this.askSheet(this.size));
    // A mark that is on its way into the notes counts.
    this.sheets.addEventListener("click", () => void this.hands.written().then(() => this.do("sheets")));
    this.stop.addEventListener("click", () => void this.do("stop"));
    this.away.addEventListener("click", () => {
      this.show(null, this.marked);
      // In other tabs, too.
      void this.do("put-away");
    });
    this.show(null, 0);
  }

  private async do(what: "sheets" | "stop" | "put-away"): Promise<void> {
    const { wrong } = await this.start(what, {});
    if (wrong !== undefined) this.said.say(wrong);
  }

  private askSheet(size: string, why?: string): void {
    const asked = this.hands.askSheet(this.marked, size, this.batch.sizes, (size) => void this.print(size), why);
    if (!asked) this.said.say(why ?? "finish the slip that lies there first");
  }

  private async print(size: string): Promise<void> {
    await this.hands.written();
    const { taken, wrong } = await this.start("prints", { size });
    // Whoever wrote it is to have it back.
    if (wrong !== undefined) return this.askSheet(size, wrong);
    // The sheet of an order that is not taken is not the one of the next.
    if (!taken) return;
    this.size = size;
    this.show(this.work, this.marked);
  }

  show(work: Work | null, marked: number): void {
    this.work = work;
    this.marked = marked;
    const running = work?.running ?? false;
    this.far.hidden = this.stop.hidden = !running;
    this.away.hidden = !work || running;
    this.prints.hidden = this.sheets.hidden = running;
    this.prints.replaceChildren(element("span", {}, "print the marked ones"), element("small", {}, `on ${sizeWords(this.size)}`));
    this.prints.disabled = marked === 0;
    this.prints.title = marked === 0 ? "mark frames with a ring first" : "";
    this.words.hidden = !work;
    this.words.classList.toggle("ended", !running);
    const failed = work && !running ? work.failures : [];
    this.failures.hidden = failed.length === 0;
    this.failures.replaceChildren(...failed.map((why) => element("li", {}, why)));
    if (!work) return;
    this.far.max = Math.max(1, work.of);
    this.far.value = work.done;
    this.words.textContent = running ? `${work.done} of ${work.of} ${work.what}, ${work.message}` : this.ended(work);
  }

  /** What came of an order, in a line: what was made and, of what was not, the first and how many more. */
  outcome(work: Work): string {
    const [first, ...others] = work.failures;
    const more = others.length > 0 ? `; ${others.length} more on the table` : "";
    return first === undefined ? this.ended(work) : `${this.ended(work)}: ${first}${more}`;
  }

  /** What was made, and where it lies. */
  private ended({ well, what, message }: Work): string {
    return well && what === "prints" ? `${message}, in ${this.batch.name}/print` : message;
  }

  markedNow(marked: number): void {
    if (marked !== this.marked) this.show(this.work, marked);
  }

  heard(work: Work | null): void {
    this.last = performance.now();
    this.show(work, this.marked);
    this.said.look();
  }

  /** The same, asked for at `asked`: what was told since is newer. */
  reread(work: Work | null, asked: number): void {
    if (this.last <= asked && JSON.stringify(work) !== JSON.stringify(this.work)) this.heard(work);
  }

  private async start(what: string, words: Record<string, string>): Promise<Came> {
    const asked = performance.now();
    try {
      const response = await post(`do/${what}`, words);
      // What was told meanwhile is newer than the answer: short work may be done by then.
      if (response.status === 202) {
        const work = (await response.json()) as Work | null;
        if (this.last <= asked) this.heard(work);
        return { taken: true };
      }
      const why = (await response.text()) || response.statusText;
      if (response.status === 422) return { taken: false, wrong: why };
      // Until what was in the way is done.
      const { last } = this;
      this.said.say(why, () => this.last === last || (this.work?.running ?? false));
    } catch {
      this.said.say("dryside does not answer: is it still running?");
    }
    return { taken: false };
  }
}
