import assert from "node:assert/strict";
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
  await page.keyboard.press("u");
  await until(() => markIn(room.notes("sheet-01")) === null, "u takes it back");
  assert.deepEqual(page.errors, []);
});

test("the same key again takes a mark off", async () => {
  const page = await room.open();
  await page.keyboard.press("x");
  await until(() => markIn(room.notes("sheet-01")) === "skip", "x writes skip");
  await page.keyboard.press("x");
  await until(() => markIn(room.notes("sheet-01")) === null, "x again takes it off");
});

test("a finger alone selects, marks, steps in and comes back", async () => {
  const page = await room.open({ hasTouch: true, isMobile: true, viewport: { width: 390, height: 844 } });
  await page.locator("#frame-1").tap();
  assert.equal(await page.locator("#frame-1").getAttribute("aria-selected"), "true");
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
  await button(page, "back in order").tap();
  await touch("touchStart", [200, 390]);
  await moves();
  await until(() => page.evaluate(() => document.querySelector("#table").scrollTop > 40), "the table scrolls");
});

test("on frames side by side the loupes lie at the same place, and a finger moves them", async () => {
  const page = await room.open({ hasTouch: true, isMobile: true, viewport: { width: 390, height: 844 } });
  for (const frame of ["#frame-0", "#frame-2"]) await page.locator(frame).tap();
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
