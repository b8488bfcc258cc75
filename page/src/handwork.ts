// Every deed that hands can do in the room, with its key.

import type { Mark } from "./contract.js";
import type { Deed } from "./deeds.js";
import { find } from "./element.js";
import type { Room } from "./room.js";

const both = { table: true, bench: true };
const onTable = { table: true, bench: false };
const onBench = { table: false, bench: true };

export function deedsOf(room: Room): Deed[] {
  const { table, bench, looks, writing } = room;
  // With no frame on the table there is nothing to do but to read the list.
  const can = (deed: Deed): Deed => (deed.key === "?" ? deed : { ...deed, can: () => !room.empty && deed.can?.() !== false });
  const marked = (what: Mark) => (): boolean => !room.empty && room.here.mark === what;
  const deeds: Deed[] = [
    { key: "p", name: () => "print", words: "print it: a ring", ...both, first: true, on: marked("print"), run: () => room.mark("print") },
    { key: "h", name: () => "hold", words: "hold it: a dot", ...both, first: true, on: marked("hold"), run: () => room.mark("hold") },
    { key: "k", name: () => "skip", words: "skip it: a stroke", ...both, first: true, on: marked("skip"), run: () => room.mark("skip") },
    { key: "Backspace", cap: "\u232b", name: () => "undo", words: "undo what was noted last; Ctrl Z does so, too", ...both, first: true, run: () => room.undo() },
    { key: "Enter", cap: "\u21b5", name: () => "step in", words: "step in: one frame on the bench", ...onTable, run: () => room.stepIn() },
    { key: " ", cap: "space", name: () => "select", words: "select, to lay side by side; once more takes it away", ...onTable, can: () => !table.sideBySide, run: () => table.pick(room.here.id), on: () => !room.empty && !table.sideBySide && table.picked.includes(room.here.id) },
    {
      key: "l",
      name: () => (table.sideBySide ? "lay back" : table.picked.length > 1 ? `lay ${table.picked.length} side by side` : "side by side"),
      words: "lay the selected ones side by side, two to four",
      ...onTable,
      can: () => table.sideBySide || table.picked.length > 1,
      run: () => room.laySideBySide(),
    },
    { key: "Enter", cap: "\u21b5", name: () => "keep", words: "keep grade, exposure and place as tried: writes the notes", ...onBench, elsewhere: true, run: () => bench.keep() },
    { key: "g", name: () => "softer", words: "half a grade softer", ...onBench, elsewhere: true, run: () => bench.grade(-1) },
    { key: "G", name: () => "harder", words: "half a grade harder", ...onBench, elsewhere: true, run: () => bench.grade(1) },
    { key: "-", cap: "\u2212", name: () => "less", words: "a third of a stop less", ...onBench, elsewhere: true, run: () => bench.expose(-1) },
    { key: "+", name: () => "more", words: "a third of a stop more", ...onBench, elsewhere: true, run: () => bench.expose(1) },
    { key: "Escape", cap: "Esc", name: () => "table", words: "back to the table", ...onBench, run: () => room.escape() },
    { key: "ArrowLeft", cap: "\u2190", name: () => "before", words: "the frame before", ...onBench, run: () => room.next(-1, 0) },
    { key: "ArrowRight", cap: "\u2192", name: () => "next", words: "the frame after it", ...onBench, run: () => room.next(1, 0) },
    { key: "t", name: () => "test strip", words: "test strip, a third of a stop a band", ...onBench, on: () => bench.on.strip, run: () => void bench.turnStrip() },
    { key: "z", name: () => "zone", words: "place a spot on a zone: click it, then 1 to 9", ...onBench, on: () => bench.on.zone, run: () => bench.turnZone() },
    { key: "c", name: () => "curve", words: "the curve, with the frame's tones", ...onBench, on: () => bench.on.curve, run: () => bench.turnCurve() },
    { key: "o", name: () => "loupe", words: "loupe: the scan's own pixels", ...onBench, on: () => bench.on.loupe, run: () => bench.turnLoupe() },
    { key: "o", name: () => "loupe", words: "loupe: the scan\u2019s own pixels; side by side, one on each", ...onTable, on: () => table.loupe, run: () => room.turnLoupe() },
    { key: "f", name: () => "focus", words: "where it is sharp", ...onBench, on: () => bench.on.focus, run: () => void bench.turnOverlay("focus") },
    { key: "d", name: () => "dust", words: "where dust lies", ...onBench, on: () => bench.on.dust, run: () => void bench.turnOverlay("dust") },
    { key: "r", name: () => "remark", words: "a remark, kept with the mark", ...both, run: () => writing.remark(room.here) },
    { key: "e", name: () => "notes", words: "shot notes: title, subject, place, date, film, developer", ...both, run: () => writing.shot(room.here) },
    { key: "n", name: () => (looks.positive ? "negative" : "positive"), words: "negative or positive", ...both, run: () => room.turnNegative() },
    { key: "s", name: () => (looks.straight ? "graded" : "straight"), words: "straight or graded", ...both, run: () => room.turnStraight() },
    { key: "+", name: () => "nearer", words: "nearer: larger films", ...onTable, run: () => table.nearer(1) },
    { key: "-", cap: "\u2212", name: () => "farther", words: "farther: smaller films", ...onTable, run: () => table.nearer(-1) },
    { key: "b", name: () => "back in order", words: "what was moved about goes back in order", ...onTable, can: () => table.moved, run: () => table.backInOrder() },
    { key: "?", name: () => "keys", words: "this list", ...both, run: () => find<HTMLDialogElement>("keys").showModal() },
  ];
  return deeds.map(can);
}
