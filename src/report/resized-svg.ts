/**
 * A drawing with another width, its height in proportion; what it shows is the same, larger or smaller.
 *
 * @param width px, > 0
 * @throws RangeError when the width is not a number above 0, or the drawing does not state its size
 */
export function resizedSvg(svg: string, width: number): string {
  if (!(width > 0 && Number.isFinite(width)))
    throw new RangeError(
      `the picture has no size; a width is a number of pixels above 0; got ${width} (width).`,
    );
  const [opening] = svg.match(/<svg[^>]*>/) ?? [];
  const size = (name: string): number =>
    Number(opening?.match(new RegExp(`\\s${name}="([\\d.]+)`))?.[1] ?? Number.NaN);
  const [from, tall] = [size("width"), size("height")];
  if (!opening || !(from > 0) || !(tall > 0) || !opening.includes("viewBox"))
    throw new RangeError(
      "the picture cannot be resized; it must state width, height and viewBox (in <svg>).",
    );
  const resized = opening
    .replace(/(\swidth=")[^"]*/, `$1${width}`)
    .replace(/(\sheight=")[^"]*/, `$1${Number(((tall * width) / from).toFixed(3))}`);
  return svg.replace(opening, () => resized);
}
