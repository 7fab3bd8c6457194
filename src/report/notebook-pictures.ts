import { textOf } from "./notebook/text.js";
import type { MultilineText, Notebook } from "./notebook/types.js";

/** A picture that an executed notebook shows. */
export interface NotebookPicture {
  /** Its title as a file name: `the-strip-decides-what-a-degree-is-worth`; numbered where two are alike. */
  readonly name: string;
  readonly shows: string;
  readonly svg: string;
  /** What it says, for those who cannot see it. */
  readonly text: string;
}

const LONGEST = 60;
const ENTITIES: Readonly<Record<string, string>> = { lt: "<", gt: ">", quot: '"', "#39": "'", amp: "&" };

/** Every drawing and chart among an executed notebook's outputs, in order. */
export function notebookPictures({ cells }: Notebook): NotebookPicture[] {
  const outputs = cells.flatMap((cell) => (cell.cell_type === "code" ? cell.outputs : []));
  const pictures = outputs.flatMap((output): Omit<NotebookPicture, "name">[] => {
    if (output.output_type !== "display_data" && output.output_type !== "execute_result") return [];
    const svg = output.data["image/svg+xml"];
    if (svg === undefined) return [];
    const drawing = textOf(svg as MultilineText);
    const [shows, description] = [inside("title", drawing), inside("desc", drawing)];
    return [{ svg: drawing, shows: shows === "" ? "picture" : shows, text: `${shows}. ${description}` }];
  });
  const slugs = pictures.map(({ shows }) => slug(shows));
  return pictures.map((picture, i) => {
    const before = slugs.slice(0, i).filter((one) => one === slugs[i]).length;
    return { name: before === 0 ? slugs[i]! : `${slugs[i]}-${before + 1}`, ...picture };
  });
}

const inside = (tag: string, svg: string): string =>
  (new RegExp(`<${tag}[^>]*>([^<]*)</${tag}>`).exec(svg)?.[1] ?? "").replaceAll(
    /&(lt|gt|quot|#39|amp);/g,
    (_, name: string) => ENTITIES[name]!,
  );

const slug = (title: string): string =>
  title
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, "-")
    .slice(0, LONGEST)
    .replaceAll(/^-|-$/g, "") || "picture";
