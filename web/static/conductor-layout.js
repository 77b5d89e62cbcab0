// How much room the conductor's page has, and how the raster is laid into it: one column of lanes or two, how high, how wide.
// Reads the page's sizes once at each change of them, never while the music runs. Knows no room and draws nothing.

import { lanePlaces } from "./raster-geometry.js";

/** A lane grows no taller than this, px, nor on a projector than that. */
const ROOMY_PX = 88;
const ROOMY_PROJECTOR_PX = 112;
/** Lanes under this height give their second line away, px. */
const CLOSE_PX = 42;
/** Width under which the raster gives way to words, and from which two columns fit, px; the style sheets have both too. */
const NARROW_PX = 700;
const HALVES_PX = 1100;
/** What stands above and below the lanes, px. A figure, not measured: the lanes' own look must not decide their look. */
const FRAME_PX = 294;
const FRAME_PROJECTOR_PX = 410;
/** The line about the exercise is in that frame, px. */
const ABOVE_PX = 34;
/** What a section lane that is low gives back, px. */
const LOW_SECTION_PX = 50;
/** A raster wider than this is read from the back of a room, px. */
const LARGE_PX = 900;
/** Height of the words on how to join, px. */
const MORE_PX = 120;

export class ConductorLayout {
  /** @param {import("./page-elements.js").PageElements} elements */
  constructor(elements) {
    this.elements = elements;
  }

  /** @param {string} id */
  at(id) {
    return this.elements.at(id);
  }

  /**
   * Lays the lanes out.
   * @param {number} nLanes
   * @param {boolean} isPlaying
   * @returns {import("./raster-papers.js").Sizes}
   */
  fit(nLanes, isPlaying) {
    const { body } = this.elements.page;
    // Sizes are those of the usual type; who reads larger gets larger lanes.
    const scale = parseFloat(getComputedStyle(this.elements.page.documentElement).fontSize) / 16 || 1;
    const isProjector = window.innerWidth >= 1700 && window.innerHeight >= 860;
    const frame = (isProjector ? FRAME_PROJECTOR_PX : FRAME_PX) * scale;
    const roomy = (isProjector ? ROOMY_PROJECTOR_PX : ROOMY_PX) * scale;
    const isNarrow = window.innerWidth < NARROW_PX;
    const estimate = window.innerHeight - frame - this.extraHeight() + LOW_SECTION_PX * scale;
    const { nColumns, nRows } = lanePlaces(estimate, nLanes, roomy, window.innerWidth >= HALVES_PX * scale, scale);
    // On a phone's width the page scrolls and lanes are as high as their words.
    body.dataset.room = !isNarrow && estimate / nRows - (LOW_SECTION_PX * scale) / nRows < CLOSE_PX * scale ? "close" : "wide";
    body.dataset.columns = String(nColumns);
    const area = this.at("lanes-area");
    const lanes = this.at("lanes");
    lanes.style.setProperty("--rows", String(nRows));
    const { laneHeight } = lanePlaces(area.clientHeight, nLanes, roomy, nColumns === 2, scale);
    lanes.style.setProperty("--lane-height", `${laneHeight}px`);
    const used = Math.min(nRows * laneHeight, area.clientHeight);
    this.placeRules(area.offsetTop + used);
    // While the music is off and there is room for more lanes, the page tells how to get one.
    this.at("more").hidden = isPlaying || area.clientHeight - used < MORE_PX;
    const section = this.at("section-window");
    const pitch = this.at("pitch-canvas");
    return {
      rasterWidth: isNarrow ? 0 : section.clientWidth,
      sectionHeight: section.clientHeight,
      type: scale * (section.clientWidth > LARGE_PX ? 1.5 : 1),
      laneHeight,
      nColumns,
      nRows,
      foldWidth: this.at("fold-canvas").clientWidth,
      pitchWidth: pitch.clientWidth,
    };
  }

  /** @param {number} bottom px from the raster's top */
  placeRules(bottom) {
    const windows = [this.at("section-window"), this.at("section-window-2")];
    [this.at("now"), this.at("now-2")].forEach((rule, column) => {
      rule.style.left = `${windows[column].offsetLeft}px`;
      rule.style.height = `${bottom - parseFloat(getComputedStyle(rule).top)}px`;
    });
  }

  /** What notices, a suggestion and opened controls take besides the usual frame, px. None of it depends on how lanes look. */
  extraHeight() {
    return Math.max(0, this.at("above").offsetHeight - ABOVE_PX) + this.at("setup").offsetHeight;
  }
}
