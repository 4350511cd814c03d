// Keeps the lesson page up to date by asking for it again; 304 while nothing has changed.
// Without this script the page is as true as its last reload.
(() => {
  const part = document.getElementById("live");
  if (!part || !window.fetch) return;
  const EVERY = 2000, SLOWEST = 30000, TIMEOUT = 8000;
  let tag = "", wait = EVERY, timer = 0, asking = false;

  // A form being used or a menu that is open must not be pulled away.
  const busy = () => part.contains(document.activeElement) && document.activeElement.matches("input, textarea, select");

  function swap(text) {
    const focused = part.contains(document.activeElement) ? document.activeElement.id : "";
    const scrolled = [...part.querySelectorAll(".table-scroll")].map((box) => box.scrollLeft);
    part.innerHTML = text;
    part.querySelectorAll(".table-scroll").forEach((box, place) => { box.scrollLeft = scrolled[place] || 0; });
    if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
  }

  function trouble(sentence) {
    document.getElementById("updated")?.classList.toggle("stale", Boolean(sentence));
    const place = document.getElementById("updated-trouble");
    if (place) place.textContent = sentence ? ` · ${sentence}` : "";
  }

  async function ask() {
    if (asking || document.hidden) return;
    asking = true;
    const given = new AbortController();
    const limit = setTimeout(() => given.abort(), TIMEOUT);
    try {
      const answer = await fetch(part.dataset.address, {
        headers: { "X-Plumbfall": "script", ...(tag && { "If-None-Match": tag }) },
        signal: given.signal, redirect: "error", cache: "no-store",
      });
      if (answer.status === 401 || answer.status === 403 || answer.status === 404) {
        trouble(part.dataset.signedOut);
        wait = SLOWEST;
        return;
      }
      if (answer.status !== 304) {
        if (!answer.ok) throw new Error(String(answer.status));
        const text = await answer.text();
        if (!busy()) { swap(text); tag = answer.headers.get("ETag") || ""; }
      }
      trouble("");
      const clock = part.querySelector("#updated time");
      if (clock) clock.textContent = new Date().toTimeString().slice(0, 8);
      wait = EVERY;
    } catch {
      wait = Math.min(SLOWEST, wait * 2);
      trouble(part.dataset.trouble);
    } finally {
      clearTimeout(limit);
      asking = false;
      again();
    }
  }

  function again() {
    clearTimeout(timer);
    // Jitter, so that pages opened together do not ask together.
    if (!document.hidden) timer = setTimeout(ask, wait * (0.85 + Math.random() * 0.3));
  }

  document.addEventListener("visibilitychange", () => { if (!document.hidden) { wait = EVERY; ask(); } });
  window.addEventListener("online", () => { wait = EVERY; ask(); });
  again();
})();
