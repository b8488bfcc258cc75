// Moving a film about on the table: by mouse or pen at once, by finger after resting on it, so that a swipe still scrolls.
/** How long a finger rests before the film comes along, in ms, and how far a hand may tremble, in px (house). */
const REST = 350;
const TREMBLE = 6;
export function drag(film, at, moved) {
    let hand;
    let rest;
    const lift = () => {
        if (!hand || hand.holding)
            return;
        hand.holding = true;
        film.setPointerCapture(hand.id);
        moved.lifted();
    };
    const end = (event) => {
        clearTimeout(rest);
        if (event.pointerId === hand?.id && hand.holding) {
            moved.laid();
            // The click that ends a move is none; after a touch there may be no click at all.
            const swallow = (click) => click.stopImmediatePropagation();
            film.addEventListener("click", swallow, { capture: true, once: true });
            setTimeout(() => film.removeEventListener("click", swallow, { capture: true }), 50);
        }
        hand = undefined;
    };
    film.addEventListener("pointerdown", (event) => {
        if (event.button !== 0 || hand || !moved.may())
            return;
        hand = { id: event.pointerId, x: event.clientX, y: event.clientY, from: at(), holding: false };
        if (event.pointerType === "touch")
            rest = window.setTimeout(lift, REST);
    });
    film.addEventListener("pointermove", (event) => {
        if (event.pointerId !== hand?.id)
            return;
        const [dx, dy] = [event.clientX - hand.x, event.clientY - hand.y];
        if (!hand.holding) {
            if (Math.hypot(dx, dy) < TREMBLE)
                return;
            if (event.pointerType === "touch")
                return clearTimeout(rest);
            lift();
        }
        moved.to(hand.from.x + dx, hand.from.y + dy);
    });
    film.addEventListener("pointerup", end);
    film.addEventListener("pointercancel", end);
    film.addEventListener("contextmenu", (event) => {
        if (hand)
            event.preventDefault();
    });
    film.addEventListener("touchmove", (event) => {
        if (hand?.holding)
            event.preventDefault();
    }, { passive: false });
}
