/* The second tap of a double tap on Send was meant for Send: it presses nothing that came up in its place. */
"use strict";
(function () {
  const form = document.getElementById("run");
  if (!form) return;
  const step = () => form.querySelector("section.step:not([hidden])").dataset.step;
  let before = "";
  document.addEventListener("click", (event) => {
    if (event.detail > 1 && before === "check" && step() === "sent") { event.preventDefault(); event.stopPropagation(); } else { before = step(); }
  }, true);
})();
