// Keeps the lesson page up to date; without this script it is as true as its last reload.
"use strict";
(() => {
  const part = document.getElementById("live");
  if (!part) return;
  const needs = document.getElementById("needs");

  // A form being used or a menu that is open must not be pulled away.
  const busy = () => part.contains(document.activeElement) && document.activeElement.matches("input, textarea, select");

  function swap(piece) {
    const inside = [needs, part].some((one) => one.contains(document.activeElement));
    const focused = inside ? document.activeElement.id : "";
    const scrolled = [...part.querySelectorAll(".table-scroll")].map((box) => box.scrollLeft);
    const newer = piece.querySelector("#needs");
    newer.remove();
    needs.replaceChildren(...newer.childNodes);
    part.replaceChildren(piece);
    part.querySelectorAll(".table-scroll").forEach((box, place) => { box.scrollLeft = scrolled[place] || 0; });
    if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
  }

  function trouble(sentence) {
    document.getElementById("updated")?.classList.toggle("stale", Boolean(sentence));
    const place = document.getElementById("updated-trouble");
    if (place) place.textContent = sentence ? ` · ${sentence}` : "";
  }

  asking.follow(part.dataset.address, "#updated", {
    take(piece) {
      if (busy()) return false;
      swap(piece);
      return true;
    },
    well() {
      trouble("");
      const clock = part.querySelector("#updated time");
      if (clock) clock.textContent = new Date().toTimeString().slice(0, 8);
    },
    failed() { trouble(part.dataset.trouble); },
    barred() { trouble(part.dataset.signedOut); },
  });
})();
