import type { Live } from "../display/show.js";
import { escapeHtml } from "../text/escape-html.js";
import { escapeMarks } from "../text/escape-marks.js";

/** As tall as a screen, so that the drawing and some sliders are seen at once. */
const HEIGHT = "46rem";
const OPENING = '<iframe class="sukima-live"';

/**
 * A page within a page. It has an origin of its own and may run the script that its own Content-Security-Policy names, and print; all it shows stands in `srcdoc`.
 */
export const liveFrame = ({ page, title }: Pick<Live, "page" | "title">): string =>
  `${OPENING} title="${escapeHtml(title)}" sandbox="allow-scripts allow-modals" style="width: 100%; height: ${HEIGHT}; border: 1px solid #cfc7b8" srcdoc="${escapeMarks(page)}"></iframe>`;

const SCRIPTS = /script-src ((?:&#39;|')sha256-[A-Za-z0-9+/=]+(?:&#39;|'))/;

/** Of HTML that is a {@link liveFrame}: the script it may run, as a source of a Content-Security-Policy; the page around it must allow the same. */
export function scriptOfFrame(html: string): string | undefined {
  if (!html.startsWith(OPENING)) return undefined;
  const [, source] = SCRIPTS.exec(html) ?? [];
  return source?.replaceAll("&#39;", "'");
}
