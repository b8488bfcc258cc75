// The light table: all frames in batch order, moved about by hand, two to four of them laid side by side.

import type { Frame } from "./contract.js";
import { drag } from "./drag.js";
import { element } from "./element.js";
import { Film, type Looks } from "./film.js";
import { Loupes } from "./loupes.js";
import type { Order } from "./notebook.js";
import { balanced, columns, fit, type Sheet } from "./fit.js";

/** At most so many are laid side by side. */
const MOST = 4;
/** Long edge of a film, in px (house): the least at which all may lie in sight, the least where the table scrolls, the most. */
const [LEAST, SCROLLED, MOST_EDGE] = [260, 340, 1500];
/** A step nearer (house). */
const NEARER = 1.25;

export interface Hands {
  at(id: number): void;
  stepIn(id: number): void;
  picked(): void;
}

export class Table {
  private films: Film[] = [];
  private readonly sight: IntersectionObserver;
  private readonly nothing = element("p", { class: "nothing" }, "no frame lies here: run dryside batch first");
  private picks: number[] = [];
  private places = new Map<number, { x: number; y: number }>();
  private here = 0;
  private lifted = 1;
  private nearness = 0;
  private looks: Looks = { positive: true, straight: false };
  private readonly loupes: Loupes;
  sideBySide = false;

  constructor(
    private surface: HTMLElement,
    frames: Frame[],
    private hands: Hands,
  ) {
    this.loupes = new Loupes(surface);
    this.sight = new IntersectionObserver(
      (seen) => seen.forEach((s) => this.films[Number((s.target as HTMLElement).dataset["id"])]?.sight(s.isIntersecting)),
      { root: surface.parentElement, rootMargin: "600px 0px" },
    );
    surface.append(this.nothing);
    const count = frames.filter((frame) => !frame.gone).length;
    for (const frame of frames) this.bring(frame, { place: this.lying.length + 1, count });
    this.hang();
    new ResizeObserver(() => this.lay()).observe(surface.parentElement ?? surface);
    surface.parentElement?.addEventListener("scroll", () => this.loupes.lie(this.looked));
    this.goTo(this.lying[0] ?? 0, false);
  }

  /** Lays down one more, behind the others. */
  add(frame: Frame, order: Order): void {
    this.bring(frame, order);
    this.hang();
  }

  has(id: number): boolean {
    return this.films[id] !== undefined;
  }

  private bring(frame: Frame, order: Order): void {
    const film = new Film(frame, order);
    const { id } = frame;
    this.films[id] = film;
    film.element.dataset["id"] = String(id);
    this.listen(film.element, id);
    this.sight.observe(film.element);
    void film.lookAt(this.looks);
    this.surface.append(film.element);
  }

  /** Hides those that are gone and, side by side, those that are not selected; hangs frames of one strip together. */
  hang(): void {
    if (this.picks.some((id) => this.films[id]?.gone)) this.choose(this.picks.filter((id) => !this.films[id]?.gone));
    this.films.forEach((film, id) => (film.element.hidden = film.gone || (this.sideBySide && !this.picks.includes(id))));
    this.nothing.hidden = this.lying.length > 0;
    // A sheet is alone on its film.
    const films = this.lying.map((id) => this.films[id]!);
    const of = new Map<string, number>();
    for (const { scan } of films) of.set(scan, (of.get(scan) ?? 0) + 1);
    films.forEach((film, at) => {
      film.element.classList.toggle("same-film", films[at - 1]?.scan === film.scan);
      film.element.classList.toggle("sheet", of.get(film.scan) === 1);
    });
  }

  /** Numbers of the frames that are there. */
  private get lying(): number[] {
    return this.films.flatMap((film, id) => (film.gone ? [] : [id]));
  }

  get loupe(): boolean {
    return this.loupes.on;
  }

  turnLoupe(on: boolean): void {
    this.loupes.turn(on, this.looked);
    this.surface.classList.toggle("looking", on);
  }

  /** Moves the loupes by keys. */
  moveLoupe(dx: number, dy: number): void {
    this.loupes.move(dx, dy, this.looked);
  }

  /** What a loupe is laid on: the frame at hand, or those side by side. */
  private get looked(): Film[] {
    return (this.sideBySide ? this.picked : [this.here]).flatMap((id) => this.films[id] ?? []);
  }

  get picked(): number[] {
    return [...this.picks].sort((a, b) => a - b);
  }

  get moved(): boolean {
    return this.places.size > 0;
  }

  update(frame: Frame, noted: Frame, unsaved: boolean, order: Order): void {
    const film = this.films[frame.id];
    if (!film) return;
    const { width, height } = film.shape;
    film.update(frame, noted, unsaved, order);
    if (film.shape.width * height !== film.shape.height * width) this.lay();
  }

  lookAt(looks: Looks): void {
    this.looks = looks;
    this.surface.parentElement?.classList.toggle("lit", !looks.positive);
    for (const film of this.films) void film.lookAt(looks).then(() => this.loupes.lie(this.looked));
  }

  goTo(id: number, focus = true): void {
    const film = this.films[id];
    if (!film) return;
    this.films[this.here]?.element.classList.remove("here");
    this.films[this.here]?.element.setAttribute("tabindex", "-1");
    this.here = id;
    film.element.classList.add("here");
    film.element.setAttribute("tabindex", "0");
    this.loupes.lie(this.looked);
    if (focus) {
      film.element.focus({ preventScroll: true });
      film.element.scrollIntoView({ block: "nearest" });
    }
  }

  /** The frame one step away as the table lies: sideways in order, up and down by rows. */
  next(dx: number, dy: number): number {
    const order = this.sideBySide ? this.picked : this.lying;
    const at = order.indexOf(this.here);
    if (dy === 0) return order[Math.min(order.length - 1, Math.max(0, at + dx))] ?? this.here;
    const middle = (id: number): { x: number; y: number } => {
      const box = this.films[id]!.element.getBoundingClientRect();
      return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    };
    const from = middle(this.here);
    const least = this.films[this.here]!.element.offsetHeight / 3;
    const beyond = order.map((id) => ({ id, ...middle(id) })).filter((m) => (m.y - from.y) * dy > least);
    const far = (m: { x: number; y: number }): number => Math.abs(m.y - from.y) + 0.6 * Math.abs(m.x - from.x);
    return beyond.sort((a, b) => far(a) - far(b))[0]?.id ?? this.here;
  }

  /** Adds a frame to those that are selected, or takes it away. Those side by side stay. */
  pick(id: number): void {
    if (this.sideBySide) return;
    const others = this.picks.filter((p) => p !== id);
    this.choose(others.length < this.picks.length ? others : [...others, id].slice(-MOST));
  }

  unpick(): void {
    this.choose([]);
  }

  private choose(picks: number[]): void {
    this.picks = picks;
    this.films.forEach((film, id) => film.element.setAttribute("aria-selected", String(picks.includes(id))));
    this.hands.picked();
  }

  laySideBySide(on: boolean): void {
    this.sideBySide = on;
    this.surface.parentElement?.classList.toggle("side-by-side", on);
    this.hang();
    if (on && !this.picks.includes(this.here)) this.goTo(this.picked[0] ?? 0);
    this.lay();
    this.films[this.here]?.element.scrollIntoView({ block: "nearest" });
  }

  /** Larger or smaller films; the table scrolls where they do not fit. */
  nearer(steps: number): void {
    this.nearness = Math.min(6, Math.max(-4, this.nearness + steps));
    this.lay();
    this.films[this.here]?.element.scrollIntoView({ block: "center" });
  }

  /** Moves the frame at hand about by keys. */
  shift(dx: number, dy: number): void {
    const { x, y } = this.places.get(this.here) ?? { x: 0, y: 0 };
    this.put(this.here, x + dx, y + dy);
  }

  backInOrder(): void {
    for (const id of [...this.places.keys()]) this.put(id, 0, 0);
    this.places.clear();
  }

  lay(): void {
    const table = this.surface.parentElement;
    if (!table || table.clientWidth === 0) return;
    const style = getComputedStyle(this.surface);
    const [gap, pad] = [parseFloat(style.columnGap), parseFloat(style.paddingLeft)];
    const top = parseFloat(style.paddingTop) + parseFloat(style.paddingBottom);
    const room = { width: table.clientWidth - 2 * pad - 2, height: table.clientHeight - top - 2 };
    const lying = this.films.filter((f) => !f.element.hidden).map((f) => f.shape);
    const edge = Math.floor(this.edge(lying, room, gap));
    this.surface.style.maxWidth = `${balanced(lying, room, gap, edge) + 2 * pad + 2}px`;
    this.films.forEach((film) => film.size(edge));
  }

  private edge(lying: Sheet[], room: Sheet, gap: number): number {
    if (this.sideBySide) return fit(lying, room, gap, 40, 4000);
    const all = fit(lying, room, gap, LEAST - 1, MOST_EDGE);
    const edge = all < LEAST ? columns(room, gap, SCROLLED) : all;
    return Math.min(room.width, edge * NEARER ** this.nearness);
  }

  private put(id: number, x: number, y: number): void {
    const film = this.films[id]?.element;
    if (!film) return;
    this.places.set(id, { x, y });
    film.style.translate = `${x}px ${y}px`;
    film.style.zIndex = String(this.lifted);
    this.hands.picked();
  }

  private listen(film: HTMLElement, id: number): void {
    drag(film, () => this.places.get(id) ?? { x: 0, y: 0 }, {
      may: () => !this.loupes.on,
      lifted: () => {
        this.lifted++;
        film.classList.add("lifted");
      },
      to: (x, y) => this.put(id, x, y),
      laid: () => film.classList.remove("lifted"),
    });
    const follow = (event: PointerEvent): void => {
      const on = this.films[id];
      if (!this.loupes.on || !on) return;
      if (this.here !== id && !this.sideBySide) this.goTo(id);
      this.loupes.follow(on, event, this.looked);
    };
    film.addEventListener("pointermove", follow);
    film.addEventListener("pointerdown", follow);
    film.addEventListener("focus", () => this.hands.at(id));
    // Not every browser says it of a click.
    let finger = false;
    film.addEventListener("pointerdown", (event) => (finger = event.pointerType === "touch"));
    // A click looks at a frame. It adds it with a key held down; a finger, which has none, once one is selected.
    const adds = (event: MouseEvent): boolean => !this.loupes.on && (event.ctrlKey || event.metaKey || event.shiftKey || (finger && this.picks.length > 0));
    let added = false;
    film.addEventListener("click", (event) => {
      this.hands.at(id);
      if (event.detail > 1) return;
      added = adds(event);
      if (added) this.pick(id);
    });
    // The second of two steps in and leaves what is selected as it was before the first.
    film.addEventListener("dblclick", () => {
      if (added) this.pick(id);
      this.hands.stepIn(id);
    });
  }
}
