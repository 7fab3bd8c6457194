import { createHash } from "node:crypto";
import { MysteryError } from "./mystery-error.js";

/** What a mystery is made from: all that is wrong in it follows. */
export interface MysteryKey {
  /** Whole, 0 … 2⁵³ − 1. */
  readonly seed: number;
  /** How many things are wrong. */
  readonly faults: number;
  /** The pattern of its cells; default the square asanoha. The code does not hold it: it stands in the mystery's job. */
  readonly pattern?: string;
}

/** An odd number and its inverse modulo 2⁶⁴: multiplying stirs a seed, multiplying back stills it. */
const STIR = 0x9e3779b97f4a7c15n;
const STILL = 0xf1de83e19937733dn;
const MASK = (1n << 64n) - 1n;
const FAULT_DIGITS = 10n;
const CHECK_DIGITS = 4;

/**
 * A mystery's key as a short word. It keeps the key from being read at a glance and a mistyped word from being taken for another;
 * it is no secret: whoever runs this code can undo it.
 */
export function mysteryCode({ seed, faults }: MysteryKey): string {
  const stirred = ((BigInt(seed) * FAULT_DIGITS + BigInt(faults)) * STIR) & MASK;
  const word = stirred.toString(36);
  return `${word}-${checkOf(word)}`;
}

/** @throws MysteryError for a word that is not such a code. */
export function readMysteryCode(code: string): MysteryKey {
  const [, word, check] = code.trim().match(/^([0-9a-z]{1,13})-([0-9a-f]{4})$/) ?? [];
  if (word === undefined || checkOf(word) !== check)
    throw new MysteryError(`“${code}” is not a mystery's code: a letter or digit is wrong or missing.`);
  let stirred = 0n;
  for (const digit of word) stirred = stirred * 36n + BigInt(Number.parseInt(digit, 36));
  const key = (stirred * STILL) & MASK;
  return { seed: Number(key / FAULT_DIGITS), faults: Number(key % FAULT_DIGITS) };
}

const checkOf = (word: string): string =>
  createHash("sha256").update(`mystery ${word}`).digest("hex").slice(0, CHECK_DIGITS);
