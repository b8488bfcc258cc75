// The room: table, bench and what the hands do in it.

import { json } from "./ask.js";
import { Bench } from "./bench.js";
import type { Batch, Mark } from "./contract.js";
import { keyList, Rail, type Deed } from "./deeds.js";
import { Doing } from "./doing.js";
import { element, find } from "./element.js";
import { listen } from "./events.js";
import { greyOf } from "./light.js";
import { DIM, LIT } from "./negative.js";
import { Notebook, told, values } from "./notebook.js";
import { Slip } from "./slip.js";
import { Table } from "./table.js";

/** How long what was said stays, in ms: time to read a line twice (house). */
const READ = 6000;

async function enter(): Promise<void> {
  const batch = await json<Batch>("batch");
  const looks = { positive: true, straight: false };
  let here = 0;
  let away = false;
  let stepped = false;

  const said = find("said");
  let fading: number | undefined;
  const say = (words: string): void => {
    said.textContent = words;
    said.classList.remove("gone");
    clearTimeout(fading);
    fading = window.setTimeout(() => said.classList.add("gone"), READ);
  };
  document.documentElement.style.setProperty("--surround", greyOf(batch.surround));
  document.documentElement.style.setProperty("--dim", greyOf(DIM));
  document.documentElement.style.setProperty("--lit", greyOf(LIT));
  document.title = `${batch.name} on the light table`;
  find("name").textContent = batch.name;

  const notebook = new Notebook(batch.frames, { changed: (id) => changed(id), said: say });
  const doing = new Doing(find("doing"), batch.size, say);
  const slip = new Slip(find("slip"));
  const table = new Table(find("surface"), batch.frames, {
    at: (id) => goTo(id, false),
    stepIn: (id) => stepIn(id),
    picked: () => rail.show(view()),
  });
  const bench = new Bench(find("bench"), batch, notebook, {
    said: say,
    looks: () => looks,
    changed: () => rail.show(view()),
    // What is tried on paper is looked at as a print.
    printing: () => {
      looks.positive = true;
      looks.straight = false;
      table.lookAt(looks);
      surround();
    },
  });
  const view = (): "table" | "bench" => (bench.open ? "bench" : "table");

  const goTo = (id: number, focus = true): void => {
    if (!batch.frames[id]) return;
    here = id;
    table.goTo(id, focus);
  };
  const stepIn = (id: number): void => {
    if (!batch.frames[id]) return;
    goTo(id, false);
    table.turnLoupe(false);
    stepped = true;
    location.hash = String(id + 1);
  };
  const turnTo = (): void => {
    const number = Number(location.hash.slice(1));
    if (batch.frames[number - 1]) {
      goTo(number - 1, false);
      document.body.classList.add("at-bench");
      bench.stepIn(number - 1);
      find("bench").focus();
    } else if (bench.open) {
      stepped = false;
      bench.stepOut();
      document.body.classList.remove("at-bench");
      table.lay();
      goTo(here);
    }
    rail.show(view());
  };
  const stepOut = (): void => {
    // As the browser's own way back does, which leaves the bench, too.
    if (stepped) return history.back();
    history.replaceState(null, "", location.pathname);
    turnTo();
  };

  const mark = (to: Mark): void => {
    const frame = notebook.seen(here);
    notebook.put(here, "mark", { mark: frame.mark === to ? null : to, remark: frame.remark });
  };
  const look = (): void => {
    table.lookAt(looks);
    if (bench.open) void bench.show();
    surround();
  };
  const surround = (): void => {
    find("surround").textContent = `surround: L* ${batch.surround}, table: L* ${looks.positive ? DIM : LIT}`;
    rail.show(view());
  };
  const next = (dx: number, dy: number): void => {
    if (bench.open) {
      if (bench.arrow(dx, dy) || dy !== 0) return;
      const id = here + dx;
      if (!batch.frames[id]) return say(dx > 0 ? "this is the last frame" : "this is the first frame");
      if (bench.tried) say(`what was tried on ${bench.frame.name} is not kept`);
      here = id;
      history.replaceState(null, "", `#${id + 1}`);
      turnTo();
    } else if (table.loupe) table.moveLoupe(dx, dy);
    else goTo(table.next(dx, dy));
  };
  const escape = (): void => {
    if (bench.open) {
      if (!bench.leave()) stepOut();
    } else if (table.loupe) table.turnLoupe(false);
    else if (table.sideBySide) {
      table.laySideBySide(false);
      table.unpick();
    } else table.unpick();
    rail.show(view());
  };
  const side = (): void => {
    if (table.sideBySide) {
      table.turnLoupe(false);
      return escape();
    }
    if (table.picked.length < 2) return say("select two to four frames first");
    table.laySideBySide(true);
    goTo(table.picked[0] ?? here);
    rail.show(view());
  };

  const turnTableLoupe = (): void => {
    table.turnLoupe(!table.loupe);
    const away = notebook.all.length > 0 ? notebook.noted(here).away : null;
    if (table.loupe && away) say(away);
    rail.show(view());
  };

  const both = { table: true, bench: true };
  const onTable = { table: true, bench: false };
  const onBench = { table: false, bench: true };
  const marked = (what: Mark) => (): boolean => notebook.all.length > 0 && notebook.seen(here).mark === what;
  const deeds: Deed[] = [
    { key: "p", name: () => "print", words: "print it: a ring", ...both, first: true, on: marked("print"), run: () => mark("print") },
    { key: "h", name: () => "hold", words: "hold it: a dot", ...both, first: true, on: marked("hold"), run: () => mark("hold") },
    { key: "x", name: () => "skip", words: "skip it: a stroke", ...both, first: true, on: marked("skip"), run: () => mark("skip") },
    { key: "u", name: () => "undo", words: "undo what was noted last", ...both, first: true, run: () => undo() },
    { key: "Enter", cap: "\u21b5", name: () => "step in", words: "step in: one frame on the bench", ...onTable, run: () => stepIn(here) },
    { key: " ", cap: "space", name: () => "select", words: "select, to lay side by side", ...onTable, run: () => table.pick(here), on: () => table.picked.includes(here) },
    {
      key: "l",
      name: () => (table.sideBySide ? "lay back" : table.picked.length > 1 ? `lay ${table.picked.length} side by side` : "side by side"),
      words: "lay the selected ones side by side, two to four",
      ...onTable,
      can: () => table.sideBySide || table.picked.length > 1,
      run: side,
    },
    { key: "Enter", cap: "\u21b5", name: () => "keep", words: "keep grade, exposure and place as tried: writes the notes", ...onBench, elsewhere: true, run: () => bench.keep() },
    { key: "g", name: () => "softer", words: "half a grade softer", ...onBench, elsewhere: true, run: () => bench.grade(-1) },
    { key: "G", name: () => "harder", words: "half a grade harder", ...onBench, elsewhere: true, run: () => bench.grade(1) },
    { key: "-", cap: "\u2212", name: () => "less", words: "a third of a stop less", ...onBench, elsewhere: true, run: () => bench.expose(-1) },
    { key: "+", name: () => "more", words: "a third of a stop more", ...onBench, elsewhere: true, run: () => bench.expose(1) },
    { key: "t", name: () => "test strip", words: "test strip, a third of a stop a band", ...onBench, on: () => bench.on.strip, run: () => void bench.turnStrip() },
    { key: "z", name: () => "zone", words: "place a spot on a zone: click it, then 0 to 9", ...onBench, on: () => bench.on.zone, run: () => bench.turnZone() },
    { key: "c", name: () => "curve", words: "the curve, with the frame's tones", ...onBench, on: () => bench.on.curve, run: () => bench.turnCurve() },
    { key: "o", name: () => "loupe", words: "loupe: the scan's own pixels", ...onBench, on: () => bench.on.loupe, run: () => bench.turnLoupe() },
    { key: "o", name: () => "loupe", words: "loupe: the scan\u2019s own pixels; side by side, one on each", ...onTable, on: () => table.loupe, run: () => turnTableLoupe() },
    { key: "f", name: () => "focus", words: "where it is sharp", ...onBench, on: () => bench.on.focus, run: () => void bench.turnOverlay("focus") },
    { key: "d", name: () => "dust", words: "where dust lies", ...onBench, on: () => bench.on.dust, run: () => void bench.turnOverlay("dust") },
    { key: "r", name: () => "remark", words: "a remark, kept with the mark", ...both, run: () => remark() },
    { key: "e", name: () => "title", words: "the title in the shot notes", ...both, run: () => title() },
    { key: "n", name: () => (looks.positive ? "negative" : "positive"), words: "negative or positive", ...both, run: () => turn("positive") },
    { key: "s", name: () => (looks.straight ? "graded" : "straight"), words: "straight or graded", ...both, run: () => turn("straight") },
    { key: "+", name: () => "nearer", words: "nearer: larger films", ...onTable, run: () => table.nearer(1) },
    { key: "-", cap: "\u2212", name: () => "farther", words: "farther: smaller films", ...onTable, run: () => table.nearer(-1) },
    { key: "b", name: () => "back in order", words: "what was moved about goes back in order", ...onTable, can: () => table.moved, run: () => table.backInOrder() },
    { key: "ArrowLeft", cap: "\u2190", name: () => "before", words: "the frame before", ...onBench, run: () => next(-1, 0) },
    { key: "ArrowRight", cap: "\u2192", name: () => "next", words: "the frame after it", ...onBench, run: () => next(1, 0) },
    { key: "Escape", cap: "Esc", name: () => "table", words: "back to the table", ...onBench, run: escape },
    { key: "?", name: () => "keys", words: "this list", ...both, run: () => keys.showModal() },
  ];
  const rail = new Rail(find("rail"), deeds);
  const keys = find<HTMLDialogElement>("keys");
  keyList(keys, deeds, [
    ["\u2190 \u2192", "the frame before, the frame after"],
    ["\u2191 \u2193", "a row up or down, on the table"],
    ["\u21e7 arrows", "move the film about, on the table"],
    ["Esc", "back"],
  ]);

  const undo = (): void => {
    const id = notebook.undo();
    if (id === undefined) say("there is nothing to undo");
    else if (id !== here && bench.open) {
      history.replaceState(null, "", `#${id + 1}`);
      turnTo();
    } else goTo(id);
  };
  const remark = (): void => {
    const frame = notebook.seen(here);
    slip.write(`remark on ${frame.name}`, frame.remark, (words) => notebook.put(frame.id, "mark", { mark: notebook.seen(frame.id).mark, remark: words }));
  };
  const title = (): void => {
    const frame = notebook.seen(here);
    slip.write(`title of ${frame.name}`, frame.title, (words) => notebook.put(frame.id, "title", { title: words }));
  };
  const turn = (what: "positive" | "straight"): void => {
    looks[what] = !looks[what];
    if (what === "straight") looks.positive = true;
    if (what === "positive" && !looks.positive) looks.straight = false;
    look();
    say(!looks.positive ? "negatives" : looks.straight ? "positives, straight" : "positives, graded");
  };

  const unsaved = find("unsaved");
  const count = (): void => {
    const all = notebook.all;
    const of = (what: Mark): number => all.filter((f) => f.mark === what).length;
    const marks = [of("print") && `${of("print")} to print`, of("hold") && `${of("hold")} held`, of("skip") && `${of("skip")} skipped`];
    find("count").textContent = [`${all.length} ${all.length === 1 ? "frame" : "frames"}`, ...marks.filter((w) => w)].join(" \u00b7 ");
    doing.markedNow(of("print"));
    const waiting = notebook.unsaved();
    unsaved.hidden = waiting.length === 0 && !away;
    if (unsaved.hidden) return;
    const why = waiting[0]?.why ?? "dryside does not answer: is `dryside table` still running? What you do here is kept and tried again";
    const names = waiting.map((p) => `${notebook.noted(p.id).name}: ${told(p)}`).join("; ");
    const again = element("button", { type: "button" }, "try now");
    again.addEventListener("click", () => notebook.tryAgain());
    const line = waiting.length > 0 ? `not saved yet: ${names}. ${why}` : why;
    // Said aloud by a screen reader: once, not at each new try.
    if (unsaved.firstElementChild?.textContent === line) return;
    unsaved.replaceChildren(element("span", {}, line));
    if (waiting.length > 0) unsaved.append(again);
  };
  const changed = (id: number): void => {
    table.update(notebook.seen(id), notebook.noted(id), notebook.isUnsaved(id));
    if (bench.open && bench.frame.id === id) void bench.show();
    rail.show(view());
    count();
    const conflict = notebook.conflict();
    if (!conflict) {
      if (slip.about !== undefined) slip.close();
      return;
    }
    if (slip.about === conflict) return;
    const { name } = notebook.noted(conflict.id);
    const theirs = told(conflict, values(notebook.noted(conflict.id), conflict.leaf));
    const question = element("p", {}, element("b", {}, name), ` was changed elsewhere. you: ${told(conflict)} \u2014 in the notes: ${theirs}`);
    slip.ask(conflict, question, [
      [`yours: ${told(conflict)}`, () => notebook.settle(conflict, true)],
      [`the notes': ${theirs}`, () => notebook.settle(conflict, false)],
    ]);
  };

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || keys.open || slip.open) return;
    const on = event.target as HTMLElement;
    const pressing = on instanceof HTMLButtonElement;
    if (pressing && (event.key === "Enter" || event.key === " ")) return;
    const arrows: Record<string, [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const arrow = arrows[event.key];
    if (arrow) {
      event.preventDefault();
      if (event.shiftKey && !bench.open) table.shift(24 * arrow[0], 24 * arrow[1]);
      else next(...arrow);
      return;
    }
    if (bench.open && /^[0-9xX]$/.test(event.key) && bench.on.zone) {
      event.preventDefault();
      bench.zone(/x/i.test(event.key) ? 10 : Number(event.key));
      return;
    }
    if (event.key === "Escape") return escape();
    // "=" and "_" lie on the keys of "+" and "-".
    const plain = { "=": "+", _: "-" }[event.key] ?? event.key;
    // With the capitals locked all letters are still their keys, but for the one that has both.
    const key = plain.length === 1 && plain !== "G" ? plain.toLowerCase() : plain;
    const deed = deeds.find((d) => d[view()] && d.key === key && (batch.frames.length > 0 || key === "?"));
    if (!deed || deed.can?.() === false) return;
    event.preventDefault();
    deed.run();
  });
  // A hand that pressed a button goes back to the picture: Enter and space are not to press it again.
  document.addEventListener("click", (event) => {
    const pressed = (event.target as Element).closest("#rail button, .scale button, .keeping button, .wedge button");
    if (event.detail === 0 || !pressed || (document.activeElement !== pressed && document.activeElement !== document.body)) return;
    if (bench.open) find("bench").focus({ preventScroll: true });
    else goTo(here);
  });
  window.addEventListener("hashchange", turnTo);
  window.addEventListener("beforeunload", (event) => {
    if (notebook.unsaved().length > 0) event.preventDefault();
  });

  listen({
    frame: (frame) => notebook.heard(frame),
    work: (work) => doing.heard(work),
    again: (now) => {
      notebook.reread(now.frames);
      if (now.work) doing.heard(now.work);
      notebook.tryAgain();
    },
    away: (now) => {
      away = now;
      count();
    },
  });
  doing.show(batch.work, 0);
  count();
  look();
  turnTo();
}

enter().catch((error: unknown) => {
  const why = error instanceof Error ? error.message : String(error);
  find("said").textContent = `the batch does not come: ${why}. Take the address that dryside table printed last`;
});
