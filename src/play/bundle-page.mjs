// Puts the page's compiled code, and what it uses of the library, into one script: dist/play/page.js.
import { rolldown } from "rolldown";

const page = await rolldown({ input: "dist/play/browser/main.js", platform: "browser", logLevel: "warn" });
await page.write({ file: "dist/play/page.js", format: "iife", minify: true, comments: false });
await page.close();
