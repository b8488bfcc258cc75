// Everything that can be done: each deed with its key, its button and its line in the list of keys.
import { element } from "./element.js";
const shown = (deed) => deed.cap ?? deed.key;
/** The buttons of a view, along the front of the table. */
export class Rail {
    rail;
    deeds;
    view = "";
    buttons = [];
    constructor(rail, deeds) {
        this.rail = rail;
        this.deeds = deeds;
    }
    show(view) {
        if (this.view !== view) {
            this.view = view;
            const here = this.deeds.filter((d) => d[view] && !d.elsewhere);
            this.buttons = here.map((deed) => ({ deed, button: this.button(deed) }));
            const group = (first) => element("div", { class: first ? "first" : "rest" }, ...this.buttons.filter((b) => (b.deed.first ?? false) === first).map((b) => b.button));
            this.rail.replaceChildren(group(true), group(false));
        }
        for (const { deed, button } of this.buttons) {
            const name = button.firstElementChild;
            if (name && name.textContent !== deed.name())
                name.textContent = deed.name();
            if (deed.on)
                button.setAttribute("aria-pressed", String(deed.on()));
            if (deed.can)
                button.disabled = !deed.can();
        }
    }
    button(deed) {
        const button = element("button", { type: "button", "aria-keyshortcuts": deed.key === " " ? "Space" : deed.key });
        button.append(element("span", {}, deed.name()), element("kbd", { "aria-hidden": "true" }, shown(deed)));
        button.addEventListener("click", () => deed.run());
        return button;
    }
}
/** The list behind `?`. */
export function keyList(dialog, deeds, also) {
    const rows = (list) => element("dl", {}, ...list.map(([key, words]) => element("div", {}, element("dt", {}, element("kbd", {}, key)), element("dd", {}, words))));
    const lines = (view) => deeds.filter(view).map((d) => [shown(d), d.words]);
    const close = element("button", { type: "button" }, "back", element("kbd", { "aria-hidden": "true" }, "Esc"));
    close.addEventListener("click", () => dialog.close());
    const part = (name, list) => element("section", {}, element("h2", {}, name), rows(list));
    dialog.replaceChildren(part("everywhere", [...also, ...lines((d) => d.table && d.bench)]), part("on the table", lines((d) => d.table && !d.bench)), part("on the bench", lines((d) => d.bench && !d.table)), close);
}
