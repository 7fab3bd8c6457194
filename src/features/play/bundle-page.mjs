import { rolldown } from "rolldown";

// Puts the page's compiled code, and what it uses of the library, into one script: dist/features/play/page.js.

const page = await rolldown({ input: "dist/features/play/browser/main.js", platform: "browser", logLevel: "warn" });
await page.write({ file: "dist/features/play/page.js", format: "iife", minify: true, comments: false });
await page.close();
