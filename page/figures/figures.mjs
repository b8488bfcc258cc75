// How long the light table takes, what it fetches and what memory its server needs, on any folder of results:
//   DRYSIDE=../target/release/dryside node figures/figures.mjs OUT [SCANS]
// Times are from the browser's side, in ms; bytes are those of the answers; memory is the server's peak so far (VmHWM).

import { spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { chromium } from "playwright-core";

const [out, scans] = process.argv.slice(2);
if (!out) throw new Error("give a folder of results");
const program = process.env.DRYSIDE ?? "../target/release/dryside";
const table = spawn(program, ["table", out, ...(scans ? ["--scans", scans] : [])], { stdio: ["ignore", "pipe", "inherit"] });
const address = await new Promise((found, failed) => {
  table.stdout.on("data", (data) => {
    const at = /http:\S+/.exec(String(data));
    if (at) found(at[0]);
  });
  table.on("exit", (code) => failed(new Error(`dryside table ended with ${code}`)));
});
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"] });
const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
let [bytes, answers] = [0, 0];
const network = await page.context().newCDPSession(page);
await network.send("Network.enable");
network.on("Network.loadingFinished", ({ encodedDataLength }) => {
  bytes += encodedDataLength;
  answers += 1;
});

async function told(what, does) {
  const [before, from, asked] = [performance.now(), bytes, answers];
  const count = await does();
  const took = performance.now() - before;
  // What was fetched ahead belongs to it, too.
  await page.waitForTimeout(700);
  const peak = /VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${table.pid}/status`, "utf8"))?.[1];
  const heap = await page.evaluate(() => [...document.querySelectorAll("canvas")].reduce((sum, c) => sum + 4 * c.width * c.height, 0));
  const figures = [`${took.toFixed(0)} ms`, `${((bytes - from) / 1e6).toFixed(2)} MB in ${answers - asked} answers`];
  console.log([what, ...figures, `server ${Math.round(Number(peak) / 1024)} MB`, `canvases ${(heap / 1e6).toFixed(0)} MB`, count ?? ""].join(" | "));
}

/** Frames whose picture lies in what is seen of the table, and whether all of them are there. */
const inView = () => {
  const view = document.querySelector("#table").getBoundingClientRect();
  const seen = [...document.querySelectorAll(".frame")].filter((f) => {
    const box = f.getBoundingClientRect();
    return box.bottom > view.top && box.top < view.bottom;
  });
  return seen.length > 0 && seen.every((f) => f.querySelector("canvas").width > 0) && seen.length;
};
const all = () => page.waitForFunction(inView, undefined, { timeout: 300_000, polling: 16 }).then((count) => count.jsonValue()).then((n) => `${n} in view`);
const scroll = (to) => page.evaluate((to) => document.querySelector("#table").scrollTo(0, to * document.querySelector("#surface").scrollHeight), to);

await told("the table, first picture", async () => {
  await page.goto(address);
  await page.locator(".frame.there").first().waitFor({ timeout: 300_000 });
});
await told("all that is in view", all);
for (const to of [0.5, 1, 0]) {
  await told(`scrolled to ${to}`, async () => {
    await scroll(to);
    return all();
  });
}
await told("all of it looked through, a screen at a time", async () => {
  const steps = await page.evaluate(() => Math.ceil(document.querySelector("#surface").scrollHeight / document.querySelector("#table").clientHeight));
  for (let step = 0; step <= steps; step++) {
    await scroll(step / steps);
    await all();
  }
  await scroll(0);
  return `${steps} screens`;
});
await told("marked", async () => {
  await page.keyboard.press("h");
  await page.locator(".frame.here[data-mark=hold]").waitFor();
});
await page.keyboard.press("h");
await page.waitForTimeout(500);
await told("stepped in", async () => {
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => (document.querySelector(".easel canvas")?.width ?? 0) > 0, undefined, { timeout: 300_000, polling: 16 });
});
await told("half a grade harder", async () => {
  await page.evaluate(() => new Promise((done) => {
    const words = document.querySelector(".words");
    new MutationObserver(() => done()).observe(words, { childList: true, characterData: true, subtree: true });
    document.dispatchEvent(new KeyboardEvent("keydown", { key: "G", bubbles: true }));
  }));
});
await page.keyboard.press("o");
const picture = await page.locator(".easel canvas[role=img]").boundingBox();
const spots = [[0.5, 0.05], [0.5, 0.5], [0.52, 0.52], [0.5, 0.55], [0.5, 0.95], [0.3, 0.95], [0.5, 0.5]];
for (const [u, v] of spots) {
  await told(`loupe at ${u}, ${v}`, async () => {
    await page.mouse.move(picture.x + u * picture.width, picture.y + v * picture.height);
    await page.waitForFunction(() => document.querySelector("#bench .loupe").dataset.waiting === "0", undefined, { timeout: 300_000, polling: 16 });
  });
}
await browser.close();
table.kill();
