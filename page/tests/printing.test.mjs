import assert from "node:assert/strict";
import { readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { button, start, until } from "./start.mjs";

let room;
before(async () => (room = await start()));
after(() => room.close());

/** The bench of a frame, its picture on the easel. */
async function bench(id) {
  const page = await room.open();
  await page.goto(`${room.address}#${id + 1}`);
  await page.waitForFunction(() => (document.querySelector(".easel canvas")?.width ?? 0) > 0);
  return page;
}

/** Bytes in which the easel differs from the picture that the program makes itself. */
function differing(page, id, query) {
  return page.evaluate(
    async ([address]) => {
      const answer = await fetch(address);
      if (!answer.ok) throw new Error(`${address}: ${await answer.text()}`);
      const theirs = new Uint8Array(await answer.arrayBuffer());
      const easel = document.querySelector(".easel canvas");
      const ours = easel.getContext("2d").getImageData(0, 0, easel.width, easel.height).data;
      if (ours.length !== 4 * theirs.length) return `${easel.width}x${easel.height} has not ${theirs.length} pixels`;
      const wanted = (at) => (at % 4 === 3 ? 255 : theirs[at >> 2]);
      return ours.reduce((count, byte, at) => count + (byte === wanted(at) ? 0 : 1), 0);
    },
    [`frame/${id}/developed${query}`],
  );
}

const words = (page) => page.locator(".words").textContent();
const query = (wished) => `?${new URLSearchParams(wished)}`;

test("the picture on the bench is the program's own to the bit, at each grade and exposure", async () => {
  const page = await bench(0);
  assert.equal(await differing(page, 0, ""), 0, "as noted");
  const { grades, frames } = await page.evaluate(async () => (await fetch("batch")).json());
  const at = grades.indexOf(frames[0].grade);
  const first = await words(page);
  await page.keyboard.press("G");
  await until(async () => (await words(page)) !== first, "G is harder");
  assert.equal(await differing(page, 0, query({ grade: grades[at + 1] })), 0, "half a grade harder");
  assert.notEqual(await differing(page, 0, ""), 0, "which is another picture than before");
  const second = await words(page);
  await page.keyboard.press("+");
  await until(async () => (await words(page)) !== second, "+ is darker");
  assert.equal(await differing(page, 0, query({ grade: grades[at + 1], exposure: "+1/3" })), 0, "and a third darker");
  await page.keyboard.press("s");
  await until(async () => (await differing(page, 0, "?straight")) === 0, "straight");
  assert.deepEqual(page.errors, []);
});

test("around a frame that lies askew no pale line is left between holder and film, and the picture below stays the program's own", async () => {
  const page = await bench(4);
  /** The palest grey that is seen of two strips along the picture's edge, which hold nothing but holder and clear film; and which there may be. */
  const greys = () =>
    page.evaluate(async () => {
      const [below, above] = document.querySelectorAll(".easel canvas");
      const { width, height } = below;
      const seen = new OffscreenCanvas(width, height).getContext("2d");
      for (const canvas of [below, above]) seen.drawImage(canvas, 0, 0);
      const { screen } = await (await fetch("frame/4/printed")).json();
      // Net density 0 has code 500, a thousandth of a D each: what is left of the edge is thinner than 0.05 D (FALL in beyond.ts).
      const [black, left] = [500, 550].map((code) => atob(screen).charCodeAt(code));
      const strips = [[0.76, 0], [0.03, height - 12]].map(([share, top]) => [Math.round(share * width), top, Math.round(0.21 * width), 12]);
      const palest = Math.max(...strips.flatMap((strip) => [...seen.getImageData(...strip).data].filter((_, at) => at % 4 !== 3)));
      return [palest, left, black];
    });
  // The softest grade, which shows such lines most.
  assert.match(await words(page), /^grade 00,/);
  const [palest, left, black] = await greys();
  assert.ok(palest <= left, `a grey of ${palest}, where 0.05 D above clear film has ${left} and black ${black}`);
  assert.equal(await differing(page, 4, ""), 0);
});

test("nothing is written while something is tried; Enter keeps it", async () => {
  const page = await bench(1);
  const notes = room.notes("sheet-02");
  await page.keyboard.press("g");
  await page.keyboard.press("-");
  await page.locator(".keeping").waitFor();
  await page.waitForTimeout(300);
  assert.equal(room.notes("sheet-02"), notes);
  const tried = await words(page);
  await page.keyboard.press("Enter");
  await page.locator(".keeping").waitFor({ state: "hidden" });
  await until(() => room.notes("sheet-02") !== notes, "the notes are written");
  const again = await bench(1);
  await until(async () => (await words(again)) === tried, "another tab prints it as it was kept");
});

test("Escape leaves what was tried as it was", async () => {
  const page = await bench(2);
  const first = await words(page);
  await page.keyboard.press("G");
  await until(async () => (await words(page)) !== first, "something is tried");
  await page.keyboard.press("Escape");
  await until(async () => (await words(page)) === first, "it is as it was");
  assert.equal(await page.locator("#bench").isVisible(), true);
});

test("a band of the test strip is chosen by a click", async () => {
  const page = await bench(2);
  await page.keyboard.press("t");
  await page.locator(".bands button").first().waitFor();
  assert.equal(await page.locator(".bands button").count(), 7);
  await page.locator(".bands button").nth(5).click();
  await until(async () => /\+\u2154 stop/.test(await words(page)), "two thirds more are tried");
  assert.equal(await differing(page, 2, query({ exposure: "+2/3" })), 0);
});

test("a spot is placed on a zone", async () => {
  const page = await bench(2);
  await page.keyboard.press("z");
  await page.locator(".wedge button", { hasText: /^VIII$/ }).waitFor();
  // The picture moves while the bench makes room for what belongs to it.
  const lying = () => page.locator(".easel canvas[role=img]").boundingBox();
  let easel = await lying();
  await until(async () => {
    const before = easel;
    await page.waitForTimeout(200);
    easel = await lying();
    return JSON.stringify(before) === JSON.stringify(easel);
  }, "the picture lies still");
  await page.mouse.click(easel.x + easel.width / 4, easel.y + easel.height / 2);
  const asked = page.waitForRequest((request) => request.url().includes("/printed?place="));
  await page.locator(".wedge button", { hasText: /^VIII$/ }).click();
  const place = new URL((await asked).url()).searchParams.get("place");
  const [, u, v, zone] = /^at=([\d.]+),([\d.]+)=(\w+)$/.exec(place);
  assert.ok(Math.abs(u - 0.25) < 0.005 && Math.abs(v - 0.5) < 0.005, place);
  assert.equal(zone, "VIII");
  await until(async () => (await differing(page, 2, query({ place }))) === 0, "the picture is placed by it");
});

test("the loupe shows the scan's pixels one for one, through the print's own tones", async () => {
  const page = await bench(3);
  await page.keyboard.press("o");
  await page.waitForFunction(() => document.querySelector(".loupe").dataset.waiting === "0");
  const wrong = await page.evaluate(async () => {
    const { frames } = await (await fetch("batch")).json();
    const [width, height] = frames[3].pixels;
    const glass = document.querySelector(".loupe canvas");
    const [x, y] = [width, height].map((side) => Math.round(side / 2 - glass.width / 2));
    const side = Math.min(64, glass.width);
    const codes = new Uint16Array(await (await fetch(`frame/3/tile?x=${x}&y=${y}&width=${side}&height=${side}`)).arrayBuffer());
    const { screen } = await (await fetch("frame/3/printed")).json();
    const greys = Uint8Array.from(atob(screen), (c) => c.charCodeAt(0));
    const shown = glass.getContext("2d").getImageData(0, 0, side, side).data;
    return codes.reduce((count, code, at) => count + (shown[4 * at] === greys[code] ? 0 : 1), 0);
  });
  assert.equal(wrong, 0);
});

test("curve, focus map and dust come on request", async () => {
  const page = await bench(4);
  await page.keyboard.press("c");
  await page.locator(".curve .way").waitFor();
  assert.ok((await page.locator(".curve .heap").count()) > 10);
  await page.keyboard.press("f");
  await page.locator(".over .focus").waitFor({ state: "attached" });
  await page.keyboard.press("d");
  await page.locator(".over .dust").waitFor({ state: "attached" });
  await page.keyboard.press("f");
  await page.locator(".over .focus").waitFor({ state: "detached" });
  assert.deepEqual(page.errors, []);
});

test("prints are ordered here, and it is told how that went", async () => {
  const page = await room.open();
  await page.keyboard.press("p");
  await until(() => /^1 = .*"print"/m.test(room.notes("sheet-01")), "it is marked");
  await page.locator("#doing button", { hasText: "print the marked ones" }).click();
  await page.keyboard.press("Enter");
  const words = page.locator("#doing p");
  await until(async () => /^1 printed, in ropewalk-out\/print$/.test((await words.textContent()) ?? ""), "one print is told as made");
  assert.equal(await page.locator("#doing .stop").isVisible(), false);
  assert.deepEqual(readdirSync(join(room.out, "print")), ["sheet-01-8x6cm.tif"], "on the sheet that the table was opened with");
  await page.keyboard.press("Backspace");
});

test("the sheet is chosen where prints are ordered, or typed; one that is none comes back in the command's words", async () => {
  const page = await room.open();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("p");
  await until(() => /^1 = .*"print"/m.test(room.notes("sheet-02")), "it is marked");
  const [order, sheet, words] = ["#doing button", "#slip input", "#doing p"].map((of) => page.locator(of));
  const choice = (name) => page.locator("#slip .choices button", { hasText: name });
  await order.filter({ hasText: "print the marked ones" }).click();
  assert.equal(await page.locator("#slip label").textContent(), "sheet for one print: one of these, or type your own");
  assert.equal(await sheet.inputValue(), "8x6cm");
  assert.deepEqual(await page.locator("#slip .choices button").allTextContents(), ["8 \u00d7 6 cm", "18 \u00d7 13 cm", "24 \u00d7 18 cm", "30 \u00d7 24 cm", "40 \u00d7 30 cm"]);
  await choice("30 \u00d7 24 cm").click();
  assert.equal(await sheet.inputValue(), "30x24cm");
  assert.equal(await choice("30 \u00d7 24 cm").getAttribute("aria-pressed"), "true");
  await sheet.fill("postcard");
  await page.keyboard.press("Enter");
  await page.locator("#slip .why", { hasText: "\"postcard\" is no size of a sheet: give width and height" }).waitFor();
  assert.equal(await sheet.inputValue(), "postcard");
  // Too large for the pixels that there are: told as the command tells it, and the button has the size of the last order.
  await sheet.fill("30x24cm");
  await page.keyboard.press("Enter");
  await page.locator("#doing li", { hasText: /^sheet-02: 30x24cm at 300 ppi needs .* print smaller, scan finer/ }).waitFor();
  assert.match(await order.filter({ hasText: "print the marked ones" }).textContent(), /on 30 \u00d7 24 cm$/);
  await order.filter({ hasText: "print the marked ones" }).click();
  await sheet.fill("3 x 2 in");
  await page.keyboard.press("Enter");
  await until(async () => /^1 printed/.test((await words.textContent()) ?? ""), "it is printed");
  assert.equal(await page.locator("#doing li").count(), 0, "what went wrong before is settled");
  assert.ok(readdirSync(join(room.out, "print")).includes("sheet-02-3x2in.tif"));
  await page.keyboard.press("Backspace");
  await until(() => !/"print"/.test(room.notes("sheet-02").split("[scan]")[0]), "the mark is off");
  assert.deepEqual(page.errors, []);
});

test("the sheet of an order that is not taken is not kept, whatever was in its way", async () => {
  const page = await room.open();
  await page.keyboard.press("p");
  await until(() => /^1 = .*"print"/m.test(room.notes("sheet-01")), "it is marked");
  const order = page.locator("#doing button", { hasText: "print the marked ones" });
  const ways = [
    ["one order is at work", (route) => route.fulfill({ status: 409, body: "one order is at work" })],
    ["dryside does not answer", (route) => route.abort()],
  ];
  for (const [told, answer] of ways) {
    await page.route("**/do/prints", answer);
    await order.click();
    await page.locator("#slip input").fill("24x18cm");
    await page.keyboard.press("Enter");
    await page.locator("#said", { hasText: told }).waitFor();
    assert.match(await order.textContent(), /on 8 \u00d7 6 cm$/, told);
    await page.unroute("**/do/prints", answer);
  }
  await page.keyboard.press("Backspace");
  await until(() => !/"print"/.test(room.notes("sheet-01").split("[scan]")[0]), "the mark is off");
});

test("on the bench it is told what came of an order, and what went wrong with it", async () => {
  const page = await room.open();
  const at = await bench(2);
  await page.keyboard.press("p");
  await until(() => /^1 = .*"print"/m.test(room.notes("sheet-01")), "it is marked");
  await page.locator("#doing button", { hasText: "print the marked ones" }).click();
  await page.locator("#slip input").fill("30x24cm");
  await page.keyboard.press("Enter");
  await at.locator("#said", { hasText: /^0 of 1 printed: sheet-01: 30x24cm at 300 ppi needs / }).waitFor();
  await page.keyboard.press("Backspace");
  await until(() => !/"print"/.test(room.notes("sheet-01").split("[scan]")[0]), "the mark is off");
});

test("an order that is put away is told no more, in other tabs neither, nor when they are opened anew", async () => {
  const [one, two] = [await room.open(), await room.open()];
  await one.locator("#doing button", { hasText: "make sheets" }).click();
  for (const page of [one, two]) await page.locator("#doing .away").waitFor();
  await one.locator("#doing .away").click();
  await two.locator("#doing p").waitFor({ state: "hidden" });
  await one.reload();
  await one.locator(".frame.there").first().waitFor();
  await one.waitForTimeout(300);
  assert.equal(await one.locator("#doing p").isVisible(), false);
});

test("work that goes on shows how far it is, and can be stopped", async () => {
  const page = await room.open();
  const work = { what: "sheets", running: true, done: 1, of: 4, message: "proof-sheet.pdf", failures: [] };
  const answer = (what) => ({ status: 202, contentType: "application/json", body: JSON.stringify(what) });
  await page.route("**/do/sheets", (route) => route.fulfill(answer(work)));
  await page.route("**/stop", (route) => route.fulfill(answer({ ...work, running: false, message: "stopped" })));
  await page.locator("#doing button", { hasText: "make sheets" }).click();
  await page.locator("#doing p", { hasText: "1 of 4 sheets, proof-sheet.pdf" }).waitFor();
  assert.equal(await page.locator("#doing progress").getAttribute("value"), "1");
  await page.locator("#doing .stop").click();
  await page.locator("#doing .stop").waitFor({ state: "hidden" });
  assert.equal(await page.locator("#doing p").textContent(), "stopped");
  await page.locator("#doing .away").click();
  assert.equal(await page.locator("#doing p").isVisible(), false);
});

test("all that can be pressed has a name, and nothing lies beside a narrow screen", async () => {
  const page = await room.open({ viewport: { width: 360, height: 640 } });
  for (const view of ["table", "bench"]) {
    const nameless = await page.evaluate(() =>
      [...document.querySelectorAll("button, [role=option], input")]
        .filter((e) => e.checkVisibility() && !(e.getAttribute("aria-label") ?? e.textContent ?? "").trim())
        .map((e) => e.outerHTML),
    );
    assert.deepEqual(nameless, [], view);
    const beyond = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(beyond <= 0, `${view} is ${beyond} px too wide`);
    if (view === "table") await button(page, "step in").click();
    await page.locator("#bench").waitFor();
  }
});

test("the keys are listed, and the table tells its light", async () => {
  const page = await room.open();
  await page.keyboard.press("?");
  const listed = await page.locator("#keys dt").allTextContents();
  for (const key of ["p", "h", "k", "\u232b", "n", "s", "l", "g", "G", "t", "z", "c", "o", "f", "d", "r", "e"]) {
    assert.ok(listed.includes(key), `${key} is not in the list`);
  }
  await page.keyboard.press("Escape");
  await page.keyboard.press("n");
  await page.locator("#table.lit").waitFor();
  assert.match(await page.locator("#surround").textContent(), /around the pictures L\* 20, of the table L\* 92/);
});

test("undo of what was kept takes away what did not stand there before", async () => {
  const page = await bench(5);
  await page.keyboard.press("G");
  await page.locator(".keeping").waitFor();
  const asked = page.waitForRequest((request) => request.method() === "POST");
  await page.keyboard.press("Enter");
  assert.deepEqual(Object.keys((await asked).postDataJSON()).sort(), ["grade", "revision"], "only what was changed is sent");
  const graded = () => /^\[settings\]\n(?:[^[\n].*\n)*grade = /m.test(room.notes("sheet-06"));
  await until(graded, "the grade is kept");
  await page.keyboard.press("Backspace");
  await until(() => !graded(), "it is taken away again");
  assert.equal(await page.locator("#slip").isVisible(), false);
});

test("a spot lies on its zone whatever exposure was tried before", async () => {
  const page = await bench(1);
  for (let i = 0; i < 3; i++) await page.keyboard.press("+");
  await until(async () => / stop/.test(await words(page)), "more is tried");
  await page.keyboard.press("z");
  await page.locator("#bench .placing").waitFor();
  await page.keyboard.press("5");
  await until(async () => /a spot on zone V(,|$)/.test(await words(page)), "it is placed");
  assert.doesNotMatch(await words(page), /stop/);
});

test("a trial that is left is told as not kept", async () => {
  const page = await bench(0);
  const { frames, grades } = await page.evaluate(async () => (await fetch("batch")).json());
  await page.keyboard.press("G");
  await page.locator(".keeping").waitFor();
  await page.keyboard.press("ArrowRight");
  const wished = grades[grades.indexOf(frames[0].grade) + 1];
  const said = await page.locator("#said").textContent();
  assert.match(said, /^sheet-01, not kept: grade /);
  assert.equal(said.endsWith(wished.replace(" 1/2", "\u00bd")), true, `${said} names ${wished}`);
});

test("a frame whose notes are broken shows why, on the table and the bench, as negative too", async () => {
  const page = await bench(3);
  const notes = join(room.out, "flat", "sheet-04.notes.toml");
  const whole = room.notes("sheet-04");
  writeFileSync(notes, `grade = = 3\n${whole}`);
  await page.locator("#bench .trouble").waitFor();
  assert.equal(
    await page.locator("#bench .trouble").textContent(),
    "sheet-04.notes.toml: line 1, column 9: there is an = too many. Once this is mended the frame comes back",
  );
  await page.keyboard.press("n");
  await page.waitForTimeout(300);
  const again = await room.open();
  await again.keyboard.press("n");
  await again.goto(`${room.address}#3`);
  await again.waitForFunction(() => (document.querySelector(".easel canvas")?.width ?? 0) > 0);
  await again.keyboard.press("ArrowRight");
  await again.locator("#bench .trouble").waitFor();
  assert.doesNotMatch(await again.locator(".words").textContent(), /sheet-03/);
  await again.keyboard.press("ArrowRight");
  await again.locator("#bench .trouble").waitFor({ state: "hidden" });
  assert.deepEqual([...page.errors, ...again.errors], []);
  writeFileSync(notes, whole);
  await page.locator("#bench .trouble").waitFor({ state: "hidden" });
});

test("a film keeps its shape while its notes are broken, and takes it when they are mended", async () => {
  const notes = join(room.out, "flat", "sheet-02.notes.toml");
  const whole = room.notes("sheet-02");
  const first = await room.open();
  const shape = async (page) => {
    const { width, height } = await page.locator("#frame-1 .film").boundingBox();
    return (width / height).toFixed(1);
  };
  const upright = await shape(first);
  assert.ok(Number(upright) < 1, upright);
  writeFileSync(notes, `grade = = 3\n${whole}`);
  await first.locator("#frame-1 .trouble").waitFor();
  await first.setViewportSize({ width: 1100, height: 700 });
  const second = await room.open();
  await second.locator("#frame-1 .trouble").waitFor();
  assert.equal(await shape(first), upright);
  writeFileSync(notes, whole);
  for (const page of [first, second]) {
    await page.locator("#frame-1 .trouble").waitFor({ state: "hidden" });
    assert.equal(await shape(page), upright);
  }
});

test("a field that cannot be read is shown as it is written, with what to do, and stays so until it is mended", async () => {
  const path = join(room.out, "flat", "sheet-06.notes.toml");
  const whole = room.notes("sheet-06");
  const page = await room.open();
  writeFileSync(path, whole.replace(/^\[shot\]\n/m, '[shot]\ndate = "the day after"\nplace = """loft\nnorth"""\n'));
  for (let i = 0; i < 5; i++) await page.keyboard.press("ArrowRight");
  await page.locator("#at-hand .flag", { hasText: 'line 6, column 8: date: "the day after" is no date' }).waitFor();
  assert.match(await page.locator("#frame-5 .grade").textContent(), /^!/);
  await page.keyboard.press("e");
  const field = (name) => page.locator("#slip").getByLabel(name, { exact: true });
  assert.equal(await field("date").inputValue(), "the day after");
  assert.equal(await field("date").getAttribute("aria-invalid"), "true");
  assert.match(await page.locator("#slip .wrong").textContent(), /line 6, column 8: .* write it as 2026-11-25/);
  await field("film").fill("pan sheet 100");
  await page.keyboard.press("Enter");
  await until(() => /^film = "pan sheet 100"$/m.test(room.notes("sheet-06")), "the other field is written");
  assert.match(room.notes("sheet-06"), /^date = "the day after"\nplace = """loft\nnorth"""$/m, "what was not written on stays to the byte");
  await page.keyboard.press("e");
  await field("date").fill("2026-11-26");
  await page.keyboard.press("Enter");
  await page.locator("#at-hand .flag").waitFor({ state: "detached" });
  assert.match(room.notes("sheet-06"), /^date = .?2026-11-26/m);
  writeFileSync(path, whole);
  assert.deepEqual(page.errors, []);
});

test("frames of one scan are told that what is kept holds for all of them", async () => {
  const page = await room.open();
  await page.route("**/batch", async (route) => {
    const batch = await (await route.fetch()).json();
    for (const frame of batch.frames) Object.assign(frame, { together: 6, scan: "strip-01.tif" });
    await route.fulfill({ json: batch });
  });
  await page.goto(`${room.address}#1`);
  await page.reload();
  await page.waitForFunction(() => (document.querySelector(".easel canvas")?.width ?? 0) > 0);
  await page.keyboard.press("g");
  await page.locator(".keeping", { hasText: "for all 6 frames of strip-01.tif" }).waitFor();
});

test("what went wrong with an order is told a line each, and put away", async () => {
  const page = await room.open();
  const work = { what: "prints", running: false, done: 1, of: 3, well: false, message: "1 printed", failures: ["sheet-02.tif: gone; bring it back", "sheet-03.tif: gone"] };
  await page.route("**/do/sheets", (route) => route.fulfill({ status: 202, json: work }));
  await page.locator("#doing button", { hasText: "make sheets" }).click();
  await page.locator("#doing li").first().waitFor();
  assert.deepEqual(await page.locator("#doing li").allTextContents(), ["sheet-02.tif: gone; bring it back", "sheet-03.tif: gone"]);
  await page.locator("#doing .away").click();
  assert.equal(await page.locator("#doing li").count(), 0);
});

test("a large sharp screen gets a larger picture on the bench", async () => {
  const page = await room.open({ viewport: { width: 1600, height: 1200 }, deviceScaleFactor: 2 });
  await page.route("**/batch", async (route) => {
    const batch = await (await route.fetch()).json();
    for (const frame of batch.frames) frame.pixels = [9000, 7000];
    await route.fulfill({ json: batch });
  });
  await page.reload();
  await page.locator("#frame-0.there").waitFor();
  const asked = page.waitForRequest((request) => request.url().includes("/net?edge=2400"));
  await page.keyboard.press("Enter");
  await asked;
});

test("how a spot is placed is said in the trade's words", async () => {
  const page = await bench(4);
  await page.keyboard.press("z");
  const easel = await page.locator(".easel canvas[role=img]").boundingBox();
  await page.mouse.click(easel.x + easel.width / 3, easel.y + easel.height / 2);
  await page.keyboard.press("6");
  await until(async () => /a spot on zone VI,/.test(await words(page)), "tried");
  await page.keyboard.press("Enter");
  await until(async () => /: a spot on zone VI$/.test(await page.locator("#said").textContent()), "and kept");
  assert.doesNotMatch(await words(page), /=/);
  await page.keyboard.press("Backspace");
  await until(async () => /placed by the highlights/.test(await words(page)), "taken back");
});

test("a loupe that is swept over a large frame asks for what lies under it where it rests, not for all that it passed", async () => {
  const page = await room.open();
  await page.route("**/batch", async (route) => {
    const batch = await (await route.fetch()).json();
    batch.frames[0].pixels = [18000, 14400];
    await route.fulfill({ json: batch });
  });
  const asked = [];
  await page.route("**/tile?*", async (route) => {
    const wanted = new URL(route.request().url()).searchParams;
    const [x, y, width, height] = ["x", "y", "width", "height"].map((name) => Number(wanted.get(name)));
    asked.push([x, y]);
    await new Promise((rest) => setTimeout(rest, 150));
    const headers = { "x-width": String(width), "x-height": String(height) };
    await route.fulfill({ contentType: "application/octet-stream", headers, body: Buffer.alloc(2 * width * height) });
  });
  await page.goto(`${room.address}#1`);
  await page.reload();
  await page.waitForFunction(() => (document.querySelector(".easel canvas")?.width ?? 0) > 0);
  await page.keyboard.press("o");
  const easel = await page.locator(".easel canvas[role=img]").boundingBox();
  const at = (share) => [easel.x + share * easel.width, easel.y + share * easel.height];
  await page.mouse.move(...at(0.05));
  await page.mouse.move(...at(0.95), { steps: 60 });
  await page.waitForFunction(() => document.querySelector("#bench .loupe").dataset.waiting === "0");
  assert.ok(asked.length < 40, `${asked.length} squares were asked for`);
  assert.ok(asked.some(([x, y]) => x === 512 * Math.floor((0.95 * 18000) / 512) && y === 512 * Math.floor((0.95 * 14400) / 512)), "the one under the pointer is");
});

test("the loupe says why it has no pixels where the scan is away, until it is back, and the flat positive is shown", async () => {
  const page = await room.open();
  room.away("sheet-05.tif", true);
  try {
    await page.goto(`${room.address}#5`);
    await page.reload();
    await page.waitForFunction(() => (document.querySelector(".easel canvas")?.width ?? 0) > 0);
    await page.keyboard.press("o");
    await page.locator("#bench .loupe.away [role=status]", { hasText: "sheet-05.tif is not there" }).waitFor();
  } finally {
    room.away("sheet-05.tif", false);
  }
  // Once it is back the loupe has its pixels, and says so no more.
  await page.locator("#bench .loupe.away").waitFor({ state: "detached" });
  await page.locator("#bench .loupe p", { hasText: /^1:1$/ }).waitFor();
});
