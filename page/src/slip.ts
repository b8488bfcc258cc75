// A slip of paper laid before the picture: a line to write, or a question to answer.

import { element } from "./element.js";

export class Slip {
  private back: Element | null = null;
  /** What the slip is about, so that one question is not asked twice. */
  about: unknown = undefined;

  /** `turned` hears whether it lies there. */
  constructor(
    private slip: HTMLElement,
    private turned: () => void,
  ) {
    slip.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && this.about === undefined) {
        event.stopPropagation();
        this.close();
      }
    });
  }

  get open(): boolean {
    return !this.slip.hidden;
  }

  write(name: string, now: string, done: (words: string) => void): void {
    const field = element("input", { id: "line", type: "text", autocomplete: "off", maxlength: "400", enterkeyhint: "done" });
    field.value = now;
    const form = element("form", {}, element("label", { for: "line" }, name), field, element("button", { type: "submit" }, "write down"));
    const leave = element("button", { type: "button" }, "leave", element("kbd", { "aria-hidden": "true" }, "Esc"));
    leave.addEventListener("click", () => this.close());
    form.append(leave);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.close();
      done(field.value.trim());
    });
    this.show(form, "dialog", name);
    field.focus();
    field.select();
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
