// The made-up class plays itself while this page asks; its buttons go without a reload.
"use strict";
(() => {
  const place = document.getElementById("first"), told = document.getElementById("first-told");
  const trouble = document.getElementById("first-trouble");
  if (!place) return;
  // The first values of a class take a server some seconds.
  const EVERY = 1000, PATIENCE = 20000;
  const now = () => document.getElementById("first-now");
  const token = () => place.querySelector("input[name=csrf_token]").value;

  function silent(sentence) {
    trouble.hidden = !sentence;
    if (sentence) trouble.textContent = sentence;
  }

  // A picture comes with its figure: the one that the browser will choose is loaded before the swap.
  async function ready(fresh) {
    const image = fresh.querySelector(".first-stage img");
    if (!image) return;
    const chosen = [...fresh.querySelectorAll("source")].find((one) => matchMedia(one.media).matches);
    const copy = new Image();
    copy.src = chosen ? chosen.srcset : image.getAttribute("src");
    await copy.decode();
  }

  async function show(piece) {
    const fresh = piece.querySelector("#first-now"), old = now();
    const same = fresh.dataset.place === old.dataset.place && fresh.dataset.pace === old.dataset.pace;
    if (same) {
      old.querySelector("progress").value = fresh.querySelector("progress").value;
      return;
    }
    await ready(fresh);
    const moved = fresh.dataset.place !== old.dataset.place;
    const inside = old.contains(document.activeElement) ? document.activeElement.id : "";
    old.replaceWith(document.adoptNode(fresh));
    if (inside) (document.getElementById(inside) || fresh.querySelector("button.main"))?.focus({ preventScroll: true });
    if (moved) told.textContent = [...fresh.querySelectorAll("#first-says, .first-would")].map((one) => one.textContent).join(" ");
  }

  let turn = Promise.resolve(), behind = false;

  // One question at a time: a press waits for the answer that is on its way, and is never lost.
  function ask(name, value) {
    const data = new FormData();
    data.set("csrf_token", token());
    if (name) data.set(name, value);
    turn = turn.then(async () => {
      try {
        const got = await asking.answer(place.dataset.address, { method: "POST", body: data, patience: PATIENCE });
        if (asking.BARRED.includes(got.status)) { silent(trouble.dataset.gone); return "barred"; }
        await show(asking.piece(got, "#first-now"));
        silent("");
        behind = false;
        return "well";
      } catch { silent(trouble.dataset.silent); behind = true; return "failed"; }
    });
    return turn;
  }

  const playing = asking.repeat(() => ask(), {
    every: EVERY, slowest: 30000, jitter: 0, needed: () => !document.hidden && (behind || now().dataset.goesOn === "yes"),
  });

  place.addEventListener("submit", async (event) => {
    if (!event.target.matches("[data-turn]") || !event.submitter) return;
    event.preventDefault();
    await ask(event.submitter.name, event.submitter.value);
    playing.now();
  });
})();
