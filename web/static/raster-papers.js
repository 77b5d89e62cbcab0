// The layers of the conductor's raster: one page of paper, in one column of lanes or two. What stands on paper
// stays; only what is new is drawn on it. Knows neither room nor clock.

import { keptSheet } from "./paper.js";
import { DensityScale, drawDensity, drawFigures, drawFold, drawLaneOn, drawPitch, drawRules, makePage } from "./raster.js";
import { drawWedges, hasWedges } from "./raster-wedges.js";

/** Bars on a page: the present one and the one before. */
export const BARS_WIDE = 2;
/** Beyond the raster's edges, px: a mark that stands astride the first rule is seen whole. */
const PAD_PX = 4;
/** The folded density changes slowly and is dear: it is drawn again so often, ms. */
const FOLD_EVERY_MS = 500;
/** What the beat figures have, px, on a laptop. */
const FIGURES_PX = 28;

/**
 * @typedef {object} Sizes all in CSS px
 * @property {number} rasterWidth
 * @property {number} sectionHeight
 * @property {number} type how much larger than on a laptop figures and rules are
 * @property {number} laneHeight
 * @property {1 | 2} nColumns
 * @property {number} nRows
 * @property {number} foldWidth
 * @property {number} pitchWidth 0 where there is no room for pitch lines
 *
 * @typedef {{ startBeat: number, score: any, time: any, hasTicks: boolean }} Place what the window shows
 */

export class RasterPapers {
  /**
   * @param {object} parts
   * @param {HTMLCanvasElement[]} parts.sections one a column
   * @param {HTMLCanvasElement[]} parts.lanes one a column
   * @param {HTMLCanvasElement} parts.fold
   * @param {HTMLCanvasElement} parts.pitch
   * @param {() => { early: string, late: string }} words
   */
  constructor(parts, words) {
    this.parts = parts;
    this.words = words;
    /** @type {Sizes | null} */
    this.sizes = null;
    /** @type {import("./paper.js").Palette | null} */
    this.palette = null;
    /** @type {import("./raster.js").Page | null} */
    this.page = null;
    /** @type {import("./raster.js").Drawn[]} */
    this.drawn = [];
    this.passedBeat = NaN;
    this.foldMs = -Infinity;
  }

  /**
   * New sizes or colours: nothing that was drawn holds.
   * @param {Sizes} sizes
   * @param {import("./paper.js").Palette} palette
   */
  fit(sizes, palette) {
    this.sizes = sizes;
    this.palette = palette;
    this.page = null;
    const { rasterWidth, sectionHeight, laneHeight, nColumns, nRows, foldWidth, pitchWidth } = sizes;
    const wide = rasterWidth + 2 * PAD_PX;
    const paper = (/** @type {HTMLCanvasElement} */ canvas, /** @type {number} */ i, /** @type {number} */ high) => {
      if (i >= nColumns) return null;
      canvas.style.width = `${wide}px`;
      canvas.style.height = `${high}px`;
      return keptSheet(canvas, wide, high);
    };
    this.sectionSheets = this.parts.sections.map((canvas, i) => paper(canvas, i, sectionHeight));
    this.laneSheets = this.parts.lanes.map((canvas, i) => paper(canvas, i, laneHeight * nRows));
    this.foldSheet = keptSheet(this.parts.fold, foldWidth, sectionHeight);
    // As high as the lanes, where they do not fill the page: else each line would stand beside another lane.
    this.parts.pitch.style.height = `${laneHeight * nRows}px`;
    this.pitchSheet = nColumns === 1 ? keptSheet(this.parts.pitch, pitchWidth, laneHeight * nRows) : null;
  }

  /** @param {number} i of a lane @returns {{ column: number, top: number }} */
  placeOf(i) {
    const { nRows = 1, laneHeight = 0 } = this.sizes ?? {};
    return { column: Math.floor(i / nRows), top: (i % nRows) * laneHeight };
  }

  /**
   * A new page under the window.
   * @param {Place} place
   * @param {any[]} lanes in the order in which they are shown
   * @param {number} nowBeat
   */
  turn(place, lanes, nowBeat) {
    if (!this.sizes) return;
    const beatsPerBar = place.score.beats_per_bar;
    this.page = makePage({
      ...place,
      widthBeats: BARS_WIDE * beatsPerBar,
      pxPerBeat: this.sizes.rasterWidth / (BARS_WIDE * beatsPerBar),
      pad: PAD_PX,
      type: this.sizes.type,
    });
    this.scale = new DensityScale(this.page);
    this.drawn = [];
    this.passedBeat = nowBeat;
    this.hasWedges = hasWedges(this.page);
    lanes.forEach((lane, i) => this.drawLaneAt(i, lane, nowBeat));
    for (const sheet of this.sectionSheets ?? []) if (sheet) this.figures(sheet, nowBeat);
    this.foldMs = -Infinity;
    this.drawSection(lanes, nowBeat);
    this.drawPitches(lanes);
  }

  /** What is new in the lanes. @param {any[]} lanes @param {number} nowBeat */
  take(lanes, nowBeat) {
    if (!this.page) return;
    lanes.forEach((lane, i) => this.drawLaneAt(i, lane, nowBeat));
    this.drawSection(lanes, nowBeat);
    this.drawPitches(lanes);
  }

  /** @param {number} i @param {any} lane @param {number} nowBeat */
  drawLaneAt(i, lane, nowBeat) {
    const { column, top } = this.placeOf(i);
    const sheet = this.laneSheets?.[column];
    if (!sheet || !this.page || !this.palette || !this.sizes) return;
    this.drawn[i] = drawLaneOn(sheet.context, this.palette, this.page, lane, this.drawn[i], nowBeat, top, this.sizes.laneHeight);
  }

  /**
   * The music has gone on: ticks that were ahead are behind, and another beat is the present one.
   * @param {any[]} lanes
   * @param {number} nowBeat
   */
  pass(lanes, nowBeat) {
    const { page, palette, sizes } = this;
    if (!page || !palette || !sizes) return;
    this.laneSheets?.forEach((sheet, column) => {
      const n = Math.min(lanes.length - column * sizes.nRows, sizes.nRows);
      if (sheet) drawRules(sheet.context, palette, page, nowBeat, 0, n * sizes.laneHeight, this.passedBeat);
    });
    const isNewBeat = Math.floor(nowBeat) !== Math.floor(this.passedBeat);
    this.sectionSheets?.forEach((sheet) => {
      if (!sheet) return;
      drawRules(sheet.context, palette, page, nowBeat, this.rulesTop(), sizes.sectionHeight, this.passedBeat);
      if (isNewBeat) this.figures(sheet, nowBeat);
    });
    this.passedBeat = nowBeat;
  }

  /** Rules begin under the figures. */
  rulesTop() {
    return Math.round(FIGURES_PX * (this.sizes?.type ?? 1));
  }

  /** @param {import("./paper.js").Sheet} sheet @param {number} nowBeat */
  figures(sheet, nowBeat) {
    if (!this.page || !this.palette || !this.page.hasTicks) return;
    sheet.context.clearRect(0, 0, sheet.width, this.rulesTop());
    drawFigures(sheet.context, this.palette, this.page, nowBeat, this.rulesTop() - 7);
  }

  /** @param {any[]} lanes @param {number} nowBeat */
  drawSection(lanes, nowBeat) {
    const { page, palette, scale } = this;
    if (!page || !palette || !scale) return;
    const top = this.rulesTop();
    for (const sheet of this.sectionSheets ?? []) {
      if (!sheet) continue;
      sheet.context.clearRect(0, top, sheet.width, sheet.height - top);
      drawRules(sheet.context, palette, page, nowBeat, top, sheet.height);
      const wedges = this.hasWedges ? drawWedges(sheet.context, palette, page, top) : 0;
      drawDensity(sheet.context, palette, scale, lanes, top + wedges + 4, sheet.height);
    }
    const nowMs = performance.now();
    if (!this.foldSheet || nowMs - this.foldMs < FOLD_EVERY_MS) return;
    this.foldMs = nowMs;
    drawFold(this.foldSheet, palette, page, lanes, this.words());
  }

  /** @param {any[]} lanes */
  drawPitches(lanes) {
    const { page, palette, sizes, pitchSheet } = this;
    if (!page || !palette || !sizes || !pitchSheet) return;
    lanes.forEach((lane, i) => {
      const { top } = this.placeOf(i);
      drawPitch(pitchSheet.context, palette, page.time, lane, pitchSheet.width, top, sizes.laneHeight);
    });
  }
}
