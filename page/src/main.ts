// The way in: the batch is fetched, the room laid out, and what happens elsewhere is heard.

import { json } from "./ask.js";
import type { Batch } from "./contract.js";
import { keyList, Rail } from "./deeds.js";
import { Doing } from "./doing.js";
import { find } from "./element.js";
import { listen } from "./events.js";
import { deedsOf } from "./handwork.js";
import { takeKeys } from "./keyboard.js";
import { greyOf } from "./light.js";
import { DIM, LIT } from "./negative.js";
import { Room } from "./room.js";
import { Said } from "./said.js";

async function enter(): Promise<void> {
  const batch = await json<Batch>("batch");
  const greys = { surround: batch.surround, dim: DIM, lit: LIT };
  for (const [name, grey] of Object.entries(greys)) document.documentElement.style.setProperty(`--${name}`, greyOf(grey));
  document.title = `${batch.name} on the light table`;
  find("name").textContent = batch.name;

  const said = new Said(find("said"));
  const doing: Doing = new Doing(find("doing"), batch, said, {
    written: (): Promise<unknown> => room.notebook.answered(),
    askSheet: (...asked): boolean => room.writing.sheet(...asked),
  });
  const room = new Room(batch, doing, said);
  const deeds = deedsOf(room);
  const rail = new Rail(find("rail"), deeds);
  const keys = find<HTMLDialogElement>("keys");
  keyList(keys, deeds, {
    everywhere: [
      ["\u2190 \u2192", "the frame before, the frame after"],
      ["Esc", "back"],
    ],
    table: [
      ["click", "look at a frame; a finger\u2019s touch does so, too"],
      ["twice", "step in"],
      ["Ctrl click", "select it too; so do \u21e7 click and \u2318 click, and a finger once one is selected"],
      ["\u2191 \u2193", "a row up or down"],
      ["\u21e7 arrows", "move the film about, as dragging it does"],
    ],
  });
  takeKeys(room, deeds, keys);

  window.addEventListener("hashchange", () => room.turnTo());
  window.addEventListener("beforeunload", (event) => {
    if (room.notebook.unsaved().length > 0) event.preventDefault();
  });
  listen({
    frame: (frame) => room.notebook.heard(frame),
    work: (work) => {
      doing.heard(work);
      // On the bench there is no room for what was ordered: it is told there once, and stands on the table.
      if (room.bench.open && work && !work.running) said.say(doing.outcome(work));
    },
    again: (now, asked) => {
      room.notebook.reread(now.frames, asked);
      doing.reread(now.work, asked);
      room.notebook.tryAgain();
    },
    away: (away) => room.head.answers(!away),
  });
  doing.show(batch.work, 0);
  room.open(rail);
}

enter().catch((error: unknown) => {
  const why = error instanceof Error ? error.message : String(error);
  find("said").textContent = `the batch does not come: ${why}. Take the address that dryside table printed last`;
});
