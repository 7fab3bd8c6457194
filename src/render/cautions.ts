/** Shown wherever the project tells someone to cut or adjust. Common practice, no source. */
export const CAUTIONS: readonly string[] = [
  "Unplug a machine, and let it stop, before you touch a stop, a shim or a fence.",
  "Keep every guard in place. Small pieces belong in a jig or a clamp, never under the fingers alone.",
  "A sharp blade cuts skin as readily as wood: hands behind the edge, and the blade covered when it rests.",
  "The manual of your tool, your local rules and a qualified instructor come before anything printed here.",
];
