// The editor of one plan: its fields instead of its text, saving, what the server says against it, and two pages that edit the same
// plan. What makes a plan good is the server's to say.

import { nearestField, placeOf } from "./plan-changes.js";
import { Controls } from "./plan-controls.js";
import { ExerciseList } from "./plan-exercises.js";
import { KINDS, OF_PLAN } from "./plan-kinds.js";
import { PageElements } from "./page-elements.js";
import { word } from "./words.js";

/** Names a copy is tried under. */
const MOST_COPIES = 100;

/**
 * A complaint with the field called as it is on this page, where it has a name of its own.
 * @param {{ exercise: number | null, text: string, words: string }} complaint @param {any} field @param {any} plan
 */
function wordsAt({ exercise, text, words }, field, plan) {
  const label = field.labels?.[0]?.textContent?.trim();
  if (!label) return words;
  if (exercise === null) return word("editor-wrong-field", { label, text });
  const title = plan.exercises[exercise]?.title;
  const at = { n: exercise + 1, label, text };
  return title ? word("editor-wrong-titled", { ...at, title }) : word("editor-wrong-exercise", at);
}

class PlanPage extends PageElements {
  /** @param {Document} page */
  constructor(page) {
    super(page);
    this.form = /** @type {HTMLFormElement} */ (this.at("plan-text"));
    this.name = this.form.dataset.name ?? "";
    this.version = this.at("version").value;
    this.plan = JSON.parse(this.at("text").value);
    this.saved = JSON.stringify(this.plan);
    this.controls = new Controls(page, () => this.changed());
    const list = this.controls.make("ol", { className: "exercises", id: "exercises" });
    this.exercises = new ExerciseList(this.controls, this.plan, list, { changed: () => this.changed(), say: (text) => this.text("saved", text) });
    this.build(list);
    this.at("save").addEventListener("click", () => this.save());
    this.at("save-use").addEventListener("click", () => this.saveAndUse());
    this.at("save-copy").addEventListener("click", () => this.saveCopy());
    this.at("undo").addEventListener("click", () => this.exercises.bringBack());
    page.defaultView?.addEventListener("beforeunload", (event) => {
      if (this.isChanged()) event.preventDefault();
    });
    page.addEventListener("keydown", (event) => {
      if ((event.ctrlKey || event.metaKey) && event.key === "s") {
        event.preventDefault();
        void this.save();
      }
    });
  }

  /** @param {HTMLElement} list */
  build(list) {
    const { controls } = this;
    const own = OF_PLAN.map((field) => controls.field(this.plan, field, `plan:${field.key}`));
    const kind = controls.make("select", { id: "kind" });
    for (const [key, { label, about }] of Object.entries(KINDS)) kind.append(controls.make("option", { value: key, textContent: word("editor-kind-option", { kind: word(label), about: word(about) }) }));
    const add = controls.button(word("editor-add"), () => this.exercises.add(kind.value), { id: "add" });
    this.at("editor").append(
      controls.make("div", { className: "fields grid own" }, own),
      controls.make("h2", { textContent: word("editor-exercises") }),
      list,
      controls.make("div", { className: "doing add" }, [controls.make("label", { htmlFor: "kind", textContent: word("editor-one-more") }), kind, add]),
    );
    this.exercises.draw();
    this.form.hidden = true;
    this.at("editor").hidden = false;
    this.at("save-bar").hidden = false;
    this.changed();
  }

  isChanged() {
    return JSON.stringify(this.plan) !== this.saved;
  }

  changed() {
    this.exercises?.retitle();
    const isChanged = this.isChanged();
    this.at("undo").hidden = !this.exercises.removed.last;
    this.at("save").setAttribute("aria-disabled", String(!isChanged));
    const title = this.plan.title ?? "";
    this.page.title = word(isChanged ? "editor-page-title-changed" : "editor-page-title", { title });
    this.text("title", word("editor-head", { title }));
    if (isChanged) this.text("saved", word("editor-not-saved-yet"));
  }

  /**
   * @param {string} name @param {Record<string, string>} condition @param {any} plan
   * @returns {Promise<{ status: number, answer: any }>}
   */
  async put(name, condition, plan) {
    try {
      const answer = await fetch(`/conduct/plans/${name}.json`, {
        method: "PUT",
        headers: { "content-type": "application/json", ...condition },
        body: JSON.stringify(plan),
      });
      return { status: answer.status, answer: await answer.json().catch(() => null) };
    } catch {
      return { status: 0, answer: null };
    }
  }

  /** @returns {Promise<boolean>} whether it is kept */
  async save() {
    this.showComplaints([]);
    this.showDoubts([]);
    const sent = JSON.stringify(this.plan);
    const { status, answer } = await this.put(this.name, { "if-match": `"${this.version}"` }, this.plan);
    if (status === 200) {
      this.version = String(answer.version);
      this.saved = sent;
      this.changed();
      const doubts = answer.doubts ?? [];
      this.showDoubts(doubts);
      const kept = doubts.length > 0 ? "editor-saved-doubts" : "editor-saved";
      this.text("saved", word(this.isChanged() ? "editor-saved-but" : kept));
      return true;
    }
    const isOther = status === 412;
    for (const id of ["save-copy", "see-other"]) this.at(id).hidden = !isOther;
    if (isOther) this.text("saved", word("editor-changed-elsewhere"));
    else if (status === 422) this.showComplaints(answer?.complaints ?? []);
    else if (status === 403) this.text("saved", word("editor-signed-out"));
    else this.text("saved", word("editor-unreached"));
    return false;
  }

  async saveAndUse() {
    if (this.isChanged() && !(await this.save())) return;
    const { controls } = this;
    const hidden = (/** @type {string} */ name, /** @type {string} */ value) => controls.make("input", { type: "hidden", name, value });
    const form = controls.make("form", { method: "post", action: "/conduct/plans" }, [hidden("do", "use"), hidden("name", this.name)]);
    this.page.body.append(form);
    form.submit();
  }

  /** Under a name of its own, so that neither page's work is lost. */
  async saveCopy() {
    const stem = this.name.replace(/-\d+$/, "");
    for (let n = 2; n <= MOST_COPIES; n += 1) {
      const name = `${stem}-${n}`;
      const ending = word("editor-version-ending");
      const title = this.plan.title.replace(/(, my (copy|version)|, meine (Kopie|Fassung))+$/, "");
      const plan = { ...this.plan, name, title: `${title}${ending}` };
      const { status, answer } = await this.put(name, { "if-none-match": "*" }, plan);
      if (status === 412) continue;
      if (status === 422) return this.showComplaints(answer?.complaints ?? []);
      if (status !== 200) return this.text("saved", word("editor-unreached"));
      this.saved = JSON.stringify(this.plan);
      this.page.location.assign(`/conduct/plans/${name}/edit`);
      return;
    }
  }

  /** What can be played, but is doubtful. @param {string[]} doubts */
  showDoubts(doubts) {
    this.at("doubts").hidden = doubts.length === 0;
    const lines = doubts.map((text) => this.controls.make("li", { textContent: text }));
    this.at("doubts-list").replaceChildren(...lines);
  }

  /** @param {{ exercise: number | null, field: string, text: string, words: string }[]} complaints */
  showComplaints(complaints) {
    this.controls.clearWrong();
    this.at("complaints").hidden = complaints.length === 0;
    for (const { exercise } of complaints) if (exercise !== null) this.exercises.reveal(exercise);
    const places = new Set(this.controls.fields.keys());
    const lines = complaints.map((complaint) => {
      const place = nearestField(placeOf(complaint), places);
      if (place) this.controls.showWrong(place, complaint.text);
      const line = this.page.createElement("li");
      const field = place ? this.controls.fields.get(place)?.control : undefined;
      if (!field) {
        line.textContent = complaint.words;
        return line;
      }
      const link = this.page.createElement("a");
      link.href = `#${field.id}`;
      link.textContent = wordsAt(complaint, field, this.plan);
      link.addEventListener("click", (event) => {
        event.preventDefault();
        field.focus();
      });
      line.append(link);
      return line;
    });
    this.at("complaints-list").replaceChildren(...lines);
    if (complaints.length === 0) return;
    this.text("saved", word("editor-n-not-right", { n: complaints.length }));
    const first = /** @type {HTMLElement | null} */ (this.page.querySelector('#editor [aria-invalid="true"]'));
    (first ?? this.at("complaints")).focus();
  }
}

if (typeof document !== "undefined") {
  try {
    new PlanPage(document);
  } catch {
    // A text that is no JSON is edited as it is.
  }
}
