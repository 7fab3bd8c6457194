/** Families tried for "sans-serif", the family Vega writes; resvg itself would take the first font it finds. */
const SANS_SERIF = "Arial, Helvetica, Liberation Sans, DejaVu Sans, Noto Sans, sans-serif";

const PROBE =
  '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><text x="2" y="15" font-family="sans-serif">H</text></svg>';

export interface PngOptions {
  /** Width of the picture, pixels, > 0; the height follows. */
  readonly width: number;
}

/**
 * A drawing as PNG on white. Letters are drawn with the fonts of the system, so the picture differs a little from one
 * machine to another; no font comes with this package.
 *
 * @throws Error when the width is not positive, or the drawing has text and the system has no font to draw it with
 */
export async function svgToPng(svg: string, { width }: PngOptions): Promise<Uint8Array> {
  if (!(width > 0 && Number.isFinite(width)))
    throw new RangeError(
      `the picture has no size; a width is a number of pixels above 0; got ${width} (width).`,
    );
  const { Resvg } = await import("@resvg/resvg-js");
  if (svg.includes("<text") && new Resvg(PROBE).getBBox() === undefined)
    throw new Error(
      "the picture would lack its text; a PNG needs a font on this system; none was found; install one, DejaVu Sans for example (in svgToPng).",
    );
  const drawn = svg.replaceAll('font-family="sans-serif"', `font-family="${SANS_SERIF}"`);
  return new Resvg(drawn, { background: "white", fitTo: { mode: "width", value: width } }).render().asPng();
}
