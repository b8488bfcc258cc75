// One frame on the table: the film with its rebate, what stands on its edge, and the pencil's mark.

import type { Frame } from "./contract.js";
import { blacken } from "./beyond.js";
import { develop } from "./develop.js";
import { element, svg } from "./element.js";
import { at } from "./fit.js";
import { negative } from "./negative.js";
import { net } from "./nets.js";
import type { Order } from "./notebook.js";
import { notices } from "./notices.js";
import { draw } from "./pencil.js";
import { dial, stopsWords } from "./steps.js";
import { printed, straight } from "./tones.js";

/** How the table shows what lies on it. */
export interface Looks {
  positive: boolean;
  straight: boolean;
}

/** Rebate on each side, of the picture's long edge: about that of a 4x5 sheet in its holder (measured on none: house). */
const REBATE = 0.03;
/** The side that is written on is wider. */
const WRITTEN = 0.055;

/** Letters of a long name that are never left out: a number and what stands before it (house). */
const LAST = 6;

export class Film {
  readonly element: HTMLElement;
  readonly picture = element("canvas", { "aria-hidden": "true" });
  private readonly film = element("div", { class: "film" }, this.picture);
  private readonly pencil = svg("svg", { class: "pencil", "aria-hidden": "true" });
  private readonly number = element("span", { class: "number" });
  private readonly name = element("span", { class: "name" });
  private readonly grade = element("span", { class: "grade" });
  private readonly trouble = element("p", { class: "trouble", hidden: "" });
  private frame: Frame;
  private noted: Frame;
  private looks: Looks = { positive: true, straight: false };
  /** Size of the picture as last known, for notes may break; of a sheet 5 by 4 until it is. */
  private ground = { width: 5, height: 4 };
  private inSight = false;
  private drawn = "";
  private screen: Uint8Array | undefined;

  constructor(frame: Frame, order: Order) {
    this.frame = this.noted = frame;
    this.element = element(
      "div",
      { class: "frame", role: "option", id: `frame-${frame.id}`, tabindex: "-1", "aria-selected": "false" },
      this.film,
    );
    this.film.append(element("span", { class: "edge", "aria-hidden": "true" }, this.number, this.name, this.grade));
    this.element.append(this.pencil, this.trouble);
    this.update(frame, frame, false, order);
  }

  get shape(): { width: number; height: number } {
    const { width, height } = this.ground;
    const long = Math.max(width, height);
    return { width: width + 2 * REBATE * long, height: height + (REBATE + WRITTEN) * long };
  }

  get scan(): string {
    return this.frame.scan;
  }

  get gone(): boolean {
    return this.frame.gone;
  }

  /** `frame` as it is decided, `noted` as the notes have it. */
  update(frame: Frame, noted: Frame, unsaved: boolean, { place, count }: Order): void {
    this.frame = frame;
    this.noted = noted;
    if (frame.width > 0 && frame.height > 0) this.ground = { width: frame.width, height: frame.height };
    this.number.textContent = String(place);
    // Too long for the edge it is shortened in its middle: its end tells frames of a roll apart.
    const end = Math.max(0, frame.name.length - LAST);
    this.name.replaceChildren(element("span", {}, frame.name.slice(0, end)), element("span", {}, frame.name.slice(end)));
    const told = notices(frame);
    this.grade.textContent = (told.length > 0 ? "! " : "") + dial(frame.grade);
    // On its own line each: what the sign before the grade stands for.
    this.grade.title = [dial(`grade ${frame.grade}`), ...told.map((notice) => `! ${notice}`)].join("\n");
    const words = [
      `${place} of ${count}: ${frame.name}`,
      frame.title,
      frame.error ?? `grade ${frame.grade}, ${stopsWords(frame.exposure)}`,
      frame.mark ? `marked ${frame.mark}` : "no mark",
      unsaved ? "not saved yet" : "",
      frame.remark,
      ...told,
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

  /** What a loupe laid on it needs; nothing before the picture is there. */
  get shown(): { frame: Frame; screen: Uint8Array } | undefined {
    return this.screen && { frame: this.noted, screen: this.screen };
  }

  size(edge: number): void {
    const { width, height } = at(this.shape, edge);
    this.element.style.width = `${Math.round(width)}px`;
    this.element.style.height = `${Math.round(height)}px`;
    const long = edge * (Math.max(this.ground.width, this.ground.height) / Math.max(this.shape.width, this.shape.height));
    this.element.style.setProperty("--rebate", `${REBATE * long}px`);
    this.element.style.setProperty("--written", `${WRITTEN * long}px`);
    this.mark();
    void this.show();
  }

  async lookAt(looks: Looks): Promise<void> {
    this.looks = looks;
    await this.show();
  }

  /** Pictures are kept only near what can be seen: 400 frames lie on one surface. */
  sight(inSight: boolean): void {
    this.inSight = inSight;
    if (inSight) {
      void this.show();
    } else {
      this.drawn = "";
      this.picture.width = this.picture.height = 0;
    }
  }

  private mark(): void {
    const [width, height] = [parseFloat(this.element.style.width), parseFloat(this.element.style.height)];
    const written = parseFloat(this.element.style.getPropertyValue("--written"));
    // What stands on the edge stays readable: the pencil keeps off it.
    if (width > 0) draw(this.pencil, this.frame.mark, width, height - 0.8 * written, this.frame.id);
  }

  private async show(): Promise<void> {
    const { frame, looks } = this;
    if (!this.inSight || frame.width === 0) return;
    const long = Math.max(parseFloat(this.element.style.width), parseFloat(this.element.style.height)) * devicePixelRatio;
    if (!(long > 0)) return;
    const tone = !looks.positive ? "negative" : looks.straight ? "straight" : `${frame.grade} ${frame.exposure} ${frame.place}`;
    const wanted = `${tone} ${Math.ceil(long / 200)} ${frame.revision}`;
    if (wanted === this.drawn) return;
    this.drawn = wanted;
    this.element.classList.add("coming");
    try {
      const [picture, screen] = await Promise.all([net(frame, long), screenOf(frame, this.noted, looks)]);
      if (this.drawn !== wanted || !this.inSight) return;
      const image = new ImageData(picture.width, picture.height);
      develop(picture.codes, screen, image.data);
      if (looks.positive) blacken(picture, frame, screen, image.data);
      this.picture.width = picture.width;
      this.picture.height = picture.height;
      this.picture.getContext("2d")?.putImageData(image, 0, 0);
      this.element.classList.add("there");
      this.element.classList.remove("coming");
      this.trouble.hidden = !frame.error;
      this.screen = screen;
    } catch (error) {
      if (this.drawn !== wanted) return;
      this.drawn = "";
      this.element.classList.remove("coming");
      this.trouble.hidden = false;
      this.trouble.textContent = frame.error ?? (error instanceof Error ? error.message : String(error));
    }
  }
}

async function screenOf(frame: Frame, noted: Frame, looks: Looks): Promise<Uint8Array> {
  if (!looks.positive) return negative(frame.base ?? 0);
  return (await (looks.straight ? straight(noted) : printed(noted, frame))).screen;
}
