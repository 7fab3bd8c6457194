import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { type BrowserContext, chromium, type Page } from "playwright-core";
import { afterEach, expect } from "vitest";

/** Debian's own; set CHROMIUM to use another. */
const CHROMIUM = process.env.CHROMIUM ?? "/usr/bin/chromium";
const FLAGS = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** A page in a browser with an empty profile, and everything it complained of or asked the network for. */
export interface OpenPage {
  readonly page: Page;
  readonly complaints: string[];
  /** Requests other than the page itself, and than what it made itself and holds in memory (`blob:`). */
  readonly requests: string[];
  readonly close: () => Promise<void>;
}

/** Opens a file, `width` px wide. */
export async function openPage(
  file: string,
  { width = 1200, height = 900, javaScript = true } = {},
): Promise<OpenPage> {
  const profile = mkdtempSync(join(tmpdir(), "sukima-browser-"));
  const context: BrowserContext = await chromium.launchPersistentContext(profile, {
    executablePath: CHROMIUM,
    args: FLAGS,
    headless: true,
    viewport: { width, height },
    javaScriptEnabled: javaScript,
  });
  const page = context.pages()[0] ?? (await context.newPage());
  const url = pathToFileURL(file).href;
  const complaints: string[] = [];
  const requests: string[] = [];
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  context.on("request", (request) => {
    if (request.url() !== url && !request.url().startsWith("blob:")) requests.push(request.url());
  });
  await page.goto(url);
  const close = async (): Promise<void> => {
    await context.close();
    rmSync(profile, { recursive: true, force: true });
  };
  return { page, complaints, requests, close };
}

/** After each test closes the page that it opened, and holds that it complained of nothing and asked the network for nothing. */
export function closeQuietly(opened: () => OpenPage): void {
  afterEach(async () => {
    const { close, complaints, requests } = opened();
    await close();
    expect(complaints).toEqual([]);
    expect(requests).toEqual([]);
  });
}
