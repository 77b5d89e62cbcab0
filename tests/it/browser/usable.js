// What can be seen of a page's use by finger, keyboard and enlarged, asked in the page itself: each question answers with a line for
// every offence. Numbers in brackets are success criteria of WCAG 2.2. Must know no page.

const CONTROLS = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0'], [role=option]";

/** Whether a person sees it: laid out, not see-through, not kept for screen readers alone. */
const isSeen = (element) => {
  if (!element.checkVisibility({ opacityProperty: true, visibilityProperty: true })) return false;
  const box = element.getBoundingClientRect();
  return box.width > 1 && box.height > 1;
};

/** A modal dialog leaves nothing else to be used. */
const inUse = () => document.querySelector("dialog:modal") ?? document;

const named = (element) => {
  const text = element.getAttribute("aria-label") ?? element.textContent.trim().replace(/\s+/g, " ");
  const id = element.id ? `#${element.id}` : "";
  return `<${element.localName}${id}${element.name ? ` name=${element.name}` : ""}> "${text.slice(0, 40)}"`;
};

/** What a finger hits: for a box or a hidden button in a label the label, else the element. */
const hitBy = (element) => {
  const label = element.localName === "input" ? element.closest("label") : null;
  return label ?? element;
};

/** A link within a sentence, whose height is that of the words (exception of 2.5.8). */
const isInline = (element) => {
  if (element.localName !== "a" || getComputedStyle(element).display !== "inline") return false;
  const around = element.parentElement.textContent.trim().length;
  return around > element.textContent.trim().length;
};

const targets = () => {
  const all = [...new Set([...inUse().querySelectorAll(CONTROLS)].map(hitBy))].filter(isSeen);
  return all.filter((element) => !isInline(element)).map((element) => ({ element, box: element.getBoundingClientRect() }));
};

/** Targets under 24 px without as much room around them (2.5.8), and, where fingers are, controls under our own 44 px. */
const smallTargets = (own) => {
  const all = targets();
  const offences = [];
  for (const { element, box } of all) {
    const [width, height] = [Math.round(box.width), Math.round(box.height)];
    if (own > 0 && (width < own || height < own) && !element.matches("[role=option]")) {
      offences.push(`${named(element)} is ${width} by ${height} px, under ${own}`);
    }
    if (width >= 24 && height >= 24) continue;
    const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
    const near = all.find(({ element: other, box: b }) => {
      if (other === element || other.contains(element) || element.contains(other)) return false;
      const dx = Math.max(b.left - x, 0, x - b.right);
      const dy = Math.max(b.top - y, 0, y - b.bottom);
      return Math.hypot(dx, dy) < 12;
    });
    if (near) offences.push(`${named(element)} is ${width} by ${height} px beside ${named(near.element)} (2.5.8)`);
  }
  return offences;
};

/** What makes the page wider than its window (1.4.10). What moves sideways by itself may be as wide as it likes. */
const tooWide = () => {
  const width = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= width + 1) return [];
  const movesBy = (element) => {
    for (let e = element.parentElement; e; e = e.parentElement) {
      if (e !== document.body && e !== document.documentElement && getComputedStyle(e).overflowX !== "visible") return true;
    }
    return false;
  };
  const wide = [...document.querySelectorAll("body *")]
    .filter((element) => element.getBoundingClientRect().right + scrollX > width + 1 && isSeen(element) && !movesBy(element))
    .filter((element) => ![...element.children].some((child) => child.getBoundingClientRect().right + scrollX > width + 1));
  const names = wide.slice(0, 3).map(named).join(", ");
  return [`${document.documentElement.scrollWidth} px wide in ${width} (1.4.10): ${names}`];
};

/** Elements with words of their own that are cut off. */
const cut = () =>
  [...document.querySelectorAll("body *")].filter((element) => {
    const hasWords = [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim() !== "");
    if (!hasWords || !isSeen(element) || element.closest(".spoken, select, textarea, option")) return false;
    // What a lane has no room for stands in its text alternative, and in the lane when it is opened.
    if (element.closest("[role=option]")) return false;
    const style = getComputedStyle(element);
    const x = style.overflowX !== "visible" && element.scrollWidth > element.clientWidth + 2;
    const y = style.overflowY !== "visible" && style.overflowY !== "auto" && element.scrollHeight > element.clientHeight + 2;
    return x || y;
  });

/** What more space between lines, words and letters cuts off (1.4.12, with its own figures). */
const cutBySpacing = () => {
  const before = new Set(cut());
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; }
    p { margin-bottom: 2em !important; }`);
  document.adoptedStyleSheets.push(sheet);
  const offences = cut().filter((element) => !before.has(element)).map((element) => `${named(element)} is cut off (1.4.12)`);
  offences.push(...tooWide().map((line) => `with more space ${line}`));
  document.adoptedStyleSheets.pop();
  return offences;
};

/** Language, title, landmarks and headings (3.1.1, 2.4.2, 1.3.1, 2.4.6). */
const structure = (language) => {
  const offences = [];
  const lang = document.documentElement.lang;
  if (!lang.startsWith(language)) offences.push(`the page says lang="${lang}", not ${language} (3.1.1)`);
  if (document.title.trim() === "") offences.push("no title (2.4.2)");
  const mains = [...document.querySelectorAll("main, [role=main]")].filter(isSeen);
  if (mains.length !== 1) offences.push(`${mains.length} main parts (1.3.1)`);
  const heads = [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")].filter(
    (head) => head.checkVisibility() && !head.closest("dialog"),
  );
  const n = heads.filter((head) => head.localName === "h1").length;
  if (n !== 1) offences.push(`${n} headings of the first level (2.4.6)`);
  let last = 0;
  for (const head of heads) {
    const level = Number(head.localName[1]);
    if (level > last + 1) offences.push(`${named(head)} comes after level ${last} (1.3.1)`);
    last = level;
  }
  return offences;
};

/** Controls that Tab has to reach. Of radio buttons with one name it reaches one. */
const stops = () =>
  [...inUse().querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter(
    (element) => element.checkVisibility({ visibilityProperty: true }) && !element.disabled && element.tabIndex >= 0,
  );

/** Begins a walk by keyboard, at the beginning of what is in use. */
const walk = () => {
  window.walked = { reached: new Set(), offences: [], last: null, from: document.activeElement, stops: stops() };
  const start = document.querySelector("dialog:modal") ?? document.body;
  const had = start.getAttribute("tabindex");
  start.tabIndex = -1;
  start.focus({ preventScroll: true });
  if (had === null) start.removeAttribute("tabindex");
  getSelection()?.removeAllRanges();
};

/** After a press of Tab: false once the walk has come round. */
const step = () => {
  const element = document.activeElement;
  const { reached, offences } = window.walked;
  if (!element || element === document.body || reached.has(element)) return false;
  reached.add(element);
  if (walked.last && !(walked.last.compareDocumentPosition(element) & Node.DOCUMENT_POSITION_FOLLOWING)) {
    offences.push(`${named(element)} comes after ${named(walked.last)}, which stands later (2.4.3)`);
  }
  walked.last = element;
  // A label may show the focus of what is hidden in it.
  const shown = [element, element.closest("label")].filter(Boolean).map((e) => getComputedStyle(e));
  if (!shown.some((style) => style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2)) {
    offences.push(`${named(element)} does not show its focus (2.4.7)`);
  }
  const box = hitBy(element).getBoundingClientRect();
  const points = [0.5, 0.1, 0.9].flatMap((x) => [0.5, 0.1, 0.9].map((y) => [box.left + x * box.width, box.top + y * box.height]));
  const isFree = ([x, y]) => {
    const top = document.elementFromPoint(x, y);
    return top !== null && (hitBy(element).contains(top) || top.contains(element));
  };
  if (!points.some(isFree)) offences.push(`${named(element)} has the focus and cannot be seen (2.4.11)`);
  return true;
};

/** Ends the walk: what is wrong with it. */
const arrive = () => {
  const { reached, offences, from } = window.walked;
  const there = new Set(stops());
  const isReached = (element) =>
    reached.has(element) ||
    (element.type === "radio" && [...reached].some((other) => other.type === "radio" && other.name === element.name));
  // What has gone or come meanwhile on a page that is alive is no matter.
  for (const element of walked.stops.filter((stop) => there.has(stop))) {
    if (!isReached(element)) offences.push(`${named(element)} is not reached by Tab (2.1.1)`);
  }
  document.activeElement?.blur();
  from?.focus?.({ preventScroll: true });
  return offences;
};
