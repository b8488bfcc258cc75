// Prints and sheets made from here: the commands' own work, how far it is, and a way to stop.

import { post } from "./ask.js";
import type { Work } from "./contract.js";
import { element } from "./element.js";

export class Doing {
  private prints = element("button", { type: "button" });
  private sheets = element("button", { type: "button" }, "make sheets");
  private stop = element("button", { type: "button", class: "stop" }, "stop");
  private far = element("progress", { "aria-label": "how far it is" });
  private words = element("p", { role: "status" });
  private work: Work | null = null;
  private marked = 0;
  private told = 0;

  constructor(
    place: HTMLElement,
    private size: string,
    private said: (words: string) => void,
  ) {
    place.append(this.words, this.far, this.stop, this.prints, this.sheets);
    this.prints.addEventListener("click", () => void this.start("do/prints"));
    this.sheets.addEventListener("click", () => void this.start("do/sheets"));
    this.stop.addEventListener("click", () => void this.start("stop"));
    this.show(null, 0);
  }

  show(work: Work | null, marked: number): void {
    this.work = work;
    this.marked = marked;
    const running = work?.running ?? false;
    this.far.hidden = this.stop.hidden = !running;
    this.prints.hidden = this.sheets.hidden = running;
    this.prints.replaceChildren(element("span", {}, "print the marked ones"), element("small", {}, this.size));
    this.prints.disabled = marked === 0;
    this.prints.title = marked === 0 ? "mark frames with a ring first" : "";
    this.words.hidden = !work;
    this.words.classList.toggle("ended", !running);
    if (!work) return;
    this.far.max = Math.max(1, work.of);
    this.far.value = work.done;
    this.words.textContent = running ? `${work.done} of ${work.of} ${work.what}, ${work.message}` : work.message;
  }

  markedNow(marked: number): void {
    this.show(this.work, marked);
  }

  heard(work: Work): void {
    this.told++;
    this.show(work, this.marked);
  }

  private async start(address: string): Promise<void> {
    const told = this.told;
    try {
      const response = await post(address, {});
      // What was told meanwhile is newer than the answer: short work may be done by then.
      if (response.status === 202) {
        const work = (await response.json()) as Work | null;
        if (this.told === told) this.show(work, this.marked);
      } else this.said((await response.text()) || response.statusText);
    } catch {
      this.said("dryside does not answer: is `dryside table` still running?");
    }
  }
}
