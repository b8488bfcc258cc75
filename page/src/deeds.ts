// Everything that can be done: each deed with its key, its button and its line in the list of keys.

import { element } from "./element.js";

export interface Deed {
  /** As the keyboard names it (KeyboardEvent.key). */
  key: string;
  /** As it is shown, where that differs. */
  cap?: string;
  /** On its button. */
  name: () => string;
  /** In the list of keys. */
  words: string;
  /** Where it can be done. */
  table: boolean;
  bench: boolean;
  /** Whether it has no button on the rail: another one stands elsewhere. */
  elsewhere?: boolean;
  /** Of two that are like a lamp's switch: whether it is on. */
  on?: () => boolean;
  /** Whether there is anything to do. */
  can?: () => boolean;
  /** One of those that the hand reaches for first. */
  first?: boolean;
  run: () => void;
}

const shown = (deed: Deed): string => deed.cap ?? deed.key;

/** The buttons of a view, along the front of the table. */
export class Rail {
  private view = "";
  private waiting = false;
  private more = element("button", { type: "button", class: "more", "aria-expanded": "false" }, "more");
  private buttons: { deed: Deed; button: HTMLButtonElement }[] = [];

  constructor(
    private rail: HTMLElement,
    private deeds: Deed[],
  ) {
    // Where there is little room only the first of the rest lie open.
    this.more.addEventListener("click", () => this.open(!this.rail.classList.contains("opened")));
  }

  private open(on: boolean): void {
    this.rail.classList.toggle("opened", on);
    this.more.setAttribute("aria-expanded", String(on));
    this.more.textContent = on ? "fewer" : "more";
  }

  /** Nothing is done before a question is answered. */
  wait(on: boolean): void {
    this.waiting = on;
    this.rail.classList.toggle("waiting", on);
    if (this.view === "table" || this.view === "bench") this.show(this.view);
  }

  show(view: "table" | "bench"): void {
    if (this.view !== view) {
      this.view = view;
      const here = this.deeds.filter((d) => d[view] && !d.elsewhere);
      this.buttons = here.map((deed) => ({ deed, button: this.button(deed) }));
      const group = (first: boolean): HTMLElement =>
        element("div", { class: first ? "first" : "rest" }, ...this.buttons.filter((b) => (b.deed.first ?? false) === first).map((b) => b.button));
      const first = group(true);
      first.append(this.more);
      this.open(false);
      this.rail.replaceChildren(first, group(false));
    }
    this.more.disabled = this.waiting;
    for (const { deed, button } of this.buttons) {
      if (button.textContent !== words(deed)) button.replaceChildren(...face(deed));
      if (deed.on) button.setAttribute("aria-pressed", String(deed.on()));
      button.disabled = this.waiting || deed.can?.() === false;
      button.title = this.waiting ? "waits for your answer" : "";
    }
  }

  private button(deed: Deed): HTMLButtonElement {
    const button = element("button", { type: "button", "aria-keyshortcuts": deed.key === " " ? "Space" : deed.key });
    button.append(...face(deed));
    button.addEventListener("click", () => deed.run());
    return button;
  }
}

/** The name with its key: underlined where the name has it, behind it otherwise. */
function face(deed: Deed): HTMLElement[] {
  const name = deed.name();
  const at = deed.key.length === 1 && /[a-z]/.test(deed.key) ? name.indexOf(deed.key) : -1;
  if (at < 0) return [element("span", {}, name), element("kbd", { "aria-hidden": "true" }, shown(deed))];
  return [element("span", {}, name.slice(0, at), element("u", {}, deed.key), name.slice(at + 1))];
}

function words(deed: Deed): string {
  return face(deed)
    .map((part) => part.textContent)
    .join("");
}

/** What else hands do, in the list of keys: by where they do it. */
export interface Also {
  everywhere: [string, string][];
  table: [string, string][];
}

/** The list behind `?`. */
export function keyList(dialog: HTMLDialogElement, deeds: Deed[], also: Also): void {
  const rows = (list: [string, string][]): HTMLElement =>
    element("dl", {}, ...list.map(([key, words]) => element("div", {}, element("dt", {}, element("kbd", {}, key)), element("dd", {}, words))));
  const lines = (view: (d: Deed) => boolean): [string, string][] => deeds.filter(view).map((d) => [shown(d), d.words]);
  const close = element("button", { type: "button" }, "back", element("kbd", { "aria-hidden": "true" }, "Esc"));
  close.addEventListener("click", () => dialog.close());
  const part = (name: string, list: [string, string][]): HTMLElement => element("section", {}, element("h2", {}, name), rows(list));
  dialog.replaceChildren(
    part("everywhere", [...also.everywhere, ...lines((d) => d.table && d.bench)]),
    part("on the table", [...also.table, ...lines((d) => d.table && !d.bench)]),
    part("on the bench", lines((d) => d.bench && !d.table)),
    close,
  );
}
