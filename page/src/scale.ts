// An engraved scale, as on an enlarger's filter drawer and its timer: the steps in a row, a pointer at the one in use.

import { element } from "./element.js";
import { dial } from "./steps.js";

export class Scale {
  readonly element: HTMLElement;
  private steps = element("div", { class: "steps" });

  constructor(
    name: string,
    less: { words: string; key: string; run: () => void },
    more: { words: string; key: string; run: () => void },
    private choose: (step: string) => void,
  ) {
    const end = (to: typeof less): HTMLElement => {
      const button = element("button", { type: "button", class: "end" }, to.words);
      button.append(element("kbd", { "aria-hidden": "true" }, to.key));
      button.addEventListener("click", to.run);
      return button;
    };
    this.element = element("div", { class: "scale", role: "group", "aria-label": name });
    this.element.append(end(less), this.steps, end(more));
  }

  /** `noted` is where the notes stand, when something else is tried. */
  show(steps: string[], now: string, noted: string, said: (step: string) => string): void {
    this.steps.replaceChildren(
      ...steps.map((step) => {
        const button = element("button", { type: "button", "aria-label": said(step), tabindex: step === now ? "0" : "-1" });
        button.append(element("span", {}, dial(step)));
        button.setAttribute("aria-pressed", String(step === now));
        if (step === noted) button.classList.add("noted");
        button.addEventListener("click", () => this.choose(step));
        return button;
      }),
    );
  }
}
