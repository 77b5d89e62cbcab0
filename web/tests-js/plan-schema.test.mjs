// The editor's fields against the published schema of plan files: every field is there, with the same range and the same choices.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { KINDS, OF_BANDS, OF_EXERCISE, OF_PLAN } from "../static/plan-kinds.js";

const schema = JSON.parse(await readFile(new URL("../../server/plans/plan.schema.json", import.meta.url), "utf8"));

/** A part of the schema, with what it refers to. @param {any} part @returns {any} */
const followed = (part) => (part.$ref ? { ...schema.$defs[part.$ref.split("/").pop()], ...part } : part);

/** What the editor leaves to itself: what is not a field, and what another list of fields has. */
const ELSEWHERE = ["format", "version", "name", "exercises", "play", "bands"];

/** @param {string} of @param {any} part of the schema @param {readonly any[]} fields */
function compare(of, part, fields) {
  const { properties, required = [] } = followed(part);
  const names = Object.keys(properties).filter((name) => !ELSEWHERE.includes(name));
  assert.deepEqual(fields.map((field) => field.key).sort(), names.sort(), of);
  for (const field of fields) {
    const said = followed(properties[field.key]);
    const where = `${of}.${field.key}`;
    if (required.includes(field.key)) assert.ok(!field.optional && field.usual === undefined, `${where} has to be there`);
    if (field.is === "number") {
      const least = said.minimum ?? said.exclusiveMinimum;
      assert.deepEqual([field.min, field.max], [least, said.maximum], where);
    }
    if (field.is === "choice") assert.deepEqual(field.choices.map((c) => c.value), said.enum, where);
    if (field.is === "choices") assert.deepEqual([...field.choices.map((c) => c.value)].sort(), [...followed(said.items).enum].sort(), where);
    if (field.is === "line" || field.is === "text") assert.equal(field.most, said.maxLength, where);
    if (["lines", "choices", "notes"].includes(field.is)) assert.equal(field.most, said.maxItems, where);
    if (field.is === "yes") assert.equal(said.type, "boolean", where);
  }
}

test("the editor offers what a plan may hold, no more and no less", () => {
  compare("plan", schema, OF_PLAN);
  compare("exercise", schema.$defs.exercise, OF_EXERCISE);
  compare("bands", schema.$defs.exercise.properties.bands, OF_BANDS);
  assert.deepEqual(Object.keys(KINDS).sort(), Object.keys(schema.$defs.play.properties).sort());
  for (const [kind, { fields }] of Object.entries(KINDS)) compare(kind, schema.$defs[kind], fields);
});
