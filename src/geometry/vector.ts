/** A point or a direction in the face of the panel, mm. */
export interface Vec {
  readonly x: number;
  readonly y: number;
}

export const vec = (x: number, y: number): Vec => ({ x, y });
export const add = (a: Vec, b: Vec): Vec => vec(a.x + b.x, a.y + b.y);
export const sub = (a: Vec, b: Vec): Vec => vec(a.x - b.x, a.y - b.y);
export const scale = (a: Vec, k: number): Vec => vec(a.x * k, a.y * k);
export const dot = (a: Vec, b: Vec): number => a.x * b.x + a.y * b.y;
export const distance = (a: Vec, b: Vec): number => Math.hypot(a.x - b.x, a.y - b.y);

/** Unit vector at `angle` (rad) counter-clockwise from +x. */
export const direction = (angle: number): Vec => vec(Math.cos(angle), Math.sin(angle));

/** `a` turned +90° (counter-clockwise). */
export const turnedLeft = (a: Vec): Vec => vec(-a.y, a.x);

/** `a` turned by `angle` (rad) counter-clockwise about the origin. */
export function rotate(a: Vec, angle: number): Vec {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return vec(c * a.x - s * a.y, s * a.x + c * a.y);
}
