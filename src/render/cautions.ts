/** Shown wherever the project tells someone to cut or adjust. Common practice, no source. */
export const CAUTIONS: readonly string[] = [
  "Unplug a machine, and let it stop, before you touch a stop, a shim or a fence.",
  "Keep every guard in place. Hold small pieces in a jig or a clamp, never with your fingers alone.",
  "A sharp blade cuts skin as easily as wood: keep your hands behind the edge, and cover the blade when you put it down.",
  "The manual of your tool, your local rules and a qualified instructor come before anything printed here.",
];
