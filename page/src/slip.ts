// A slip of paper laid before the picture: a line to write, or a question to answer.

import { element } from "./element.js";

/** A line to write on. */
export interface Line {
  name: string;
  now: string;
  hint?: string;
  /** Why what stands there cannot be read. */
  wrong?: string | undefined;
  /** Words that are often written there, and how they are said: one is taken by a click. */
  choices?: [string, string][];
}

/** What else is on a slip. */
export interface Besides {
  /** Why it lies there again, if what was written could not stand. */
  why?: string | undefined;
  /** The line that the hand begins at. */
  at?: number;
  /** On the button that takes the words. */
  button?: string;
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

  write(name: string, lines: Line[], done: (words: string[]) => void, { why, at = 0, button = "write down" }: Besides = {}): void {
    const fields = lines.map(({ now, hint }, i) => {
      const field = element("input", { id: `line-${i}`, type: "text", autocomplete: "off", maxlength: "400", enterkeyhint: "done", placeholder: hint ?? "" });
      field.value = now;
      return field;
    });
    // As a field holds them, without the ends of lines: what no hand wrote on is not changed by that.
    const laid = fields.map((field) => field.value);
    const labelled = fields.flatMap((field, i) => {
      const line = lines[i]!;
      return [element("label", { for: field.id }, line.name), ...choicesOf(line, field), field, ...wrongOf(line, field)];
    });
    const leave = element("button", { type: "button" }, "leave", element("kbd", { "aria-hidden": "true" }, "Esc"));
    leave.addEventListener("click", () => this.close());
    const form = element("form", { class: lines.length > 1 ? "several" : "one" });
    if (lines.length > 1) form.append(element("p", {}, name));
    if (why) form.append(element("p", { class: "why", role: "alert" }, why));
    form.append(...labelled, element("div", { class: "end" }, element("button", { type: "submit" }, button), leave));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.close();
      done(fields.map(({ value }, i) => (value === laid[i] ? lines[i]!.now : value.trim())));
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

/** What is wrong with a line, below it. */
function wrongOf({ wrong }: Line, field: HTMLInputElement): HTMLElement[] {
  if (!wrong) return [];
  const id = `${field.id}-wrong`;
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", id);
  return [element("p", { class: "wrong", id }, wrong)];
}

/** Buttons that write on a line. */
function choicesOf({ name, choices }: Line, field: HTMLInputElement): HTMLElement[] {
  if (!choices) return [];
  const buttons = choices.map(([words, said]) => {
    const button = element("button", { type: "button" }, said);
    button.addEventListener("click", () => {
      field.value = words;
      field.focus();
      tell();
    });
    return button;
  });
  const tell = (): void => buttons.forEach((button, i) => button.setAttribute("aria-pressed", String(field.value === choices[i]![0])));
  field.addEventListener("input", tell);
  tell();
  return [element("div", { class: "choices", role: "group", "aria-label": name }, ...buttons)];
}
