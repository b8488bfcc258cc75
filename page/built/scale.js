// An engraved scale, as on an enlarger's filter drawer and its timer: the steps in a row, a pointer at the one in use.
import { element } from "./element.js";
import { dial } from "./steps.js";
export class Scale {
    choose;
    element;
    steps = element("div", { class: "steps" });
    constructor(name, less, more, choose) {
        this.choose = choose;
        const end = (to) => {
            const button = element("button", { type: "button", class: "end" }, to.words);
            button.append(element("kbd", { "aria-hidden": "true" }, to.key));
            button.addEventListener("click", to.run);
            return button;
        };
        this.element = element("div", { class: "scale", role: "group", "aria-label": name });
        this.element.append(end(less), this.steps, end(more));
    }
    /** `noted` is where the notes stand, when something else is tried. */
    show(steps, now, noted, said) {
        this.steps.replaceChildren(...steps.map((step) => {
            const button = element("button", { type: "button", "aria-label": said(step), tabindex: step === now ? "0" : "-1" });
            button.append(element("span", {}, dial(step)));
            button.setAttribute("aria-pressed", String(step === now));
            if (step === noted)
                button.classList.add("noted");
            button.addEventListener("click", () => this.choose(step));
            return button;
        }));
    }
}
