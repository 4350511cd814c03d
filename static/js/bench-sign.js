/* Decimal keypads lack a minus key on some phones: a button changes the sign of a temperature. */
"use strict";
document.querySelectorAll("[data-sign]").forEach((button) => {
  const input = document.getElementById(button.dataset.sign);
  button.hidden = false;
  button.addEventListener("click", () => {
    const text = input.value.trim();
    input.value = /^[-−]/.test(text) ? text.slice(1) : "−" + text;
    input.dispatchEvent(new Event("input", { bubbles: true })); input.focus();
  });
});
