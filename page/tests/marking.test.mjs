import assert from "node:assert/strict";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { button, markIn, start, until } from "./start.mjs";

let room;
before(async () => (room = await start()));
after(() => room.close());

test("a mark made by key stands in the notes, and undo takes it back", async () => {
  const page = await room.open();
  await page.keyboard.press("p");
  await until(() => markIn(room.notes("sheet-01")) === "print", "p writes print");
  assert.equal(await button(page, "print").getAttribute("aria-pressed"), "true");
  assert.match(await page.locator("#frame-0").getAttribute("aria-label"), /marked print/);
  await page.keyboard.press("Backspace");
  await until(() => markIn(room.notes("sheet-01")) === null, "Backspace takes it back");
  assert.deepEqual(page.errors, []);
});

test("the same key again takes a mark off", async () => {
  const page = await room.open();
  await page.keyboard.press("k");
  await until(() => markIn(room.notes("sheet-01")) === "skip", "k writes skip");
  await page.keyboard.press("k");
  await until(() => markIn(room.notes("sheet-01")) === null, "k again takes it off");
});

test("a click looks at a frame; with Ctrl, Shift or Command it is added to those that are selected, or taken away", async () => {
  const page = await room.open();
  const selected = () => page.locator(".frame[aria-selected=true]").evaluateAll((all) => all.map((frame) => frame.id));
  const here = () => page.locator(".frame.here").getAttribute("id");
  await page.locator("#frame-2").click();
  assert.deepEqual([await here(), await selected()], ["frame-2", []]);
  assert.equal(await button(page, "print").getAttribute("aria-pressed"), "false");
  room.write("sheet-06", "print");
  await until(async () => /marked print/.test(await page.locator("#frame-5").getAttribute("aria-label")), "it is marked");
  await page.locator("#frame-5").click();
  assert.equal(await button(page, "print").getAttribute("aria-pressed"), "true", "the buttons tell of the frame at hand");
  await page.keyboard.press("ArrowLeft");
  assert.equal(await button(page, "print").getAttribute("aria-pressed"), "false");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("p");
  await until(() => markIn(room.notes("sheet-06")) === null, "its mark is off again");
  for (const [frame, modifier] of [["#frame-0", "Control"], ["#frame-3", "Shift"], ["#frame-4", "Meta"]]) await page.locator(frame).click({ modifiers: [modifier] });
  assert.deepEqual(await selected(), ["frame-0", "frame-3", "frame-4"]);
  await page.locator("#frame-1").click();
  assert.deepEqual([await here(), await selected()], ["frame-1", ["frame-0", "frame-3", "frame-4"]], "looking leaves them");
  await page.locator("#frame-3").click({ modifiers: ["Control"] });
  assert.deepEqual(await selected(), ["frame-0", "frame-4"]);
  await page.locator("#frame-5").dblclick();
  await page.locator("#bench h2", { hasText: "sheet-06" }).waitFor();
  await page.keyboard.press("Escape");
  await page.locator("#bench").waitFor({ state: "hidden" });
  assert.deepEqual(await selected(), ["frame-0", "frame-4"], "stepping in leaves them, too");
  await page.keyboard.press("?");
  const listed = await page.locator("#keys section", { hasText: "on the table" }).textContent();
  assert.match(listed, /click\s*look at a frame/);
  assert.match(listed, /Ctrl click\s*select it too/);
});

test("a finger alone looks, selects, marks, steps in and comes back", async () => {
  const page = await room.open({ hasTouch: true, isMobile: true, viewport: { width: 390, height: 844 } });
  const selected = (frame) => page.locator(frame).getAttribute("aria-selected");
  await page.locator("#frame-1").tap();
  assert.deepEqual([await page.locator(".frame.here").getAttribute("id"), await selected("#frame-1")], ["frame-1", "false"]);
  await button(page, "select").tap();
  await page.locator("#frame-2").tap();
  assert.deepEqual([await selected("#frame-1"), await selected("#frame-2")], ["true", "true"], "once one is selected a touch adds");
  for (const frame of ["#frame-1", "#frame-2"]) await page.locator(frame).tap();
  assert.deepEqual([await selected("#frame-1"), await selected("#frame-2")], ["false", "false"], "or takes away");
  await page.locator("#frame-1").tap();
  assert.equal(await selected("#frame-1"), "false", "and with none selected it looks");
  await button(page, "hold").tap();
  await until(() => markIn(room.notes("sheet-02")) === "hold", "the button writes hold");
  await button(page, "step in").tap();
  await page.locator("#bench").waitFor();
  assert.equal(await page.locator("#bench h2").textContent(), "sheet-02");
  await button(page, "table").tap();
  await page.locator("#bench").waitFor({ state: "hidden" });
  assert.deepEqual(page.errors, []);
});

test("a remark is written with the mark, and the title into the shot notes", async () => {
  const page = await room.open();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("r");
  await page.keyboard.type("burn in the window");
  await page.keyboard.press("Enter");
  await until(() => room.notes("sheet-03").includes("burn in the window"), "the remark is written");
  await page.keyboard.press("e");
  await page.keyboard.type("Glass floats");
  await page.keyboard.press("Enter");
  await until(() => /^title = "Glass floats"$/m.test(room.notes("sheet-03")), "the title is written");
});

test("frames are laid side by side and go back in order", async () => {
  const page = await room.open();
  for (const key of [" ", "ArrowRight", " ", "l"]) await page.keyboard.press(key);
  assert.equal(await page.locator(".frame:visible").count(), 2);
  await page.keyboard.press("Escape");
  assert.equal(await page.locator(".frame:visible").count(), 6);
  const at = async () => (await page.locator("#frame-0").boundingBox()).x;
  const first = await at();
  await page.keyboard.press("Shift+ArrowRight");
  assert.equal(await at(), first + 24);
  await page.keyboard.press("b");
  assert.equal(await at(), first);
  const box = await page.locator("#frame-0").boundingBox();
  await page.mouse.move(box.x + 60, box.y + 60);
  await page.mouse.down();
  await page.mouse.move(box.x + 100, box.y + 90, { steps: 4 });
  await page.mouse.up();
  assert.equal(await at(), first + 40);
  assert.equal(await page.locator("#frame-0").getAttribute("aria-selected"), "false", "a move is no click");
});

test("a finger that rests on a film moves it, one that does not scrolls the table", async () => {
  const page = await room.open({ hasTouch: true, isMobile: true, viewport: { width: 390, height: 844 } });
  const hand = await page.context().newCDPSession(page);
  const touch = (type, ...at) => hand.send("Input.dispatchTouchEvent", { type, touchPoints: at.map(([x, y]) => ({ x, y })) });
  const at = async () => (await page.locator("#frame-0").boundingBox()).y;
  const first = await at();
  const moves = async () => {
    for (let y = 380; y >= 300; y -= 10) await touch("touchMove", [200, y]);
    await touch("touchEnd");
  };
  await touch("touchStart", [200, 390]);
  await page.locator("#frame-0.lifted").waitFor();
  await moves();
  assert.ok(Math.abs((await at()) - (first - 90)) < 2, "it lies where the finger let it go");
  assert.equal(await page.evaluate(() => document.querySelector("#table").scrollTop), 0);
  await button(page, "more").tap();
  await button(page, "back in order").tap();
  await touch("touchStart", [200, 390]);
  await moves();
  await until(() => page.evaluate(() => document.querySelector("#table").scrollTop > 40), "the table scrolls");
});

test("on frames side by side the loupes lie at the same place, and a finger moves them", async () => {
  const page = await room.open({ hasTouch: true, isMobile: true, viewport: { width: 390, height: 844 } });
  await page.locator("#frame-0").tap();
  await button(page, "select").tap();
  await page.locator("#frame-2").tap();
  await button(page, "lay 2").tap();
  await button(page, "loupe").tap();
  assert.equal(await page.locator("#surface .loupe").count(), 2);
  const middle = async (of) => {
    const box = await page.locator(of).boundingBox();
    return box.y + box.height / 2;
  };
  const before = await middle("#surface .loupe >> nth=1");
  const box = await page.locator("#frame-0 canvas").boundingBox();
  await page.touchscreen.tap(box.x + box.width / 2, box.y + box.height / 4);
  const moved = before - (await middle("#surface .loupe >> nth=1"));
  assert.ok(moved > 0, "the second loupe follows the finger on the first frame");
  assert.equal(await page.locator("#frame-0").getAttribute("aria-selected"), "true", "looking does not unselect");
});

test("the second tab follows the first, and both follow an editor", async () => {
  const [one, two] = [await room.open(), await room.open()];
  const label = (page) => page.locator("#frame-3").getAttribute("aria-label");
  for (const key of ["ArrowRight", "ArrowRight", "ArrowRight", "p"]) await one.keyboard.press(key);
  await until(async () => /marked print/.test(await label(two)), "the second tab shows the mark");
  room.write("sheet-04", "skip");
  for (const page of [one, two]) await until(async () => /marked skip/.test(await label(page)), "both show the editor's mark");
});

test("a conflict is shown, not overwritten: the notes' mark may stay, or one's own go in", async () => {
  const page = await room.open();
  const mark = async (key, meanwhile) => {
    const first = async (route) => {
      room.write("sheet-05", meanwhile);
      await route.continue();
    };
    await page.route("**/frame/4/mark", first, { times: 1 });
    await page.keyboard.press(key);
    await page.locator("#slip").waitFor();
  };
  for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
  await page.locator("#frame-4.here").waitFor();
  await mark("p", "skip");
  assert.match(await page.locator("#slip p").textContent(), /you: print \u2014 in the notes: skip/);
  assert.equal(markIn(room.notes("sheet-05")), "skip");
  await page.locator("#slip button", { hasText: "the notes'" }).click();
  assert.match(await page.locator("#frame-4").getAttribute("aria-label"), /marked skip/);
  assert.equal(markIn(room.notes("sheet-05")), "skip");
  await mark("p", "hold");
  await page.locator("#slip button", { hasText: "yours" }).click();
  await until(() => markIn(room.notes("sheet-05")) === "print", "one's own mark goes in");
});

test("a question goes when the other hand settles it, and is asked anew when it writes something else", async () => {
  const page = await room.open();
  for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
  await page.locator("#frame-4.here").waitFor();
  const label = () => page.locator("#frame-4").getAttribute("aria-label");
  const ask = async (key, meanwhile) => {
    await page.route("**/frame/4/mark", async (route) => {
      room.write("sheet-05", meanwhile);
      await route.continue();
    }, { times: 1 });
    await page.keyboard.press(key);
    await page.locator("#slip p", { hasText: `in the notes: ${meanwhile}` }).waitFor();
  };
  room.write("sheet-05", "print");
  await until(async () => /marked print/.test(await label()), "it is marked");
  await ask("h", "skip");
  await page.keyboard.press("p");
  await page.locator("#said", { hasText: "waits for your answer" }).waitFor();
  // Back to what it was when the hand began: nothing is in the way of its mark any more.
  room.write("sheet-05", "print");
  await until(() => markIn(room.notes("sheet-05")) === "hold", "one's own mark goes in");
  await page.locator("#slip").waitFor({ state: "hidden" });
  assert.equal(await page.locator("#said", { hasText: "waits for your answer" }).count(), 0, "nor is it said that it waits");
  await ask("k", "print");
  room.write("sheet-05", "hold");
  await until(() => markIn(room.notes("sheet-05")) === "skip", "one's own mark goes in");
  await ask("h", "print");
  // The other hand comes to the same.
  const before = room.notes("sheet-05");
  writeFileSync(join(room.out, "flat", "sheet-05.notes.toml"), before.replace(/"print"/, '"hold"'));
  await page.locator("#slip").waitFor({ state: "hidden" });
  assert.match(await label(), /marked hold/);
  assert.equal(await page.locator("#rail.waiting").count(), 0);
  await ask("k", "print");
  const again = room.notes("sheet-05");
  writeFileSync(join(room.out, "flat", "sheet-05.notes.toml"), again.replace(/"print"/, '{ mark = "print", remark = "burn the sky" }'));
  await page.locator("#slip p", { hasText: "in the notes: print, \u201cburn the sky\u201d" }).waitFor();
  await page.locator("#slip button", { hasText: "the notes'" }).click();
  await page.keyboard.press("p");
  await until(() => markIn(room.notes("sheet-05")) === null, "the mark is off");
});

test("a mark that cannot be written is shown as unsaved, kept, and written when there is room", async () => {
  const page = await room.open();
  await page.route("**/mark", (route) => route.fulfill({ status: 507, body: "sheet-06.notes.toml: no room left on the disk" }));
  for (let i = 0; i < 5; i++) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("p");
  await page.locator("#unsaved").waitFor();
  assert.match(await page.locator("#unsaved").textContent(), /not saved yet: sheet-06: print.*no room left/);
  assert.match(await page.locator("#frame-5").getAttribute("aria-label"), /marked print, not saved yet/);
  assert.equal(markIn(room.notes("sheet-06")), null);
  await page.unroute("**/mark");
  await page.locator("#unsaved button").click();
  await until(() => markIn(room.notes("sheet-06")) === "print", "it is written now");
  await page.locator("#unsaved").waitFor({ state: "hidden" });
});

test("a mark taken off leaves its remark, and undo brings it back without a question", async () => {
  const page = await room.open();
  for (let i = 0; i < 2; i++) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("h");
  await until(() => markIn(room.notes("sheet-03")) === "hold", "it is held");
  await page.keyboard.press("r");
  await page.keyboard.type("dodge the jar");
  await page.keyboard.press("Enter");
  await until(() => room.notes("sheet-03").includes("dodge the jar"), "the remark is written");
  await page.keyboard.press("h");
  await until(() => markIn(room.notes("sheet-03")) === null, "the mark is off");
  assert.match(room.notes("sheet-03"), /dodge the jar/);
  await page.keyboard.press("Control+z");
  await until(() => markIn(room.notes("sheet-03")) === "hold", "the mark is back");
  assert.equal(await page.locator("#slip").isVisible(), false);
  assert.match(room.notes("sheet-03"), /dodge the jar/);
});

test("a question lies beside the marks' buttons, which wait for its answer", async () => {
  const page = await room.open({ viewport: { width: 390, height: 844 } });
  await page.route("**/frame/0/mark", async (route) => {
    room.write("sheet-01", "skip");
    await route.continue();
  }, { times: 1 });
  await page.keyboard.press("h");
  await page.locator("#slip").waitFor();
  const [slip, hold] = await Promise.all([page.locator("#slip").boundingBox(), button(page, "hold").boundingBox()]);
  assert.ok(slip.y + slip.height <= hold.y, "the slip does not cover them");
  for (const name of ["hold", "more"]) assert.equal(await button(page, name).isDisabled(), true, name);
  await page.keyboard.press("p");
  assert.match(await page.locator("#said").textContent(), /waits for your answer/);
  await page.locator("#slip button", { hasText: "the notes'" }).click();
  for (const name of ["hold", "more"]) assert.equal(await button(page, name).isDisabled(), false, name);
});

test("shot notes are written on one slip; what cannot be read comes back with the reason, and undo takes all of it back", async () => {
  const page = await room.open();
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
  const before = room.notes("sheet-04");
  await page.keyboard.press("e");
  assert.deepEqual(await page.locator("#slip label").allTextContents(), ["title", "subject", "place", "date", "film", "developer"]);
  const field = (name) => page.locator("#slip").getByLabel(name, { exact: true });
  await field("place").fill("ropewalk, store room");
  await field("developer").fill("two-bath");
  await field("date").fill("the day after");
  await page.keyboard.press("Enter");
  await page.locator("#slip .why").waitFor();
  assert.match(await page.locator("#slip .why").textContent(), /date/);
  assert.equal(await field("developer").inputValue(), "two-bath", "what was written is not lost");
  assert.equal(room.notes("sheet-04"), before, "nothing stands in the notes");
  await field("date").fill("2026-11-25");
  await page.keyboard.press("Enter");
  await until(() => /^date = .?2026-11-25/m.test(room.notes("sheet-04")), "the shot notes are written");
  assert.match(room.notes("sheet-04"), /place = "ropewalk, store room"/);
  assert.match(room.notes("sheet-04"), /developer = "two-bath"/);
  await until(async () => /2026-11-25/.test(await page.locator("#at-hand").textContent()), "the date stands at hand");
  await page.keyboard.press("Backspace");
  await until(() => !/two-bath|2026-11-25|store room"/.test(room.notes("sheet-04")), "undo takes them away");
  assert.deepEqual(page.errors, []);
});

test("shot notes of two hands: only a field that both wrote is asked about", async () => {
  const page = await room.open();
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
  const meanwhile = (line) =>
    page.route("**/frame/3/shot", async (route) => {
      const path = join(room.out, "flat", "sheet-04.notes.toml");
      const text = readFileSync(path, "utf8").replace(/^\[shot\]\n(?:[^[\n].*\n|\n)*/m, "");
      writeFileSync(path, text.replace(/^\[scan\]$/m, `[shot]\n${line}\n\n[scan]`));
      await route.continue();
    }, { times: 1 });
  const write = async (name, words) => {
    await page.keyboard.press("e");
    await page.locator("#slip").getByLabel(name, { exact: true }).fill(words);
    await page.keyboard.press("Enter");
  };
  await meanwhile('lens = "the long one"');
  await write("film", "pan sheet 100");
  await until(() => /film = "pan sheet 100"/.test(room.notes("sheet-04")), "another field is no matter");
  assert.match(room.notes("sheet-04"), /lens = "the long one"/);
  await meanwhile('film = "ortho"');
  await write("film", "pan sheet 50");
  await page.locator("#slip p", { hasText: "in the notes: film \u201cortho\u201d" }).waitFor();
  assert.match(room.notes("sheet-04"), /film = "ortho"/);
  await page.locator("#slip button", { hasText: "the notes'" }).click();
});

/** Holds what is sent to an address until `go` is called, then does `then` with it. */
async function hold(page, address, then) {
  let go;
  const free = new Promise((done) => (go = done));
  await page.route(address, async (route) => {
    await free;
    await then(route);
  }, { times: 1 });
  return go;
}

test("words of a first scan are shown as its own, and neither writing nor undo puts them into the rescan's notes", async () => {
  const paths = ["sheet-01", "sheet-05"].map((scan) => join(room.out, "flat", `${scan}.notes.toml`));
  const [first, again] = paths.map((path) => readFileSync(path, "utf8"));
  const shot = (text, line) => text.replace(/^\[shot\]\n(?:[^[\n].*\n|\n)*/m, "").replace(/^\[scan\]$/m, `[shot]\n${line}\n\n[scan]`);
  writeFileSync(paths[0], shot(first, 'title = "Coil of hemp"\nfilm = "ortho"'));
  const before = shot(again, 'rescan-of = "sheet-01"');
  writeFileSync(paths[1], before);
  const page = await room.open();
  await until(async () => /Coil of hemp/.test(await page.locator("#frame-4").getAttribute("aria-label")), "it is called as its first scan");
  for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
  const write = async (name, words) => {
    await page.keyboard.press("e");
    const field = page.locator("#slip").getByLabel(name, { exact: true });
    assert.equal(await field.inputValue(), "");
    const hint = await field.getAttribute("placeholder");
    await field.fill(words);
    await page.keyboard.press("Enter");
    return hint;
  };
  assert.equal(await write("film", "pan"), "first scan: ortho");
  await until(() => /^film = "pan"$/m.test(room.notes("sheet-05")), "its own film is written");
  assert.doesNotMatch(room.notes("sheet-05"), /hemp/);
  await page.keyboard.press("Backspace");
  await until(() => room.notes("sheet-05") === before, "undo leaves its notes as they were");
  await until(async () => /no film of its own/.test(await page.locator("#said").textContent()), "it is told");
  await write("title", "Coil, dry");
  await until(async () => /Coil, dry/.test(await page.locator("#at-hand").textContent()), "its own title stands at hand");
  await page.keyboard.press("Backspace");
  await until(async () => /Coil of hemp/.test(await page.locator("#at-hand").textContent()), "and the first scan's again");
  await until(() => room.notes("sheet-05") === before, "undo leaves its notes as they were");
  // The first scan's new title is that of its rescan, too.
  writeFileSync(paths[0], shot(first, 'title = "Coil of sisal"'));
  await until(async () => /Coil of sisal/.test(await page.locator("#at-hand").textContent()), "it follows its first scan");
  paths.forEach((path, i) => writeFileSync(path, [first, again][i]));
  assert.deepEqual(page.errors, []);
});

test("words that are refused while another slip is written on wait for it, and come back then", async () => {
  const page = await room.open();
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
  const before = room.notes("sheet-04");
  const go = await hold(page, "**/frame/3/shot", (route) => route.fulfill({ status: 422, body: "date: it is no date" }));
  const answered = page.waitForResponse("**/frame/3/shot");
  await page.keyboard.press("e");
  await page.locator("#slip").getByLabel("developer", { exact: true }).fill("stand, two hours");
  await page.keyboard.press("Enter");
  await page.keyboard.press("r");
  await page.keyboard.type("dodge the jar");
  go();
  await answered;
  await page.waitForTimeout(200);
  assert.equal(await page.locator("#slip input").inputValue(), "dodge the jar", "what is being written stays");
  await page.keyboard.press("Escape");
  await page.locator("#slip .why", { hasText: "it is no date" }).waitFor();
  assert.equal(await page.locator("#slip").getByLabel("developer", { exact: true }).inputValue(), "stand, two hours");
  await page.keyboard.press("Escape");
  await page.locator("#slip").waitFor({ state: "hidden" });
  assert.equal(room.notes("sheet-04"), before);
});

test("a remark that is refused comes back with the reason", async () => {
  const page = await room.open();
  await page.route("**/frame/3/mark", (route) => route.fulfill({ status: 422, body: "line 3: it cannot be read" }), { times: 1 });
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("r");
  await page.keyboard.type("burn the sky");
  await page.keyboard.press("Enter");
  await page.locator("#slip .why", { hasText: "line 3" }).waitFor();
  assert.equal(await page.locator("#slip input").inputValue(), "burn the sky");
  await page.keyboard.press("Enter");
  await until(() => room.notes("sheet-04").includes("burn the sky"), "it is written now");
});

test("a question of two hands waits while words are written", async () => {
  const page = await room.open();
  room.write("sheet-05", "print");
  await until(async () => /marked print/.test(await page.locator("#frame-4").getAttribute("aria-label")), "it is marked");
  for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
  const go = await hold(page, "**/frame/4/mark", async (route) => {
    room.write("sheet-05", "skip");
    await route.continue();
  });
  const answered = page.waitForResponse("**/frame/4/mark");
  await page.keyboard.press("h");
  await page.keyboard.press("e");
  await page.locator("#slip").getByLabel("place", { exact: true }).fill("the loft");
  go();
  await answered;
  await page.waitForTimeout(200);
  assert.equal(await page.locator("#slip").getByLabel("place", { exact: true }).inputValue(), "the loft");
  await page.keyboard.press("Enter");
  await page.locator("#slip p", { hasText: "you: hold \u2014 in the notes: skip" }).waitFor();
  await page.locator("#slip button", { hasText: "the notes'" }).click();
  await until(() => /place = "the loft"/.test(room.notes("sheet-05")), "the words are written");
  assert.equal(markIn(room.notes("sheet-05")), "skip");
  await page.keyboard.press("Backspace");
  await until(() => !/the loft/.test(room.notes("sheet-05")), "undone");
});

test("what another hand writes while a slip lies open is asked about, for a field, a remark and the bench", async () => {
  const page = await room.open();
  const path = join(room.out, "flat", "sheet-06.notes.toml");
  const before = room.notes("sheet-06");
  const meanwhile = async (text, seen) => {
    writeFileSync(path, text);
    await until(async () => seen.test(await page.locator("#at-hand").textContent()), "the page has learnt it");
  };
  const shot = (line) => before.replace(/^\[shot\]\n(?:[^[\n].*\n|\n)*/m, "").replace(/^\[scan\]$/m, `[shot]\n${line}\n\n[scan]`);
  for (let i = 0; i < 5; i++) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("e");
  await page.locator("#slip").getByLabel("title", { exact: true }).fill("Mine");
  await meanwhile(shot('title = "Theirs"'), /Theirs/);
  await page.keyboard.press("Enter");
  await page.locator("#slip p", { hasText: "you: title \u201cMine\u201d \u2014 in the notes: title \u201cTheirs\u201d" }).waitFor();
  await page.locator("#slip button", { hasText: "yours" }).click();
  await until(() => /^title = "Mine"$/m.test(room.notes("sheet-06")), "one's own goes in");
  await page.keyboard.press("Backspace");
  await until(() => /^title = "Theirs"$/m.test(room.notes("sheet-06")), "and undo brings theirs back");
  await page.keyboard.press("r");
  await page.keyboard.type("burn the sky");
  const marked = (words) => before.replace(/^\[marks\]\n(?:[^[\n].*\n|\n)*/m, "").replace(/^\[scan\]$/m, `[marks]\n1 = { mark = "hold", remark = "${words}" }\n\n[scan]`);
  await meanwhile(marked("dodge the jar"), /dodge the jar/);
  await page.keyboard.press("Enter");
  await page.locator("#slip p", { hasText: "in the notes: hold, \u201cdodge the jar\u201d" }).waitFor();
  await page.locator("#slip button", { hasText: "the notes'" }).click();
  assert.match(room.notes("sheet-06"), /dodge the jar/);
  await page.keyboard.press("Enter");
  await page.locator("#bench").waitFor();
  await page.keyboard.press("G");
  await page.locator(".keeping").waitFor();
  writeFileSync(path, room.notes("sheet-06").replace(/^\[scan\]$/m, '[settings]\ngrade = "0"\n\n[scan]'));
  await page.waitForResponse(/frame\/5\/printed/);
  await page.keyboard.press("Enter");
  await page.locator("#slip p", { hasText: "in the notes: grade 0" }).waitFor();
  await page.locator("#slip button", { hasText: "the notes'" }).click();
  assert.match(room.notes("sheet-06"), /^grade = "0"$/m);
  writeFileSync(path, before);
  assert.deepEqual(page.errors, []);
});

test("a slip keeps its keys after a click beside it, and begins where it could not stand", async () => {
  const page = await room.open();
  await page.keyboard.press("e");
  await page.locator("#slip").getByLabel("date", { exact: true }).fill("the day after");
  await page.keyboard.press("Enter");
  await page.locator("#slip .why").waitFor();
  assert.equal(await page.evaluate(() => document.querySelector(`label[for="${document.activeElement.id}"]`)?.textContent), "date");
  await page.locator("#count").click();
  await page.keyboard.press("Escape");
  await page.locator("#slip").waitFor({ state: "hidden" });
  await page.keyboard.press("ArrowRight");
  await page.locator("#frame-1.here").waitFor();
});

test("frames that a batch adds come to the table that is open, and what it warns of is told there", async () => {
  const page = await room.open();
  const path = join(room.out, "flat", "sheet-02.notes.toml");
  const text = room.notes("sheet-02").replace(/^\[shot\]\n/m, "");
  writeFileSync(path, `[shot]\nrescan-of = "windlass"\n${text}`);
  await until(async () => /windlass/.test(await page.locator("#frame-1").getAttribute("aria-label")), "the link that does not hold is told");
  // What is said fades, and on a busy machine the batch takes longer than that.
  await page.evaluate(() => {
    const said = document.querySelector("#said");
    window.heard = [];
    new MutationObserver(() => window.heard.push(said.textContent)).observe(said, { childList: true });
  });
  room.add("sheet-07.tif");
  await page.locator("#frame-6").waitFor();
  assert.match(await page.locator("#count").textContent(), /^7 frames/);
  await page.locator("#frame-6.there").waitFor();
  await until(async () => /sheet-07 has come to the table/.test((await page.evaluate(() => window.heard)).join()), "it is told");
  assert.match(await page.locator("#frame-0").getAttribute("aria-label"), /^1 of 7: sheet-01/);
  await page.keyboard.press("ArrowRight");
  assert.match((await page.locator("#at-hand .flag").allTextContents()).join(), /windlass/);
  await page.goto(`${room.address}#7`);
  await page.locator("#bench h2", { hasText: "sheet-07" }).waitFor();
  assert.deepEqual(page.errors, []);
});

test("of many frames only those near what is seen are fetched, and no larger than they are shown", async () => {
  const page = await room.open();
  const MANY = 200;
  const asked = new Map();
  await page.route("**/batch", async (route) => {
    const batch = await (await route.fetch()).json();
    const six = batch.frames.slice(0, 6);
    batch.frames = Array.from({ length: MANY }, (_, id) => ({ ...six[id % 6], id, name: `frame-${id + 1}` }));
    await route.fulfill({ json: batch });
  });
  await page.route(/frame\/\d+\/(net|printed)/, async (route) => {
    const url = new URL(route.request().url());
    const [, id, what] = /frame\/(\d+)\/(\w+)/.exec(url.pathname);
    if (what === "net") asked.set(Number(id), url.searchParams.get("edge"));
    url.pathname = url.pathname.replace(`frame/${id}/`, `frame/${id % 6}/`);
    await route.continue({ url: String(url) });
  });
  await page.reload();
  await page.locator("#frame-0.there").waitFor();
  await page.waitForTimeout(500);
  assert.ok(asked.size < MANY / 5, `${asked.size} of ${MANY} are fetched`);
  assert.deepEqual([...new Set(asked.values())], ["400"]);
  await page.evaluate(() => document.querySelector("#table").scrollTo(0, 1e6));
  await page.locator(`#frame-${MANY - 1}.there`).waitFor();
  assert.ok(asked.size < MANY / 2, `${asked.size} of ${MANY} are fetched at both ends`);
  assert.equal(await page.locator("#frame-0 canvas").evaluate((canvas) => canvas.width), 0, "what is far away is let go of");
});

test("a long name stays on the film's edge, shortened before its end", async () => {
  const page = await room.open();
  const name = "ropewalk-store-room-north-window-evening-0012";
  await page.route("**/batch", async (route) => {
    const batch = await (await route.fetch()).json();
    batch.frames[0].name = name;
    await route.fulfill({ json: batch });
  });
  await page.reload();
  await page.locator("#frame-0.there").waitFor();
  const lies = await page.locator("#frame-0 .edge").evaluate((edge) => {
    const [named, start, end] = [".name", ".name span:first-child", ".name span:last-child"].map((of) => edge.querySelector(of));
    return { words: named.textContent, short: start.scrollWidth > start.clientWidth, end: end.scrollWidth <= end.clientWidth + 1, within: edge.scrollWidth <= edge.clientWidth + 1, high: named.getBoundingClientRect().height < 30 };
  });
  assert.deepEqual(lies, { words: name, short: true, end: true, within: true, high: true });
});

test("a picture that takes its time is told as coming", async () => {
  const page = await room.open();
  await page.route("**/net?*", async (route) => {
    await new Promise((rest) => setTimeout(rest, 1500));
    await route.continue();
  });
  await page.reload();
  await page.locator("#frame-0.coming").waitFor();
  assert.equal(await page.locator("#frame-0 .film").evaluate((film) => getComputedStyle(film, "::before").content), '"coming"');
  await page.locator("#frame-0.there").waitFor();
  assert.equal(await page.locator("#frame-0.coming").count(), 0);
});

test("a scan that is renamed keeps its place under its new name, on the bench, too; one whose notes are gone goes, and comes back with them", async () => {
  const page = await room.open();
  await page.evaluate(() => {
    window.heard = [];
    const said = document.querySelector("#said");
    new MutationObserver(() => window.heard.push(said.textContent)).observe(said, { childList: true });
  });
  const heard = (words) => until(async () => words.test((await page.evaluate(() => window.heard)).join("|")), String(words));
  const count = Number(/^\d+/.exec(await page.locator("#count").textContent())[0]);
  await page.goto(`${room.address}#3`);
  await page.locator("#bench h2", { hasText: "sheet-03" }).waitFor();
  room.rename("sheet-03.tif", "glass-floats.tif");
  await page.locator("#bench h2", { hasText: "glass-floats" }).waitFor();
  await heard(/sheet-03 is called glass-floats now/);
  await until(async () => new RegExp(`^3 of ${count}: glass-floats`).test(await page.locator("#frame-2").getAttribute("aria-label")), "it lies where it lay");
  assert.equal(await page.locator(".frame.broken").count(), 0, "nothing of its former name is left");
  const notes = join(room.out, "flat", "glass-floats.notes.toml");
  const text = readFileSync(notes, "utf8");
  await page.route("**/frame/2/mark", (route) => route.fulfill({ status: 507, body: "no room left on the disk" }));
  await page.keyboard.press("k");
  await page.locator("#unsaved", { hasText: "glass-floats: skip" }).waitFor({ state: "attached" });
  rmSync(notes);
  await page.locator("#bench").waitFor({ state: "hidden" });
  await heard(/glass-floats is on the table no more; glass-floats, not kept: skip/);
  assert.equal(await page.locator("#unsaved").isVisible(), false, "what cannot be saved any more is not told as waiting");
  assert.match(await page.locator("#count").textContent(), new RegExp(`^${count - 1} frames`));
  assert.equal(await page.locator("#frame-2").isVisible(), false);
  await until(async () => new RegExp(`^3 of ${count - 1}: sheet-04`).test(await page.locator("#frame-3").getAttribute("aria-label")), "the others close up");
  await page.locator("#frame-1").click();
  await page.keyboard.press("ArrowRight");
  assert.equal(await page.locator(".frame.here").getAttribute("id"), "frame-3");
  writeFileSync(notes, text);
  await heard(/glass-floats has come to the table/);
  await page.locator("#frame-2").waitFor();
  assert.match(await page.locator("#count").textContent(), new RegExp(`^${count} frames`));
  assert.deepEqual(page.errors, []);
});
