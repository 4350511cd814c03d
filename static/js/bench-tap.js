/* A second tap of the same finger was meant for the screen that has just gone: it presses nothing of the next one. */
"use strict";
(function () {
  const form = document.getElementById("run");
  if (!form) return;
  const here = () => form.querySelector("section.step:not([hidden])");
  let last = { at: -1000, x: 0, y: 0, screen: null };
  document.addEventListener("click", (event) => {
    const near = Math.hypot(event.clientX - last.x, event.clientY - last.y) < 24;
    if (event.detail && near && event.timeStamp - last.at < 400 && last.screen !== here()) {
      event.preventDefault(); event.stopPropagation(); return;
    }
    last = { at: event.timeStamp, x: event.clientX, y: event.clientY, screen: here() };
  }, true);
})();
