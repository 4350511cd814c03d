// The wall follows the class: it asks for a newer picture, waits for its figures, then swaps both at once.
"use strict";
(() => {
  const wall = document.getElementById("wall");
  const status = document.getElementById("wall-status");
  const PAUSE = 2000, SLOWEST = 30000, PATIENCE = 8000;
  let tag = null, wait = PAUSE, timer = 0, asking = false, again = false;

  const picture = () => document.getElementById("picture");
  const form = (go) => document.querySelector(`form[data-go="${go}"]`);

  const fetched = async (address, options = {}) => {
    const stop = new AbortController();
    const limit = setTimeout(() => stop.abort(), PATIENCE);
    try {
      return await fetch(address, { ...options, signal: stop.signal, cache: "no-store", credentials: "same-origin",
        headers: { "X-Plumbfall": "script", ...options.headers } });
    } finally { clearTimeout(limit); }
  };

  // A picture is shown only with its own figures: they are loaded first, and one that cannot be had means no swap.
  const ready = async (html) => {
    const template = document.createElement("template");
    template.innerHTML = html;
    const fresh = template.content.querySelector("#picture");
    if (!fresh) throw new Error("not a picture");
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

  const take = async (response) => {
    const fresh = await ready(await response.text());
    const now = picture().dataset;
    const held = now.paused === "yes" && fresh.dataset.paused === "yes" && now.step === fresh.dataset.step;
    if (!held && Number(fresh.dataset.revision) >= Number(now.revision)) swap(fresh);
  };

  const ask = async () => {
    clearTimeout(timer);
    if (asking) { again = true; return; }
    asking = true;
    try {
      const response = await fetched(wall.dataset.picture, tag ? { headers: { "If-None-Match": tag } } : {});
      if (response.status === 401) { say(wall.dataset.signedOut, true); wait = SLOWEST; }
      else if (response.status === 304) { recover(); }
      else if (response.ok && !response.redirected) { await take(response); tag = response.headers.get("ETag"); recover(); }
      else throw new Error(String(response.status));
    } catch {
      tag = null;
      wait = Math.min(wait * 2, SLOWEST);
      if (wait > 2 * PAUSE) say(`${wall.dataset.silent} ${picture().dataset.status}`, true);
    } finally {
      asking = false;
      if (again) { again = false; ask(); } else later();
    }
  };

  const recover = () => {
    wait = PAUSE;
    if (status.classList.contains("stale")) say(picture().dataset.status, false);
  };

  // Jitter keeps several walls and laptops from asking in step; a hidden page asks nothing.
  const later = () => { clearTimeout(timer); if (!document.hidden) timer = setTimeout(ask, wait * (0.8 + 0.4 * Math.random())); };

  let sending = false;
  const send = async (address, data) => {
    if (sending) return;
    sending = true;
    try {
      const response = await fetched(address, { method: "POST", body: data });
      if (response.status === 401) { say(wall.dataset.signedOut, true); return; }
      if (!response.ok) throw new Error(String(response.status));
      const fresh = await ready(await response.text());
      if (Number(fresh.dataset.revision) >= Number(picture().dataset.revision)) swap(fresh);
      tag = null;
    } catch {
      say(`${wall.dataset.silent} ${picture().dataset.status}`, true);
    } finally { sending = false; ask(); }
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
  document.addEventListener("visibilitychange", () => { if (!document.hidden) ask(); });
  window.addEventListener("online", ask);
  later();
})();
