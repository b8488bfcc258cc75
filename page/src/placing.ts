// Placing by a spot: click where it matters, say on which zone it is to lie.

import type { Easel, Spot } from "./easel.js";
import { element } from "./element.js";
import { greyOf } from "./light.js";
import { densityOf, netWords } from "./net.js";

export class Placing {
  private told = element("p", {});
  private wedge = element("div", { class: "wedge", role: "group", "aria-label": "zone" });
  readonly element = element("div", { class: "placing", hidden: "" }, this.told, this.wedge);
  private spot: Spot = { u: 0.5, v: 0.5 };

  constructor(
    private easel: Easel,
    private zones: string[],
    private place: (place: string) => void,
  ) {
    this.wedge.append(
      ...zones.map((zone, i) => {
        const button = element("button", { type: "button", "aria-label": `zone ${zone}` }, zone);
        // Evenly spaced in L*, for the eye alone: what a zone prints as is the program's matter.
        button.style.background = greyOf((100 * i) / (zones.length - 1));
        button.style.color = i / (zones.length - 1) < 0.55 ? "#fff" : "#000";
        button.addEventListener("click", () => this.choose(i + 1));
        return button;
      }),
    );
  }

  get on(): boolean {
    return !this.element.hidden;
  }

  turn(on: boolean): void {
    this.element.hidden = !on;
    if (on) this.at(this.spot);
    else this.easel.cross(undefined);
  }

  at(spot: Spot): void {
    this.spot = { u: Math.min(1, Math.max(0, spot.u)), v: Math.min(1, Math.max(0, spot.v)) };
    this.easel.cross(this.spot);
    const code = this.easel.codeAt(this.spot);
    this.told.textContent =
      code === undefined ? "" : `this spot has net ${netWords(densityOf(code))} D: on which zone is it to lie?`;
  }

  move(dx: number, dy: number): void {
    this.at({ u: this.spot.u + dx / 100, v: this.spot.v + dy / 100 });
  }

  /** By its number, 1 to 9. */
  choose(number: number): void {
    const zone = this.zones[number - 1];
    if (zone !== undefined) this.place(`at=${this.spot.u.toFixed(4)},${this.spot.v.toFixed(4)}=${zone}`);
  }
}
