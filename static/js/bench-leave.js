/* Leaving a page. Without the network the browser's error page would take this page's place, and no way leads back. */
"use strict";
(function () {
  const box = document.getElementById("queue");
  if (!box) return;
  let letGo = false;

  /* Ask first where the last answer did not come; stay, and say so, if none comes now. */
  async function whenReached(event, leave) {
    if (letGo || event.defaultPrevented || !bench.cutOff()) return;
    event.preventDefault();
    if (!await bench.reached()) { bench.notLeft(); box.scrollIntoView({ block: "center" }); return; }
    letGo = true; bench.leaving(); leave();
    setTimeout(() => { letGo = false; }, 3000);
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest && event.target.closest("a[href]");
    if (!link || link.getAttribute("href").startsWith("#") || event.ctrlKey || event.metaKey || event.shiftKey) return;
    whenReached(event, () => { location.href = link.href; });
  });
  document.addEventListener("submit", (event) => {
    whenReached(event, () => { event.target.requestSubmit(event.submitter); });
  });

  /* The wrong bench number put right: what was typed under it goes along. */
  const move = document.querySelector("[data-moving]");
  if (move) move.addEventListener("submit", () => { bench.store.put(bench.NAMES.moving, box.dataset.bench); });
})();
