// The audio thread's part of listening: gathers samples and posts them on, with the frame number of the first. No maths,
// no wasm and no allocation beyond the blocks it gives away; must not know what the samples mean.

/** Samples in a block: 43 ms at 48 kHz, 16 blocks of the engine's own 128. */
const BLOCK_SAMPLES = 2048;

class ListenProcessor extends AudioWorkletProcessor {
  constructor() {
    super();
    this.block = new Float32Array(BLOCK_SAMPLES);
    this.filled = 0;
    this.firstFrame = 0;
    /** @type {MessagePort | null} straight to the Worker, past the page */
    this.out = null;
    this.port.onmessage = (event) => {
      this.out = event.data.out;
    };
  }

  /** @param {Float32Array[][]} inputs */
  process(inputs) {
    const samples = inputs[0]?.[0];
    if (!samples || !this.out) {
      // Frames without input are a gap: what was gathered before it ends here.
      this.flush();
      return true;
    }
    let taken = 0;
    while (taken < samples.length) {
      if (this.filled === 0) this.firstFrame = currentFrame + taken;
      const n = Math.min(samples.length - taken, BLOCK_SAMPLES - this.filled);
      this.block.set(samples.subarray(taken, taken + n), this.filled);
      this.filled += n;
      taken += n;
      if (this.filled === BLOCK_SAMPLES) this.flush();
    }
    return true;
  }

  flush() {
    if (this.filled === 0 || !this.out) return;
    const samples = this.filled === BLOCK_SAMPLES ? this.block : this.block.slice(0, this.filled);
    this.out.postMessage({ frame: this.firstFrame, samples }, [samples.buffer]);
    this.block = new Float32Array(BLOCK_SAMPLES);
    this.filled = 0;
  }
}

registerProcessor("listen", ListenProcessor);
