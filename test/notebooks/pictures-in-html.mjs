// node test/notebooks/pictures-in-html.mjs EXECUTED HTML: does a browser show a picture for each chart of each notebook?
// EXECUTED holds the notebooks that Jupyter ran, HTML the pages that `jupyter nbconvert --to html` made of them.
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

/** Smaller than this, in px, nothing can be read. */
const LEAST_SIZE = 100;

/** Runs in the page: size as shown and number of colours of each picture among the outputs. */
const measure = (images) =>
  Promise.all(
    images.map(async (image) => {
      await image.decode();
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [200, 200];
      const context = canvas.getContext("2d");
      context.drawImage(image, 0, 0, 200, 200);
      const pixels = new Uint32Array(context.getImageData(0, 0, 200, 200).data.buffer);
      return { width: image.clientWidth, height: image.clientHeight, colours: new Set(pixels).size };
    }),
  );

/** How many outputs of a notebook are pictures, and how many of them another form is preferred to. */
function chartsOf(notebook) {
  const outputs = notebook.cells.flatMap(({ outputs = [] }) => outputs);
  const drawn = outputs.filter(({ data }) =>
    Object.keys(data ?? {}).some((mime) => /^image\/|vnd\.vegalite|vnd\.sukima\.svg/.test(mime)),
  );
  return { drawn: drawn.length, live: drawn.filter(({ data }) => "text/html" in data).length };
}

const [executed, pages] = process.argv.slice(2).map((folder) => resolve(folder));
const profile = mkdtempSync(join(tmpdir(), "sukima-browser-"));
const browser = await chromium.launchPersistentContext(profile, {
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--headless", "--no-sandbox", "--disable-gpu"],
  headless: true,
  viewport: { width: 1280, height: 900 },
});
// The pages of nbconvert ask for MathJax; the pictures must be there without any network.
await browser.route(/^https?:/, (route) => route.abort());
let faults = 0;
const files = readdirSync(executed).filter((file) => file.endsWith(".ipynb"));
if (files.length === 0) faults++;
for (const file of files) {
  const name = basename(file, ".ipynb");
  const { drawn, live } = chartsOf(JSON.parse(readFileSync(join(executed, file), "utf8")));
  const page = await browser.newPage();
  await page.goto(pathToFileURL(join(pages, `${name}.html`)).href, { waitUntil: "domcontentloaded" });
  const shown = await page.locator(".jp-OutputArea-output img").evaluateAll(measure);
  const frames = await page.locator("iframe.sukima-live").count();
  await page.close();
  const seen = shown.filter(
    ({ width, height, colours }) => width >= LEAST_SIZE && height >= LEAST_SIZE && colours > 2,
  );
  const right = seen.length === drawn - live && frames === live && drawn > 0;
  if (!right) faults++;
  console.log(
    `${right ? "shown" : "MISSING"}  ${name}: ${seen.length} of ${drawn - live} pictures, ${frames} of ${live} live pages`,
  );
}
await browser.close();
rmSync(profile, { recursive: true, force: true });
process.exitCode = faults === 0 ? 0 : 1;
