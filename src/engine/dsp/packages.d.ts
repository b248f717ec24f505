declare module 'seedrandom/lib/alea.js' {
  export default function alea(seed: string): () => number;
}
declare module 'fft.js' {
  export default class FFT {
    constructor(size: number);
    readonly size: number;
    createComplexArray(): number[];
    transform(out: Float64Array, input: Float64Array): void;
    inverseTransform(out: Float64Array, input: Float64Array): void;
  }
}
