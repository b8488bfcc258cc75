// One frame on the table: the film with its rebate, what stands on its edge, and the pencil's mark.
import { develop } from "./develop.js";
import { element, svg } from "./element.js";
import { at } from "./fit.js";
import { negative } from "./negative.js";
import { netOf } from "./nets.js";
import { draw } from "./pencil.js";
import { dial } from "./steps.js";
import { printed, straight } from "./tones.js";
/** Rebate on each side, of the picture's long edge: about that of a 4x5 sheet in its holder (measured on none: house). */
export const REBATE = 0.03;
export class Film {
    element;
    picture = element("canvas", { "aria-hidden": "true" });
    film = element("div", { class: "film" }, this.picture);
    pencil = svg("svg", { class: "pencil", "aria-hidden": "true" });
    number = element("span", { class: "number" });
    name = element("span", { class: "name" });
    grade = element("span", { class: "grade" });
    trouble = element("p", { class: "trouble", hidden: "" });
    frame;
    noted;
    looks = { positive: true, straight: false };
    inSight = false;
    drawn = "";
    constructor(frame, count) {
        this.frame = this.noted = frame;
        this.element = element("div", { class: "frame", role: "option", id: `frame-${frame.id}`, tabindex: "-1", "aria-selected": "false" }, this.film);
        this.film.append(element("span", { class: "edge", "aria-hidden": "true" }, this.number, this.name, this.grade));
        this.element.append(this.pencil, this.trouble);
        this.update(frame, frame, false, count);
    }
    get shape() {
        const { width, height } = this.frame.error && !this.frame.width ? { width: 5, height: 4 } : this.frame;
        const rebate = 2 * REBATE * Math.max(width, height);
        return { width: width + rebate, height: height + rebate };
    }
    /** `frame` as it is decided, `noted` as the notes have it. */
    update(frame, noted, unsaved, count) {
        this.frame = frame;
        this.noted = noted;
        this.number.textContent = String(frame.id + 1);
        this.name.textContent = frame.name;
        this.grade.textContent = (frame.flags.length > 0 ? "! " : "") + dial(frame.grade);
        const words = [
            `${frame.id + 1} of ${count}: ${frame.name}`,
            frame.title || frame.subject,
            frame.error ?? `grade ${frame.grade}, ${frame.exposure} stop`,
            frame.mark ? `marked ${frame.mark}` : "no mark",
            unsaved ? "not saved yet" : "",
            frame.remark,
            ...frame.flags.map((f) => f.message),
        ];
        this.element.setAttribute("aria-label", words.filter((w) => w !== "").join(", "));
        this.element.dataset["mark"] = frame.mark ?? "";
        this.element.classList.toggle("unsaved", unsaved);
        this.trouble.hidden = !frame.error;
        this.trouble.textContent = frame.error ?? "";
        this.element.classList.toggle("broken", frame.error !== null);
        this.mark();
        void this.show();
    }
    size(edge) {
        const { width, height } = at(this.shape, edge);
        this.element.style.width = `${Math.round(width)}px`;
        this.element.style.height = `${Math.round(height)}px`;
        this.element.style.setProperty("--rebate", `${(edge * REBATE) / (1 + 2 * REBATE)}px`);
        this.mark();
        void this.show();
    }
    lookAt(looks) {
        this.looks = looks;
        void this.show();
    }
    /** Pictures are kept only near what can be seen: 400 frames lie on one surface. */
    sight(inSight) {
        this.inSight = inSight;
        if (inSight) {
            void this.show();
        }
        else {
            this.drawn = "";
            this.picture.width = this.picture.height = 0;
        }
    }
    mark() {
        const [width, height] = [parseFloat(this.element.style.width), parseFloat(this.element.style.height)];
        if (width > 0)
            draw(this.pencil, this.frame.mark, width, height, this.frame.id);
    }
    async show() {
        const { frame, looks } = this;
        if (!this.inSight || frame.width === 0)
            return;
        const wide = parseFloat(this.element.style.width) * devicePixelRatio;
        const tone = !looks.positive ? "negative" : looks.straight ? "straight" : `${frame.grade} ${frame.exposure} ${frame.place}`;
        const wanted = `${tone} ${Math.floor(frame.width / wide)} ${frame.revision}`;
        if (wanted === this.drawn)
            return;
        this.drawn = wanted;
        try {
            const [picture, screen] = await Promise.all([netOf(frame, wide), screenOf(frame, this.noted, looks)]);
            if (this.drawn !== wanted || !this.inSight)
                return;
            const image = new ImageData(picture.width, picture.height);
            develop(picture.codes, screen, image.data);
            this.picture.width = picture.width;
            this.picture.height = picture.height;
            this.picture.getContext("2d")?.putImageData(image, 0, 0);
            this.element.classList.add("there");
        }
        catch (error) {
            if (this.drawn !== wanted)
                return;
            this.drawn = "";
            this.trouble.hidden = false;
            this.trouble.textContent = frame.error ?? (error instanceof Error ? error.message : String(error));
        }
    }
}
async function screenOf(frame, noted, looks) {
    if (!looks.positive)
        return negative(frame.base ?? 0);
    return (await (looks.straight ? straight(noted) : printed(noted, frame))).screen;
}
