// The light table: all frames in batch order, moved about by hand, two to four of them laid side by side.
import { drag } from "./drag.js";
import { element } from "./element.js";
import { Film } from "./film.js";
import { Loupes } from "./loupes.js";
import { balanced, columns, fit } from "./fit.js";
/** At most so many are laid side by side. */
const MOST = 4;
/** Long edge of a film, in px (house): the least at which all may lie in sight, the least where the table scrolls, the most. */
const [LEAST, SCROLLED, MOST_EDGE] = [260, 340, 1500];
/** A step nearer (house). */
const NEARER = 1.25;
export class Table {
    surface;
    hands;
    films = [];
    sight;
    nothing = element("p", { class: "nothing" }, "no frame lies here: run dryside batch first");
    picks = [];
    places = new Map();
    here = 0;
    lifted = 1;
    nearness = 0;
    looks = { positive: true, straight: false };
    loupes;
    sideBySide = false;
    constructor(surface, frames, hands) {
        this.surface = surface;
        this.hands = hands;
        this.loupes = new Loupes(surface);
        this.sight = new IntersectionObserver((seen) => seen.forEach((s) => this.films[Number(s.target.dataset["id"])]?.sight(s.isIntersecting)), { root: surface.parentElement, rootMargin: "600px 0px" });
        surface.append(this.nothing);
        const count = frames.filter((frame) => !frame.gone).length;
        for (const frame of frames)
            this.bring(frame, { place: this.lying.length + 1, count });
        this.hang();
        new ResizeObserver(() => this.lay()).observe(surface.parentElement ?? surface);
        surface.parentElement?.addEventListener("scroll", () => this.loupes.lie(this.looked));
        this.goTo(this.lying[0] ?? 0, false);
    }
    /** Lays down one more, behind the others. */
    add(frame, order) {
        this.bring(frame, order);
        this.hang();
    }
    has(id) {
        return this.films[id] !== undefined;
    }
    bring(frame, order) {
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
    hang() {
        if (this.picks.some((id) => this.films[id]?.gone))
            this.choose(this.picks.filter((id) => !this.films[id]?.gone));
        this.films.forEach((film, id) => (film.element.hidden = film.gone || (this.sideBySide && !this.picks.includes(id))));
        this.nothing.hidden = this.lying.length > 0;
        // A sheet is alone on its film.
        const films = this.lying.map((id) => this.films[id]);
        const of = new Map();
        for (const { scan } of films)
            of.set(scan, (of.get(scan) ?? 0) + 1);
        films.forEach((film, at) => {
            film.element.classList.toggle("same-film", films[at - 1]?.scan === film.scan);
            film.element.classList.toggle("sheet", of.get(film.scan) === 1);
        });
    }
    /** Numbers of the frames that are there. */
    get lying() {
        return this.films.flatMap((film, id) => (film.gone ? [] : [id]));
    }
    get loupe() {
        return this.loupes.on;
    }
    turnLoupe(on) {
        this.loupes.turn(on, this.looked);
        this.surface.classList.toggle("looking", on);
    }
    /** Moves the loupes by keys. */
    moveLoupe(dx, dy) {
        this.loupes.move(dx, dy, this.looked);
    }
    /** What a loupe is laid on: the frame at hand, or those side by side. */
    get looked() {
        return (this.sideBySide ? this.picked : [this.here]).flatMap((id) => this.films[id] ?? []);
    }
    get picked() {
        return [...this.picks].sort((a, b) => a - b);
    }
    get moved() {
        return this.places.size > 0;
    }
    update(frame, noted, unsaved, order) {
        const film = this.films[frame.id];
        if (!film)
            return;
        const { width, height } = film.shape;
        film.update(frame, noted, unsaved, order);
        if (film.shape.width * height !== film.shape.height * width)
            this.lay();
    }
    lookAt(looks) {
        this.looks = looks;
        this.surface.parentElement?.classList.toggle("lit", !looks.positive);
        for (const film of this.films)
            void film.lookAt(looks).then(() => this.loupes.lie(this.looked));
    }
    goTo(id, focus = true) {
        const film = this.films[id];
        if (!film)
            return;
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
    next(dx, dy) {
        const order = this.sideBySide ? this.picked : this.lying;
        const at = order.indexOf(this.here);
        if (dy === 0)
            return order[Math.min(order.length - 1, Math.max(0, at + dx))] ?? this.here;
        const middle = (id) => {
            const box = this.films[id].element.getBoundingClientRect();
            return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
        };
        const from = middle(this.here);
        const least = this.films[this.here].element.offsetHeight / 3;
        const beyond = order.map((id) => ({ id, ...middle(id) })).filter((m) => (m.y - from.y) * dy > least);
        const far = (m) => Math.abs(m.y - from.y) + 0.6 * Math.abs(m.x - from.x);
        return beyond.sort((a, b) => far(a) - far(b))[0]?.id ?? this.here;
    }
    /** Adds a frame to those that are selected, or takes it away. Those side by side stay. */
    pick(id) {
        if (this.sideBySide)
            return;
        const others = this.picks.filter((p) => p !== id);
        this.choose(others.length < this.picks.length ? others : [...others, id].slice(-MOST));
    }
    unpick() {
        this.choose([]);
    }
    choose(picks) {
        this.picks = picks;
        this.films.forEach((film, id) => film.element.setAttribute("aria-selected", String(picks.includes(id))));
        this.hands.picked();
    }
    laySideBySide(on) {
        this.sideBySide = on;
        this.surface.parentElement?.classList.toggle("side-by-side", on);
        this.hang();
        if (on && !this.picks.includes(this.here))
            this.goTo(this.picked[0] ?? 0);
        this.lay();
        this.films[this.here]?.element.scrollIntoView({ block: "nearest" });
    }
    /** Larger or smaller films; the table scrolls where they do not fit. */
    nearer(steps) {
        this.nearness = Math.min(6, Math.max(-4, this.nearness + steps));
        this.lay();
        this.films[this.here]?.element.scrollIntoView({ block: "center" });
    }
    /** Moves the frame at hand about by keys. */
    shift(dx, dy) {
        const { x, y } = this.places.get(this.here) ?? { x: 0, y: 0 };
        this.put(this.here, x + dx, y + dy);
    }
    backInOrder() {
        for (const id of [...this.places.keys()])
            this.put(id, 0, 0);
        this.places.clear();
    }
    lay() {
        const table = this.surface.parentElement;
        if (!table || table.clientWidth === 0)
            return;
        const style = getComputedStyle(this.surface);
        const [gap, pad] = [parseFloat(style.columnGap), parseFloat(style.paddingLeft)];
        const top = parseFloat(style.paddingTop) + parseFloat(style.paddingBottom);
        const room = { width: table.clientWidth - 2 * pad - 2, height: table.clientHeight - top - 2 };
        const lying = this.films.filter((f) => !f.element.hidden).map((f) => f.shape);
        const edge = Math.floor(this.edge(lying, room, gap));
        this.surface.style.maxWidth = `${balanced(lying, room, gap, edge) + 2 * pad + 2}px`;
        this.films.forEach((film) => film.size(edge));
    }
    edge(lying, room, gap) {
        if (this.sideBySide)
            return fit(lying, room, gap, 40, 4000);
        const all = fit(lying, room, gap, LEAST - 1, MOST_EDGE);
        const edge = all < LEAST ? columns(room, gap, SCROLLED) : all;
        return Math.min(room.width, edge * NEARER ** this.nearness);
    }
    put(id, x, y) {
        const film = this.films[id]?.element;
        if (!film)
            return;
        this.places.set(id, { x, y });
        film.style.translate = `${x}px ${y}px`;
        film.style.zIndex = String(this.lifted);
        this.hands.picked();
    }
    listen(film, id) {
        drag(film, () => this.places.get(id) ?? { x: 0, y: 0 }, {
            may: () => !this.loupes.on,
            lifted: () => {
                this.lifted++;
                film.classList.add("lifted");
            },
            to: (x, y) => this.put(id, x, y),
            laid: () => film.classList.remove("lifted"),
        });
        const follow = (event) => {
            const on = this.films[id];
            if (!this.loupes.on || !on)
                return;
            if (this.here !== id && !this.sideBySide)
                this.goTo(id);
            this.loupes.follow(on, event, this.looked);
        };
        film.addEventListener("pointermove", follow);
        film.addEventListener("pointerdown", follow);
        film.addEventListener("focus", () => this.hands.at(id));
        // Not every browser says it of a click.
        let finger = false;
        film.addEventListener("pointerdown", (event) => (finger = event.pointerType === "touch"));
        // A click looks at a frame. It adds it with a key held down; a finger, which has none, once one is selected.
        const adds = (event) => !this.loupes.on && (event.ctrlKey || event.metaKey || event.shiftKey || (finger && this.picks.length > 0));
        let added = false;
        film.addEventListener("click", (event) => {
            this.hands.at(id);
            if (event.detail > 1)
                return;
            added = adds(event);
            if (added)
                this.pick(id);
        });
        // The second of two steps in and leaves what is selected as it was before the first.
        film.addEventListener("dblclick", () => {
            if (added)
                this.pick(id);
            this.hands.stepIn(id);
        });
    }
}
