/* A second tap of the same finger was meant for the screen before: for a moment after each change of screen no tap
   does anything. The stylesheet lets taps through to nothing meanwhile; a tap that began then ends as nothing too. */
"use strict";
(function () {
  const MOMENT = 400, page = document.documentElement; /* milliseconds: our own choice, about a double tap's */
  let clock = 0, early = false;
  const isStill = () => page.classList.contains("still");
  const swallow = (event) => { event.preventDefault(); event.stopImmediatePropagation(); };

  function still() {
    page.classList.add("still");
    clearTimeout(clock);
    clock = setTimeout(() => page.classList.remove("still"), MOMENT);
  }
  addEventListener("pointerdown", (event) => { early = isStill(); if (early) swallow(event); }, true);
  /* The keyboard's clicks have no detail: a key is not pressed by the finger that is on its way up. */
  addEventListener("click", (event) => { if (event.detail && (early || isStill())) swallow(event); }, true);
  addEventListener("pageshow", still);

  bench.still = still;
  still();
})();
