/** What a case may take: `fixedMs` for anything, and `msPerByte` for each byte read. */
export const BOUNDS = {
  fixedMs: 2000,
  /** 2 µs a byte: the largest file read, 5 MB, may take 10 s more. */
  msPerByte: 0.002,
  /** JavaScript's memory of the thread that reads, MB. */
  heapMb: 512,
  /** After this the thread is ended: what is longer is a hang, ms. */
  hangMs: 60_000,
} as const;

export const boundMs = (bytes: number): number => BOUNDS.fixedMs + BOUNDS.msPerByte * bytes;
