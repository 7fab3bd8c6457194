import type { SeatingModel } from "../../seating/seating-model.js";

/**
 * The order in which bodies are eliminated: always one that touches the fewest of those still left (minimum degree), whose neighbours then all touch each other.
 * In the square cell: keys, which touch two hinges each, then hinges, then the diagonal.
 */
export function bodyOrder({ bodies, faceBody, first, mate }: SeatingModel): number[] {
  const touches = Array.from({ length: bodies }, () => new Set<number>());
  for (const [i, face] of first.entries()) {
    const [a, b] = [faceBody[face]!, faceBody[mate[i]!]!];
    if (a < 0 || b < 0) continue;
    touches[a]!.add(b);
    touches[b]!.add(a);
  }
  const left = new Set(touches.keys());
  const order: number[] = [];
  while (left.size > 0) {
    const next = [...left].reduce((best, body) => (touches[body]!.size < touches[best]!.size ? body : best));
    const neighbours = touches[next]!;
    for (const body of neighbours) {
      touches[body]!.delete(next);
      for (const other of neighbours) if (other !== body) touches[body]!.add(other);
    }
    left.delete(next);
    order.push(next);
  }
  return order;
}

/** The same for the three coordinates of each body. */
export const coordinateOrder = (model: SeatingModel): number[] =>
  bodyOrder(model).flatMap((body) => [3 * body, 3 * body + 1, 3 * body + 2]);
