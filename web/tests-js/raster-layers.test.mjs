// What stands on the raster's paper stays there: only what is new is drawn, and all of a lane where what stood no longer holds.
// And the now rule's way, which the browser goes by itself.

import assert from "node:assert/strict";
import test from "node:test";
import { rulePath } from "../static/now-rule.js";
import { drawLaneOn, drawRules, makePage } from "../static/raster.js";
import { hasWedges } from "../static/raster-wedges.js";
import { openTime, SCORE } from "./door-in-node.js";

const time = await openTime(() => 0);
time.setScore(SCORE);

const PALETTE = { ink: "ink", quiet: "quiet", ruleBar: "bar", ruleBeat: "beat", ruleSubdivision: "sub", ahead: "ahead", press: "", ground: "" };
const page = (score = SCORE) => makePage({ score, time, hasTicks: true, startBeat: 4, widthBeats: 8, pad: 4, pxPerBeat: 80, type: 1 });

/** A context that writes down what is drawn: rectangles with their colour, cleared ones as such. */
function paper() {
  const drawn = [];
  return {
    drawn,
    fillStyle: "",
    fillRect(x, y, w, h) {
      drawn.push([this.fillStyle, x, y, w, h]);
    },
    clearRect(x, y, w, h) {
      drawn.push(["clear", x, y, w, h]);
    },
    strokeRect(x, y, w, h) {
      drawn.push(["hollow", x, y, w, h]);
    },
  };
}

// Triplets at 60 on their ticks from beat 4 (10 s) on.
const pulse = (i, more) => ({ time_us: 10e6 + (i * 1e6) / 3, depth_db: 8, choked: false, ...more });
const lane = (n, more) => ({
  player_id: "wren",
  state: "matched",
  pulses: Array.from({ length: n }, (_, i) => pulse(i)),
  centre_tail: [],
  ...more,
});
const draw = (context, of, drawn, nowBeat) => drawLaneOn(context, PALETTE, page(), of, drawn, nowBeat, 0, 50);
const marks = ({ drawn }) => drawn.filter(([colour, , , , high]) => colour === "ink" && high > 10);

test("a picture that brings nothing new draws nothing", () => {
  const context = paper();
  const drawn = draw(context, lane(6), undefined, 6);
  assert.equal(marks(context).length, 6);
  // Triplets at 60 are 80 px / 3 apart, and a mark of 50 ms is 4 px wide.
  const [, x, y, wide] = marks(context)[1];
  assert.ok(Math.abs(x - (4 + 80 / 3 - 2)) < 1e-6 && y === 48 - 22 && Math.abs(wide - 4) < 1e-6, `${x} ${y} ${wide}`);
  context.drawn.length = 0;
  draw(context, lane(6), drawn, 6.1);
  assert.deepEqual(context.drawn, []);
});

test("a new pulse adds one mark and its piece of the floor, and clears nothing", () => {
  const context = paper();
  const drawn = draw(context, lane(6), undefined, 6);
  context.drawn.length = 0;
  draw(context, lane(7), drawn, 6.3);
  assert.equal(marks(context).length, 1);
  assert.deepEqual(context.drawn.map(([colour]) => colour), ["ink", "ink"]);
  const [floor] = context.drawn;
  assert.ok(Math.abs(floor[1] - (4 + (5 * 80) / 3)) < 1e-6 && Math.abs(floor[3] - 80 / 3) < 1e-6, `${floor}`);
});

test("a picture that comes late still draws the whole floor, and a silence leaves it out", () => {
  const floorOf = (of) => {
    const context = paper();
    const drawn = draw(context, lane(3), undefined, 5);
    context.drawn.length = 0;
    draw(context, of, drawn, 8);
    return context.drawn.filter(([, , , , high]) => high === 1.5).map(([, x, , wide]) => [Math.round(x), Math.round(x + wide)]);
  };
  // The third pulse is 2/3 of a beat after the page's first, at 80 px a beat and 4 px of margin; the tenth is three beats after.
  assert.deepEqual(floorOf(lane(10)), [[57, 244]]);
  // Heard until 11.2 s and from 12 s on: 0.8 s are more than the 0.45 s that a tone is taken to sound on.
  const tail = [10.8, 11.2, 12, 12.4].map((s) => [s * 1e6, 0]);
  assert.deepEqual(floorOf(lane(3, { centre_tail: tail })), [[57, 100], [164, 196]]);
});

test("the lane is drawn anew where another stands there, where marks have moved, or where a valley breaks the floor", () => {
  const isAnew = (of, nowBeat = 6.3) => {
    const context = paper();
    const drawn = draw(context, lane(6), undefined, 6);
    context.drawn.length = 0;
    draw(context, of, drawn, nowBeat);
    return context.drawn[0]?.[0] === "clear" && context.drawn[0][4] === 50;
  };
  assert.ok(isAnew(lane(6, { player_id: "tobias" })));
  assert.ok(isAnew(lane(6, { state: "blended" })));
  assert.ok(isAnew(lane(6, { pulses: lane(6).pulses.map((p) => ({ ...p, time_us: p.time_us - 40_000 })) })));
  assert.ok(isAnew(lane(0, { pulses: [...lane(6).pulses, pulse(6, { choked: true })] })));
  assert.ok(isAnew(lane(0, { pulses: [pulse(0), pulse(0.5), ...lane(6).pulses.slice(1)] })), "one that came late");
  assert.ok(!isAnew(lane(7)));
});

test("pulses ahead of the now rule wait", () => {
  const context = paper();
  const drawn = draw(context, lane(6), undefined, 5);
  assert.equal(marks(context).length, 4);
  draw(context, lane(6), drawn, 6);
  assert.equal(marks(context).length, 6);
});

test("ticks that fall behind are drawn once, in full", () => {
  const context = paper();
  drawRules(context, PALETTE, page(), 4.5, 0, 50);
  const n = context.drawn.length;
  assert.deepEqual(context.drawn.filter(([colour]) => colour !== "ahead").map(([colour]) => colour), ["bar", "sub"]);
  drawRules(context, PALETTE, page(), 5.2, 0, 50, 4.5);
  assert.deepEqual(context.drawn.slice(n).map(([colour]) => colour), ["sub", "beat"]);
});

test("the now rule goes over the page evenly", () => {
  const way = { time, nowUs: 14e6, startBeat: 4, widthBeats: 8, pxPerBeat: 80, steps: false };
  const path = rulePath(way);
  assert.deepEqual(path[0], { us: 14e6, x: 320 });
  assert.ok(Math.abs(path[path.length - 1].us - 18e6) < 1 && path[path.length - 1].x === 640);
  for (const { us, x } of path) assert.ok(Math.abs(x - (320 + ((us - 14e6) / 1e6) * 80)) < 1e-3, `at ${us}`);
});

test("who wants less motion sees it stand on each beat", () => {
  const path = rulePath({ time, nowUs: 14.4e6, startBeat: 4, widthBeats: 8, pxPerBeat: 80, steps: true });
  assert.deepEqual(path.map(({ x }) => x), [320, 400, 480, 560, 640]);
});

test("a tempo that changes on the page changes the rule's pace", () => {
  // From beat 12 on the score goes at 120.
  const path = rulePath({ time, nowUs: 18e6, startBeat: 8, widthBeats: 8, pxPerBeat: 80, steps: false });
  const end = path[path.length - 1];
  assert.ok(Math.abs(end.us - 20e6) < 1 && end.x === 640, `${end.us}`);
});

test("wedges are drawn where something grows, and only there", () => {
  assert.equal(hasWedges(page()), false);
  const grows = { ...SCORE, spans: SCORE.spans.map((span, i) => (i === 1 ? { ...span, ease: { from: 0, to: 1 } } : span)) };
  assert.equal(hasWedges(page(grows)), true);
  const loud = { ...SCORE, spans: SCORE.spans.map((span, i) => (i === 0 ? { ...span, dynamics: { from: "p", to: "f" } } : span)) };
  assert.equal(hasWedges(page(loud)), false, "the count-in is not on this page");
});
