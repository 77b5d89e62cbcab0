// The first steps go once anything was played, and imaginary players are marked as long as they are in.

import assert from "node:assert/strict";
import test from "node:test";
import { FirstSteps } from "../static/first-steps.js";
import { ImaginaryLine } from "../static/imaginary-line.js";

/** As much of a page as the two look at. */
function page() {
  /** @type {Record<string, any>} */
  const elements = Object.fromEntries(
    ["empty-closed", "steps", "try-then", "imaginary"].map((id) => [id, { hidden: id !== "steps" && id !== "try-then", dataset: { mark: "imaginary" } }]),
  );
  /** @type {Record<string, any>} */
  const body = { marks: {}, style: { setProperty: (/** @type {string} */ name, /** @type {string} */ value) => (body.marks[name] = value) } };
  body.toggleAttribute = (/** @type {string} */ name, /** @type {boolean} */ on) => (body.marks[name] = on);
  return { elements, body, getElementById: (/** @type {string} */ id) => elements[id] };
}

test("the steps stay until something was played, and do not come back", () => {
  const shown = page();
  const steps = new FirstSteps(/** @type {any} */ (shown));
  steps.show({ results: 0 });
  assert.equal(shown.elements.steps.hidden, false);
  steps.show({ results: 3 });
  assert.deepEqual([shown.elements.steps.hidden, shown.elements["try-then"].hidden], [true, true]);
  steps.show({});
  assert.equal(shown.elements.steps.hidden, true);
});

test("a closed room says that nobody new can come in", () => {
  const shown = page();
  const steps = new FirstSteps(/** @type {any} */ (shown));
  for (const [door, isHidden] of [["open", true], ["closed", false], ["timed-out", false], [undefined, true]]) {
    steps.show({ door: /** @type {any} */ (door) });
    assert.equal(shown.elements["empty-closed"].hidden, isHidden, String(door));
  }
});

test("imaginary players are marked while they are in", () => {
  const shown = page();
  const line = new ImaginaryLine(/** @type {any} */ (shown));
  assert.equal(shown.body.marks["--imaginary"], '"imaginary"');
  line.show({ imaginary: true });
  assert.deepEqual([shown.elements.imaginary.hidden, shown.body.marks["data-imaginary"]], [false, true]);
  line.show({});
  assert.deepEqual([shown.elements.imaginary.hidden, shown.body.marks["data-imaginary"]], [true, false]);
});
