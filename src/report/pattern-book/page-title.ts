import type { Cause } from "../../explain/cause.js";

/** Name and title of a page of the pattern book. `by` is the size without its sign. */
export function pageTitle(cause: Cause, more: boolean, by: string): { name: string; title: string } {
  const { name, kind, of, says } = cause;
  const page = (word: string, title: string) => ({ name: `${slug(name)}-${word}`, title });
  switch (kind) {
    case "ramp":
      return page(
        more ? "steep" : "shallow",
        `Ramp of ${of} ${by} ${more ? "steeper" : "shallower"} than its label`,
      );
    case "lean":
      return page(
        more ? "front" : "back",
        `Ramp of ${of} leaning ${by} outward at the ${more ? "front" : "back"}`,
      );
    case "grid":
      if (cause.measure === "angle") {
        const way = more ? "counter-clockwise" : "clockwise";
        return page(way, `Grid racked: upright strips turned ${by} ${way}`);
      }
      return {
        name: `opening-${more ? "small" : "large"}`,
        title: `Opening ${by} too ${more ? "small" : "large"}`,
      };
    case "off-centre":
      return page(more ? "left" : "right", `Point of ${of} ${by} ${more ? "left" : "right"} of the middle`);
    case "thickness":
      return {
        name: `stock-${more ? "thick" : "thin"}-${of}`,
        title: `Strips ${by} too ${more ? "thick" : "thin"}, ${FENCE[of] ?? "as the job's fences bear"}`,
      };
    default: {
      if (says[1].startsWith("seat")) {
        const [word, text] = more ? ["shallow", "not deep enough"] : ["deep", "too deep"];
        return page(word, `Stop of ${of}: seat ${by} ${text}`);
      }
      const word = more ? "long" : "short";
      return page(word, `Stop of ${of}: pieces ${by} too ${word}`);
    }
  }
}

const FENCE: Readonly<Record<string, string>> = {
  centred: "jigs that centre them",
  "long-side": "fences on the long side",
  "short-side": "fences on the short side",
};

const slug = (text: string): string => text.replaceAll(/[ .]+/g, "-");
