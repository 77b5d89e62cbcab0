// The audio thread as worklets meet it, staged in node: a sample rate, a current frame, and blocks on demand.

export const SAMPLE_RATE_HZ = 48_000;
const BLOCK = 128;

/** @type {Record<string, any>} */
const processors = {};
Object.assign(globalThis, {
  sampleRate: SAMPLE_RATE_HZ,
  currentFrame: 0,
  AudioWorkletProcessor: class {
    constructor() {
      this.port = { posted: [], postMessage: (message) => this.port.posted.push(message) };
    }
  },
  registerProcessor: (name, made) => {
    processors[name] = made;
  },
});

/** A processor of the file that registers it by this name. */
export async function openProcessor(file, name) {
  await import(`../static/${file}`);
  globalThis.currentFrame = 0;
  const processor = new processors[name]();
  return {
    processor,
    posted: processor.port.posted,
    tell: (order) => processor.port.onmessage({ data: order }),
    /** Runs to a frame; gives frame and height of every sample that is not silent. */
    runTo(frame) {
      const heard = [];
      for (; globalThis.currentFrame < frame; globalThis.currentFrame += BLOCK) {
        const out = new Float32Array(BLOCK);
        processor.process([], [[out]]);
        out.forEach((x, i) => {
          if (x !== 0) heard.push({ frame: globalThis.currentFrame + i, height: x });
        });
      }
      return heard;
    },
  };
}
