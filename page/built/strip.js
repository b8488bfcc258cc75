// A test strip laid across the frame: bands a third of a stop apart, one of them chosen.
import { element } from "./element.js";
import { darker, dial, stopsWords } from "./steps.js";
import { printed } from "./tones.js";
/** Bands: a stop to either side in thirds, as strips are commonly made (common practice). */
const THIRDS = [-3, -2, -1, 0, 1, 2, 3];
export class Strip {
    easel;
    choose;
    at = 3;
    exposures = [];
    constructor(easel, choose) {
        this.easel = easel;
        this.choose = choose;
    }
    get on() {
        return !this.easel.bands.hidden;
    }
    async lay(noted, wished) {
        this.exposures = THIRDS.map((thirds) => (thirds === 0 ? wished.exposure : darker(wished.exposure, thirds)));
        const tones = await Promise.all(this.exposures.map((exposure) => printed(noted, { ...wished, exposure })));
        const across = this.easel.exposeBands(tones.map((t) => t.screen));
        this.at = 3;
        this.easel.bands.classList.toggle("down", !across);
        this.easel.bands.replaceChildren(...this.exposures.map((exposure, band) => {
            const button = element("button", { type: "button", "aria-label": stopsWords(exposure) });
            button.append(element("span", {}, dial(exposure)));
            if (band === this.at)
                button.classList.add("now");
            button.addEventListener("click", () => this.choose(exposure));
            button.addEventListener("focus", () => (this.at = band));
            return button;
        }));
        this.easel.bands.hidden = false;
        this.move(0);
    }
    lift() {
        this.easel.bands.hidden = true;
        this.easel.bands.replaceChildren();
    }
    move(by) {
        this.at = Math.min(THIRDS.length - 1, Math.max(0, this.at + by));
        this.easel.bands.children[this.at]?.focus();
    }
    take() {
        const exposure = this.exposures[this.at];
        if (exposure !== undefined)
            this.choose(exposure);
    }
}
