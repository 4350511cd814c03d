// The wall follows the class: it asks for a newer picture, waits for its figures, then swaps both at once.
"use strict";
(() => {
  const wall = document.getElementById("wall");
  const status = document.getElementById("wall-status");

  const picture = () => document.getElementById("picture");
  const form = (go) => document.querySelector(`form[data-go="${go}"]`);

  // A picture is shown only with its own figures: they are loaded first, and one that cannot be had means no swap.
  const ready = async (piece) => {
    const fresh = piece.querySelector("#picture");
    await Promise.all([...fresh.querySelectorAll("img")].map((image) => {
      const copy = new Image();
      copy.src = image.getAttribute("src");
      return copy.decode();
    }));
    return fresh;
  };

  const setValue = (go, value, usable) => {
    const button = form(go)?.querySelector("button");
    if (!button) return;
    button.value = value;
    if (usable) button.removeAttribute("aria-disabled"); else button.setAttribute("aria-disabled", "true");
  };

  const swap = (fresh) => {
    const old = picture();
    const focused = old.contains(document.activeElement) ? document.activeElement.className : null;
    const left = document.querySelector(".wall-numbers")?.scrollLeft, top = document.querySelector(".wall-numbers")?.scrollTop;
    const here = [window.scrollX, window.scrollY];
    document.adoptNode(fresh);
    fresh.classList.toggle("new-step", fresh.dataset.step !== old.dataset.step);
    old.replaceWith(fresh);
    const numbers = document.querySelector(".wall-numbers");
    if (numbers) { numbers.scrollLeft = left || 0; numbers.scrollTop = top || 0; }
    if (focused) fresh.getElementsByClassName(focused)[0]?.focus({ preventScroll: true });
    window.scrollTo(...here);
    const { step, previous, following, paused } = fresh.dataset;
    setValue("back", previous || step, Boolean(previous));
    setValue("forward", following || step, Boolean(following));
    const hold = form("pause")?.querySelector("button");
    if (hold) { hold.value = paused === "yes" ? "no" : "yes"; hold.setAttribute("aria-pressed", String(paused === "yes")); }
    say(fresh.dataset.status + (paused === "yes" ? " " + wall.dataset.held : ""), false);
  };

  const say = (words, stale) => {
    if (status.textContent.trim() !== words.trim()) status.textContent = words;
    status.classList.toggle("stale", stale);
  };

  const notOlder = (fresh) => Number(fresh.dataset.revision) >= Number(picture().dataset.revision);
  const silent = () => say(`${wall.dataset.silent} ${picture().dataset.status}`, true);
  const signedOut = () => say(wall.dataset.signedOut, true);

  const following = asking.follow(wall.dataset.picture, "#picture", {
    async take(piece) {
      const fresh = await ready(piece), now = picture().dataset;
      const held = now.paused === "yes" && fresh.dataset.paused === "yes" && now.step === fresh.dataset.step;
      if (!held && notOlder(fresh)) swap(fresh);
    },
    well() { if (status.classList.contains("stale")) say(picture().dataset.status, false); },
    failed(failures) { if (failures > 1) silent(); }, // one answer may get lost; two in a row are said
    barred: signedOut,
  });

  let sending = false;
  const send = async (address, data) => {
    if (sending) return;
    sending = true;
    try {
      const got = await asking.answer(address, { method: "POST", body: data });
      if (asking.BARRED.includes(got.status)) { signedOut(); return; }
      const fresh = await ready(asking.piece(got, "#picture"));
      if (notOlder(fresh)) { swap(fresh); following.holds(got.tag); }
    } catch { silent(); } finally { sending = false; following.now(); }
  };

  for (const own of document.querySelectorAll("form[data-go]")) {
    own.addEventListener("submit", (event) => {
      event.preventDefault();
      const button = own.querySelector("button[name]");
      if (button.getAttribute("aria-disabled") === "true") return;
      const data = new FormData(own);
      data.set(button.name, button.value);
      send(own.action, data);
    });
  }

  const go = (to) => {
    const own = form("forward");
    if (!own || !to || to === picture().dataset.step) return;
    const data = new FormData(own);
    data.set("to", to);
    send(wall.dataset.step, data);
  };

  // Arrows by hand, page keys from a clicker, Home and End for the ends.
  document.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (event.target.closest("input, select, textarea, .wall-numbers")) return;
    const rightwards = document.documentElement.dir === "rtl" ? "previous" : "following";
    const leftwards = rightwards === "following" ? "previous" : "following";
    const { previous, following } = picture().dataset;
    const ways = { ArrowRight: rightwards, ArrowLeft: leftwards, ArrowDown: "following", ArrowUp: "previous", PageDown: "following", PageUp: "previous" };
    if (event.key in ways) { event.preventDefault(); go(ways[event.key] === "following" ? following : previous); }
    else if (event.key === "Home") { event.preventDefault(); go("reported"); }
    else if (event.key === "End") { event.preventDefault(); go("ledger"); }
  });

  const full = document.getElementById("wall-full");
  if (document.fullscreenEnabled) {
    full.hidden = false;
    full.addEventListener("click", () => (document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen()));
  }

  // In full screen the controls go after a while without a key or a pointer, and any of these brings them back.
  const STAY = 4000;
  let going;
  const used = () => {
    clearTimeout(going);
    document.body.classList.remove("unused");
    if (document.fullscreenElement) going = setTimeout(() => document.body.classList.add("unused"), STAY);
  };
  for (const sign of ["fullscreenchange", "keydown", "pointermove", "pointerdown", "focusin"]) document.addEventListener(sign, used);
})();
