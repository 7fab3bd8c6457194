import { describe, expect, it } from "vitest";
import { JOINT_STYLE, PALETTE } from "../../src/render/style.js";

/**
 * Colours as seen without the long- or middle-wave cones: linear RGB times the matrices of Machado, Oliveira & Fernandes (2009),
 * "A physiologically-based model for simulation of color vision deficiency", severity 1.0. From memory; each row must add up to 1.
 */
const SIGHT = {
  full: [1, 0, 0, 0, 1, 0, 0, 0, 1],
  protanopia: [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
  deuteranopia: [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
};
type Sight = keyof typeof SIGHT;

const linear = (hex: string): number[] =>
  [1, 3, 5].map((at) => {
    const c = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });

function lab(hex: string, sight: Sight): number[] {
  const m = SIGHT[sight];
  const rgb = linear(hex);
  const seen = [0, 3, 6].map((row) =>
    Math.min(1, Math.max(0, m[row]! * rgb[0]! + m[row + 1]! * rgb[1]! + m[row + 2]! * rgb[2]!)),
  );
  // sRGB to XYZ (IEC 61966-2-1), white D65, then CIE 1976 L*a*b*.
  const [r, g, b] = seen as [number, number, number];
  const x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
  const y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  const z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
  const [fx, fy, fz] = [x, y, z].map((t) => (t > 0.008856 ? Math.cbrt(t) : 7.787 * t + 16 / 116));
  return [116 * fy! - 16, 500 * (fx! - fy!), 200 * (fy! - fz!)];
}

/** CIE 1976 difference; about 2 is just seen side by side. */
const difference = (a: string, b: string, sight: Sight): number =>
  Math.hypot(...lab(a, sight).map((v, i) => v - lab(b, sight)[i]!));

const contrast = (a: string, b: string): number => {
  const [light, dark] = [a, b]
    .map((hex) => linear(hex))
    .map(([r, g, b]) => 0.2126 * r! + 0.7152 * g! + 0.0722 * b!)
    .sort((p, q) => q - p);
  return (light! + 0.05) / (dark! + 0.05);
};

/** Told apart at a glance: ten times what is just seen. */
const APART = 20;
const TOGETHER: readonly (readonly [string, string])[] = [
  [JOINT_STYLE.wide.fill, JOINT_STYLE.open.fill],
  [JOINT_STYLE.wide.fill, JOINT_STYLE.closed.stroke],
  [JOINT_STYLE.wide.fill, JOINT_STYLE.pressed.fill],
  [JOINT_STYLE.wide.fill, PALETTE.wood],
  [JOINT_STYLE.open.fill, JOINT_STYLE.closed.stroke],
  [JOINT_STYLE.open.fill, JOINT_STYLE.pressed.fill],
  [JOINT_STYLE.open.fill, PALETTE.wood],
  [JOINT_STYLE.pressed.fill, PALETTE.wood],
  [PALETTE.computed, PALETTE.measured],
  [PALETTE.computed, PALETTE.attention],
  [PALETTE.measured, PALETTE.attention],
  [PALETTE.computed, PALETTE.earlier],
];

describe("the palette", () => {
  it("uses matrices that leave white white", () => {
    for (const m of Object.values(SIGHT))
      for (const row of [0, 3, 6]) expect(m[row]! + m[row + 1]! + m[row + 2]!).toBeCloseTo(1, 5);
  });

  it.each(Object.keys(SIGHT) as Sight[])(
    "keeps apart what stands side by side, seen with %s sight",
    (sight) => {
      for (const [a, b] of TOGETHER) expect(difference(a, b, sight), `${a} ${b}`).toBeGreaterThan(APART);
    },
  );

  it("would not do with a red and a green of one lightness", () => {
    const [red, green] = ["#B5433A", "#5F7F2A"];
    expect(difference(red!, green!, "full")).toBeGreaterThan(APART);
    expect(difference(red!, green!, "deuteranopia")).toBeLessThan(APART);
  });

  it("is readable: text to paper at least 4.5 to 1 (WCAG 2.1, 1.4.3)", () => {
    for (const color of [
      PALETTE.ink,
      PALETTE.quiet,
      PALETTE.attention,
      PALETTE.computed,
      JOINT_STYLE.pressed.stroke,
    ])
      expect(contrast(color, PALETTE.paper), color).toBeGreaterThan(4.5);
    expect(contrast(PALETTE.quiet, PALETTE.wood)).toBeGreaterThan(4.5);
  });

  it("gives every state of a joint a second sign: line, dash or cross", () => {
    const signs = Object.values(JOINT_STYLE).map(({ dash, stroke }) => `${dash.join()} ${stroke}`);
    expect(new Set(signs).size).toBe(4);
    expect(JOINT_STYLE.open.dash).not.toEqual(JOINT_STYLE.wide.dash);
  });
});
