// Prints and sheets made from here: the commands' own work, how far it is, and a way to stop.

import { post } from "./ask.js";
import type { Batch, Work } from "./contract.js";
import { element } from "./element.js";

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
  /** When it was told last, by the page's clock. */
  private last = 0;

  constructor(
    place: HTMLElement,
    private batch: Pick<Batch, "name" | "size">,
    private said: (words: string) => void,
    private written: () => Promise<unknown>,
  ) {
    place.append(this.words, this.far, this.stop, this.away, this.prints, this.sheets, this.failures);
    // A mark that is on its way into the notes counts.
    this.prints.addEventListener("click", () => void this.written().then(() => this.start("do/prints")));
    this.sheets.addEventListener("click", () => void this.written().then(() => this.start("do/sheets")));
    this.stop.addEventListener("click", () => void this.start("stop"));
    this.away.addEventListener("click", () => this.show(null, this.marked));
    this.show(null, 0);
  }

  show(work: Work | null, marked: number): void {
    this.work = work;
    this.marked = marked;
    const running = work?.running ?? false;
    this.far.hidden = this.stop.hidden = !running;
    this.away.hidden = !work || running;
    this.prints.hidden = this.sheets.hidden = running;
    const size = this.batch.size.replace("x", " \u00d7 ").replace(/(\d)([a-z])/, "$1 $2");
    this.prints.replaceChildren(element("span", {}, "print the marked ones"), element("small", {}, `on ${size}`));
    this.prints.disabled = marked === 0;
    this.prints.title = marked === 0 ? "mark frames with a ring first" : "";
    this.words.hidden = !work;
    this.words.classList.toggle("ended", !running);
    const [ended, ...failed] = running ? [] : this.ended(work);
    this.failures.hidden = failed.length === 0;
    this.failures.replaceChildren(...failed.map((why) => element("li", {}, why)));
    if (!work) return;
    this.far.max = Math.max(1, work.of);
    this.far.value = work.done;
    this.words.textContent = ended ?? `${work.done} of ${work.of} ${work.what}, ${work.message}`;
  }

  /** How it ended: what was made and where it lies, then what went wrong, a line each. */
  private ended(work: Work | null): string[] {
    if (!work) return [];
    const [made = "", ...failed] = work.message.split("; ");
    return [work.well && work.what === "prints" ? `${made}, in ${this.batch.name}/print` : made, ...failed];
  }

  markedNow(marked: number): void {
    if (marked !== this.marked) this.show(this.work, marked);
  }

  heard(work: Work): void {
    this.last = performance.now();
    this.show(work, this.marked);
  }

  /** The same, asked for at `asked`: what was told since is newer. */
  reread(work: Work | null, asked: number): void {
    if (work && this.last <= asked && JSON.stringify(work) !== JSON.stringify(this.work)) this.heard(work);
  }

  private async start(address: string): Promise<void> {
    const asked = performance.now();
    try {
      const response = await post(address, {});
      // What was told meanwhile is newer than the answer: short work may be done by then.
      if (response.status === 202) {
        const work = (await response.json()) as Work | null;
        if (this.last <= asked && work) this.heard(work);
      } else this.said((await response.text()) || response.statusText);
    } catch {
      this.said("dryside does not answer: is it still running?");
    }
  }
}
