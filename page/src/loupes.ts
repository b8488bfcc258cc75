// Loupes on the table: one on the frame that the pointer is over; on frames side by side one on each, at the same place.

import type { Spot } from "./easel.js";
import type { Film } from "./film.js";
import { Loupe } from "./loupe.js";

export class Loupes {
  private laid = new Map<Film, Loupe>();
  private spot: Spot = { u: 0.5, v: 0.5 };
  on = false;

  constructor(private place: HTMLElement) {}

  turn(on: boolean, films: Film[]): void {
    this.on = on;
    this.lie(films);
  }

  /** Moves them to where the pointer is on `film`; `films` are those that are looked at. */
  follow(film: Film, event: PointerEvent, films: Film[]): void {
    if (!this.on) return;
    const box = film.picture.getBoundingClientRect();
    this.spot = { u: (event.clientX - box.x) / box.width, v: (event.clientY - box.y) / box.height };
    this.lie(films, event.pointerType === "touch");
  }

  move(dx: number, dy: number, films: Film[]): void {
    this.spot = { u: this.spot.u + dx / 20, v: this.spot.v + dy / 20 };
    this.lie(films);
  }

  /** Lays a loupe on each of `films`, and takes away those on others. */
  lie(films: Film[], above = false): void {
    for (const [film, loupe] of this.laid) {
      if (this.on && films.includes(film)) continue;
      loupe.element.remove();
      this.laid.delete(film);
    }
    if (!this.on) return;
    this.spot = { u: Math.min(1, Math.max(0, this.spot.u)), v: Math.min(1, Math.max(0, this.spot.v)) };
    for (const film of films) {
      const shown = film.shown;
      if (!shown) continue;
      const loupe = this.laid.get(film) ?? new Loupe(film.picture);
      if (!this.laid.has(film)) {
        this.laid.set(film, loupe);
        this.place.append(loupe.element);
        loupe.turn(true);
      }
      loupe.lay(shown.frame, shown.screen);
      loupe.moveTo(this.spot, above);
    }
  }
}
