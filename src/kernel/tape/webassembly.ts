/** The part of WebAssembly's JavaScript interface that the engine uses; the type libraries of this project do not have it. */
interface WebAssemblyApi {
  validate(bytes: Uint8Array): boolean;
  readonly Memory: new (limits: { initial: number; maximum: number }) => { readonly buffer: ArrayBuffer };
  readonly Module: new (bytes: Uint8Array) => object;
  readonly Instance: new (
    module: object,
    imports: Readonly<Record<string, Readonly<Record<string, unknown>>>>,
  ) => { readonly exports: Readonly<Record<string, unknown>> };
}

/** Absent where the engine has none. */
export const webAssembly = (globalThis as { WebAssembly?: WebAssemblyApi }).WebAssembly;
