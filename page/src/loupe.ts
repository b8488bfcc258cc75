// The loupe: true pixels of the scan, one for one of the screen's, under the pointer.

import type { Frame } from "./contract.js";
import type { Net } from "./ask.js";
import { develop } from "./develop.js";
import type { Spot } from "./easel.js";
import { element } from "./element.js";
import { tile, TILE } from "./tiles.js";

/** Squares that are asked for at a time: as many as meet at a corner. */
const AT_ONCE = 4;

export class Loupe {
  private glass = element("canvas", { "aria-hidden": "true" });
  private words = element("p", {});
  readonly element = element("div", { class: "loupe", hidden: "" }, this.glass, this.words);
  private spot: Spot = { u: 0.5, v: 0.5 };
  private frame: Frame | undefined;
  private screen: Uint8Array | undefined;
  private tiles = new Map<string, Net>();
  private asked = new Set<string>();
  private why = "";

  /** `picture` is what it lies on: the whole frame, coarser. */
  constructor(private picture: HTMLCanvasElement) {}

  get on(): boolean {
    return !this.element.hidden;
  }

  turn(on: boolean): void {
    this.element.hidden = !on;
    if (on) this.moveTo(this.spot);
  }

  lay(frame: Frame, screen: Uint8Array): void {
    if (this.frame?.id !== frame.id || this.frame.away !== frame.away) {
      this.tiles.clear();
      this.asked.clear();
      this.why = frame.away ?? "";
    }
    this.frame = frame;
    this.screen = screen;
    if (this.on) this.look();
  }

  /** Nothing lies under it. */
  clear(): void {
    this.frame = this.screen = undefined;
    this.tiles.clear();
    this.asked.clear();
    this.why = this.words.textContent = "";
    this.glass.width = this.glass.height = 0;
  }

  /** `above` a finger, which would hide what is looked at. */
  moveTo(spot: Spot, above = false): void {
    this.spot = { u: clamp(spot.u), v: clamp(spot.v) };
    const box = this.picture.getBoundingClientRect();
    const size = this.element.offsetWidth;
    const lift = above ? size * 0.72 : 0;
    const [x, y] = [box.x + this.spot.u * box.width, box.y + this.spot.v * box.height];
    this.element.style.translate = `${x - size / 2}px ${y - size / 2 - lift}px`;
    this.look();
  }

  /** By keys: a third of the glass. */
  move(dx: number, dy: number): void {
    if (!this.frame) return;
    const step = (this.glass.width || 300) / 3;
    const [width, height] = this.frame.pixels;
    this.moveTo({ u: this.spot.u + (dx * step) / width, v: this.spot.v + (dy * step) / height });
  }

  private look(): void {
    const { frame, screen, glass } = this;
    if (!frame || !screen) return;
    const side = Math.round(glass.clientWidth * devicePixelRatio);
    if (side === 0) return;
    if (glass.width !== side) glass.width = glass.height = side;
    const pen = glass.getContext("2d");
    if (!pen) return;
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
          if (there) put(pen, there, screen, column * TILE - left, row * TILE - top);
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
    if (this.why) this.words.setAttribute("role", "status");
    else this.words.removeAttribute("role");
    this.words.textContent = this.why || (waiting ? "1:1, coming" : "1:1");
  }

  /** What the bench shows already, enlarged, until the pixels come. */
  private coarse(pen: CanvasRenderingContext2D, left: number, top: number, side: number): void {
    const picture = this.picture;
    if (!this.frame || picture.width === 0) return;
    const by = picture.width / this.frame.pixels[0];
    pen.imageSmoothingQuality = "high";
    pen.drawImage(picture, left * by, top * by, side * by, side * by, 0, 0, side, side);
  }

  private ask(frame: Frame, column: number, row: number): void {
    const key = `${column} ${row}`;
    // What is still wanted when one of them has come is asked for then: places that a hand only passed are not.
    if (this.asked.has(key) || this.asked.size >= AT_ONCE) return;
    this.asked.add(key);
    tile(frame, column, row).then(
      (there) => {
        if (this.frame?.id !== frame.id) return;
        if (this.tiles.size > 32) this.tiles.clear();
        this.tiles.set(key, there);
        this.asked.delete(key);
        if (this.on) this.look();
      },
      (error: unknown) => {
        if (this.frame?.id !== frame.id) return;
        this.asked.delete(key);
        this.why = error instanceof Error ? error.message : String(error);
        if (this.on) this.look();
      },
    );
  }
}

function put(pen: CanvasRenderingContext2D, net: Net, screen: Uint8Array, x: number, y: number): void {
  const image = new ImageData(net.width, net.height);
  develop(net.codes, screen, image.data);
  pen.putImageData(image, x, y);
}

function clamp(v: number): number {
  return Math.min(1, Math.max(0, v));
}
