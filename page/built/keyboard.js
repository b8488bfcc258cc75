// Keys, and where the hand goes back to when it pressed a button.
import { find } from "./element.js";
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
/** How far a film is moved by an arrow, in px (house). */
const SHIFT = 24;
export function takeKeys(room, deeds, keys) {
    const { bench, slip, table } = room;
    document.addEventListener("keydown", (event) => {
        if (event.altKey || keys.open)
            return;
        if ((event.ctrlKey || event.metaKey) && !(event.key === "z" && !event.shiftKey))
            return;
        if (slip.open) {
            // Wherever the hand is: a click beside the slip does not take its keys away.
            if (slip.about === undefined && event.key === "Escape")
                slip.close();
            if (slip.about !== undefined && event.key.length === 1 && event.key !== " ")
                room.say("this waits for your answer: which of the two is to stand?", () => slip.about !== undefined);
            return;
        }
        if (event.target instanceof HTMLButtonElement && (event.key === "Enter" || event.key === " "))
            return;
        const arrow = ARROWS[event.key];
        if (arrow) {
            event.preventDefault();
            if (event.shiftKey && !bench.open)
                table.shift(SHIFT * arrow[0], SHIFT * arrow[1]);
            else
                room.next(...arrow);
            return;
        }
        if (bench.open && /^[1-9]$/.test(event.key) && bench.on.zone) {
            event.preventDefault();
            bench.zone(Number(event.key));
            return;
        }
        if (event.key === "Escape")
            return room.escape();
        // "=" and "_" lie on the keys of "+" and "-".
        const plain = { "=": "+", _: "-" }[event.key] ?? event.key;
        // With the capitals locked all letters are still their keys, but for the one that has both.
        const key = event.ctrlKey || event.metaKey ? "Backspace" : plain.length === 1 && plain !== "G" ? plain.toLowerCase() : plain;
        const deed = deeds.find((d) => d[room.view] && d.key === key);
        if (!deed || deed.can?.() === false)
            return;
        event.preventDefault();
        deed.run();
    });
    // A hand that pressed a button goes back to the picture: Enter and space are not to press it again.
    document.addEventListener("click", (event) => {
        const pressed = event.target.closest("#rail button, .scale button, .keeping button, .wedge button");
        if (event.detail === 0 || !pressed || (document.activeElement !== pressed && document.activeElement !== document.body))
            return;
        if (bench.open)
            find("bench").focus({ preventScroll: true });
        else if (!room.empty)
            room.goTo(room.here.id);
    });
}
