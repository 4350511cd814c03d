/* The second tap of a double tap was meant for the screen that has just gone: it presses nothing of the next one. */
"use strict";
(function () {
  const form = document.getElementById("run");
  if (!form) return;
  const screen = () => form.querySelector("section.step:not([hidden])");
  let before = null;
  document.addEventListener("click", (event) => {
    if (event.detail > 1 && before !== screen()) { event.preventDefault(); event.stopPropagation(); } else { before = screen(); }
  }, true);
})();
