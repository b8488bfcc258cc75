// Starts the program on a fresh batch of the ropewalk, and a browser before it.
// DRYSIDE is the command (target/release/dryside), CHROMIUM the browser (/usr/bin/chromium).

import { execFileSync, spawn } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const root = fileURLToPath(new URL("../..", import.meta.url));
const [program, ...first] = (process.env.DRYSIDE ?? join(root, "target/release/dryside")).split(" ");

/** A table on a batch of its own. `out` is the batch's folder; end with `close`. */
export async function start() {
  const folder = mkdtempSync(join(tmpdir(), "light-table-"));
  const out = join(folder, "ropewalk-out");
  const scans = join(folder, "ropewalk");
  cpSync(join(root, "fixtures/ropewalk"), scans, { recursive: true });
  const batch = () => execFileSync(program, [...first, "batch", scans, "--out", out], { stdio: "pipe" });
  batch();
  const table = spawn(program, [...first, "table", out, "--size", "8x6cm"], { stdio: ["ignore", "pipe", "inherit"] });
  const address = await new Promise((found, failed) => {
    let said = "";
    table.stdout.on("data", (data) => {
      said += data;
      const at = /http:\/\/127\.0\.0\.1:\d+\/[^\s]+/.exec(said);
      if (at) found(at[0]);
    });
    table.on("exit", (code) => failed(new Error(`dryside table ended with ${code}: ${said}`)));
  });
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu"],
  });
  return {
    address,
    out,
    table,
    /** One more scan of the batch, and a run of it. */
    add(name) {
      cpSync(join(scans, "sheet-02.tif"), join(scans, name));
      batch();
    },
    batch,
    /** Gives a scan another name, and runs the batch. */
    rename(name, now) {
      renameSync(join(scans, name), join(scans, now));
      batch();
    },
    /** Takes a scan away, or brings it back. */
    away: (name, gone) => renameSync(join(scans, gone ? name : `${name}.away`), join(scans, gone ? `${name}.away` : name)),
    /** A tab with the table in it; what goes wrong in its scripts goes to `errors`. */
    async open(how = {}) {
      const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, ...how });
      const page = await context.newPage();
      // What is asked while interception begins may slip past it, seen by no test: it is on before the page is.
      await page.route("**/*", (route) => route.fallback());
      if (process.env.PAGE) await fromDisk(page, address);
      page.errors = [];
      page.on("pageerror", (error) => page.errors.push(error.message));
      await page.goto(address);
      await page.locator(".frame.there").first().waitFor();
      return page;
    },
    notes: (scan) => readFileSync(join(out, "flat", `${scan}.notes.toml`), "utf8"),
    /** As an editor would: a mark of its own, in place of what stands there. */
    write(scan, mark) {
      const text = this.notes(scan).replace(/^\[marks\]\n(?:[^[\n].*\n|\n)*/m, "");
      writeFileSync(join(out, "flat", `${scan}.notes.toml`), text.replace(/^\[scan\]$/m, `[marks]\n1 = "${mark}"\n\n[scan]`));
    },
    async close() {
      await browser.close();
      table.kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** The page as it lies in this folder, not as it is in the program: for who works on it. */
async function fromDisk(page, address) {
  const file = (name, contentType) => (route) => route.fulfill({ contentType, path: join(root, "page", name) });
  await page.route(address, file("light-table.html", "text/html"));
  await page.route(`${address}light-table.css`, file("light-table.css", "text/css"));
  await page.route(`${address}built/*.js`, (route) => file(route.request().url().slice(address.length), "text/javascript")(route));
}

/** The mark of frame 1 as the notes have it, or null. */
export function markIn(notes) {
  const marks = /^\[marks\]\n((?:[^[\n].*\n|\n)*)/m.exec(notes)?.[1] ?? "";
  return /^1\s*=.*"(print|hold|skip)"/m.exec(marks)?.[1] ?? null;
}

/** Asks until it is so: what the page does is written a moment later. */
export async function until(so, what) {
  const end = Date.now() + 10_000;
  while (!(await so())) {
    if (Date.now() > end) throw new Error(`it did not come to this: ${what}`);
    await new Promise((rest) => setTimeout(rest, 50));
  }
}

/** The button of that name on the rail. */
export function button(page, name) {
  return page.locator("#rail button", { hasText: new RegExp(`^${name}`) });
}
