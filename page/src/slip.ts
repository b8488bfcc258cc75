// A slip of paper laid before the picture: a line to write, or a question to answer.

import { element } from "./element.js";

/** A line to write on. */
export interface Line {
  name: string;
  now: string;
  hint?: string;
}

export class Slip {
  private back: Element | null = null;
  /** What the slip is about, so that one question is not asked twice. */
  about: unknown = undefined;

  /** `turned` hears whether it lies there. */
  constructor(
    private slip: HTMLElement,
    private turned: () => void,
  ) {}

  get open(): boolean {
    return !this.slip.hidden;
  }

  /** `why` it lies there again, if what was written could not stand, and the line that the hand begins `at`. */
  write(name: string, lines: Line[], done: (words: string[]) => void, why = "", at = 0): void {
    const fields = lines.map(({ now, hint }, i) => {
      const field = element("input", { id: `line-${i}`, type: "text", autocomplete: "off", maxlength: "400", enterkeyhint: "done", placeholder: hint ?? "" });
      field.value = now;
      return field;
    });
    const labelled = fields.flatMap((field, i) => [element("label", { for: field.id }, lines[i]!.name), field]);
    const leave = element("button", { type: "button" }, "leave", element("kbd", { "aria-hidden": "true" }, "Esc"));
    leave.addEventListener("click", () => this.close());
    const form = element("form", { class: lines.length > 1 ? "several" : "one" });
    if (lines.length > 1) form.append(element("p", {}, name));
    if (why) form.append(element("p", { class: "why", role: "alert" }, why));
    form.append(...labelled, element("div", { class: "end" }, element("button", { type: "submit" }, "write down"), leave));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.close();
      done(fields.map((field) => field.value.trim()));
    });
    this.show(form, "dialog", name);
    fields[at]?.focus();
    fields[at]?.select();
  }

  ask(about: unknown, question: HTMLElement, answers: [string, () => void][]): void {
    const buttons = answers.map(([words, run]) => {
      const button = element("button", { type: "button" }, words);
      button.addEventListener("click", () => {
        this.close();
        run();
      });
      return button;
    });
    this.show(element("div", {}, question, ...buttons), "alertdialog", question.textContent ?? "");
    this.about = about;
    // No answer is at hand before the question is read.
    this.slip.tabIndex = -1;
    this.slip.focus();
  }

  close(): void {
    this.slip.hidden = true;
    this.slip.replaceChildren();
    this.about = undefined;
    this.turned();
    if (this.back instanceof HTMLElement) this.back.focus({ preventScroll: true });
    this.back = null;
  }

  private show(what: HTMLElement, role: string, name: string): void {
    this.back ??= document.activeElement;
    this.slip.setAttribute("role", role);
    this.slip.setAttribute("aria-label", name);
    this.slip.replaceChildren(what);
    this.slip.hidden = false;
    this.turned();
  }
}
