// The loupe: true pixels of the scan, one for one of the screen's, under the pointer.
import { develop } from "./develop.js";
import { element } from "./element.js";
import { tile, TILE } from "./tiles.js";
/** Squares that are asked for at a time: as many as meet at a corner. */
const AT_ONCE = 4;
export class Loupe {
    picture;
    glass = element("canvas", { "aria-hidden": "true" });
    words = element("p", {});
    element = element("div", { class: "loupe", hidden: "" }, this.glass, this.words);
    spot = { u: 0.5, v: 0.5 };
    frame;
    screen;
    tiles = new Map();
    asked = new Set();
    why = "";
    /** `picture` is what it lies on: the whole frame, coarser. */
    constructor(picture) {
        this.picture = picture;
    }
    get on() {
        return !this.element.hidden;
    }
    turn(on) {
        this.element.hidden = !on;
        if (on)
            this.moveTo(this.spot);
    }
    lay(frame, screen) {
        if (this.frame?.id !== frame.id || this.frame.away !== frame.away) {
            this.tiles.clear();
            this.asked.clear();
            this.why = frame.away ?? "";
        }
        this.frame = frame;
        this.screen = screen;
        if (this.on)
            this.look();
    }
    /** Nothing lies under it. */
    clear() {
        this.frame = this.screen = undefined;
        this.tiles.clear();
        this.asked.clear();
        this.why = this.words.textContent = "";
        this.glass.width = this.glass.height = 0;
    }
    /** `above` a finger, which would hide what is looked at. */
    moveTo(spot, above = false) {
        this.spot = { u: clamp(spot.u), v: clamp(spot.v) };
        const box = this.picture.getBoundingClientRect();
        const size = this.element.offsetWidth;
        const lift = above ? size * 0.72 : 0;
        const [x, y] = [box.x + this.spot.u * box.width, box.y + this.spot.v * box.height];
        this.element.style.translate = `${x - size / 2}px ${y - size / 2 - lift}px`;
        this.look();
    }
    /** By keys: a third of the glass. */
    move(dx, dy) {
        if (!this.frame)
            return;
        const step = (this.glass.width || 300) / 3;
        const [width, height] = this.frame.pixels;
        this.moveTo({ u: this.spot.u + (dx * step) / width, v: this.spot.v + (dy * step) / height });
    }
    look() {
        const { frame, screen, glass } = this;
        if (!frame || !screen)
            return;
        const side = Math.round(glass.clientWidth * devicePixelRatio);
        if (side === 0)
            return;
        if (glass.width !== side)
            glass.width = glass.height = side;
        const pen = glass.getContext("2d");
        if (!pen)
            return;
        const [width, height] = frame.pixels;
        const left = Math.round(this.spot.u * width - side / 2);
        const top = Math.round(this.spot.v * height - side / 2);
        pen.fillStyle = "#000";
        pen.fillRect(0, 0, side, side);
        this.coarse(pen, left, top, side);
        let waiting = 0;
        if (this.why === "") {
            for (let row = Math.max(0, Math.floor(top / TILE)); row * TILE < Math.min(height, top + side); row++) {
                for (let column = Math.max(0, Math.floor(left / TILE)); column * TILE < Math.min(width, left + side); column++) {
                    const there = this.tiles.get(`${column} ${row}`);
                    if (there)
                        put(pen, there, screen, column * TILE - left, row * TILE - top);
                    else {
                        waiting++;
                        this.ask(frame, column, row);
                    }
                }
            }
        }
        this.element.classList.toggle("away", this.why !== "");
        this.element.dataset["waiting"] = String(waiting);
        // Why there are no pixels is said aloud by a screen reader, too.
        if (this.why)
            this.words.setAttribute("role", "status");
        else
            this.words.removeAttribute("role");
        this.words.textContent = this.why || (waiting ? "1:1, coming" : "1:1");
    }
    /** What the bench shows already, enlarged, until the pixels come. */
    coarse(pen, left, top, side) {
        const picture = this.picture;
        if (!this.frame || picture.width === 0)
            return;
        const by = picture.width / this.frame.pixels[0];
        pen.imageSmoothingQuality = "high";
        pen.drawImage(picture, left * by, top * by, side * by, side * by, 0, 0, side, side);
    }
    ask(frame, column, row) {
        const key = `${column} ${row}`;
        // What is still wanted when one of them has come is asked for then: places that a hand only passed are not.
        if (this.asked.has(key) || this.asked.size >= AT_ONCE)
            return;
        this.asked.add(key);
        tile(frame, column, row).then((there) => {
            if (this.frame?.id !== frame.id)
                return;
            if (this.tiles.size > 32)
                this.tiles.clear();
            this.tiles.set(key, there);
            this.asked.delete(key);
            if (this.on)
                this.look();
        }, (error) => {
            if (this.frame?.id !== frame.id)
                return;
            this.asked.delete(key);
            this.why = error instanceof Error ? error.message : String(error);
            if (this.on)
                this.look();
        });
    }
}
function put(pen, net, screen, x, y) {
    const image = new ImageData(net.width, net.height);
    develop(net.codes, screen, image.data);
    pen.putImageData(image, x, y);
}
function clamp(v) {
    return Math.min(1, Math.max(0, v));
}
