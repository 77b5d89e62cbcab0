// Says so where a browser is too old for the page, or the page did not start: nobody looks at a page that stays still. A classic
// script in the oldest syntax, since a browser that is too old reads no other; the texts stand in the page.

(function () {
  var page = document;

  /** What the page cannot do without; the versions that have it are named beside the text. */
  function isTooOld() {
    return (
      !("noModule" in page.createElement("script")) ||
      typeof WebAssembly !== "object" ||
      !window.Worker ||
      !window.AudioContext ||
      !window.ResizeObserver ||
      !(window.HTMLDialogElement && window.HTMLDialogElement.prototype.showModal)
    );
  }

  /** @param {string} id */
  function tell(id) {
    var told = page.getElementById(id);
    var form = page.getElementById("join-view");
    if (!told || told.getAttribute("hidden") === null) return;
    told.removeAttribute("hidden");
    if (form) form.setAttribute("hidden", "");
  }

  if (isTooOld()) {
    tell("too-old");
    return;
  }
  // Modules have run by then, or did not load, or were not understood.
  window.addEventListener("load", function () {
    if (page.documentElement.getAttribute("data-started") !== "yes") tell("not-started");
  });
})();
