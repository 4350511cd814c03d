/* Asking the server: how long an answer may take, which answer is ours, and when to ask next.
   The board, the lesson page and the phone's queue all ask through this file. */
"use strict";
window.asking = (function () {
  /* Milliseconds until an answer is given up, its body included. Times and jitter: our own choice. */
  const PATIENCE = 8000;
  /* A page that follows the class. Jitter is the part of a wait that chance adds or takes away: pages opened together
     do not ask together. */
  const POLL = { every: 2000, slowest: 30000, jitter: 0.2 };
  /* Signed out, not allowed, gone: asking more often does not help. */
  const BARRED = [401, 403, 404];

  /* One answer as text; rejects where none came in time. A redirect is not followed, since on a school's network it
     mostly leads to a sign-in page that is not ours: its status is 0. */
  async function answer(address, { patience = PATIENCE, headers, ...options } = {}) {
    const stop = new AbortController(), clock = setTimeout(() => stop.abort(), patience);
    try {
      const response = await fetch(address, { redirect: "manual", cache: "no-store", ...options, signal: stop.signal,
        headers: { "X-Plumbfall": "script", ...headers } });
      return { status: response.status, tag: response.headers.get("ETag") || "",
        type: response.headers.get("Content-Type") || "", text: await response.text() };
    } finally { clearTimeout(clock); }
  }

  /* One answer as an object; status 0 and no data where something else than our server answered. */
  async function data(address, options = {}) {
    const got = await answer(address, { ...options, headers: { Accept: "application/json", ...options.headers } });
    let read = null;
    if (got.type.startsWith("application/json")) try { read = JSON.parse(got.text); } catch { /* not ours */ }
    return read && typeof read === "object" ? { status: got.status, data: read } : { status: 0, data: null };
  }

  /* The piece of a page that an answer brings; throws where it is no such piece (another server's page, an error). */
  function piece(got, mark) {
    const template = document.createElement("template");
    if (got.status === 200) template.innerHTML = got.text;
    if (!template.content.querySelector(mark)) throw new Error("not ours: " + got.status);
    return template.content;
  }

  /* Call `act` again and again, never twice at once, while `needed` says so. It returns "well", "failed", "barred",
     or nothing where it did not ask. Each failure in a row doubles the wait, up to `slowest`. A page that comes back
     into view or onto the network asks at once, and its waits begin anew. */
  function repeat(act, { every, slowest, jitter, needed }) {
    let failures = 0, timer = 0, acting = false, again = false;
    function later() {
      clearTimeout(timer);
      const wait = Math.min(slowest, every * 2 ** failures);
      if (needed()) timer = setTimeout(turn, wait * (1 - jitter + 2 * jitter * Math.random()));
    }
    async function turn() {
      clearTimeout(timer);
      if (acting) { again = true; return; }
      if (!needed()) return;
      acting = true;
      try {
        const outcome = await act(failures);
        if (outcome === "well") failures = 0;
        if (outcome === "failed") failures += 1;
        if (outcome === "barred") failures = Infinity;
      } finally {
        acting = false;
        if (again) { again = false; turn(); } else later();
      }
    }
    function now() { failures = 0; turn(); }
    document.addEventListener("visibilitychange", () => { if (!document.hidden) now(); });
    addEventListener("online", now);
    later();
    return { now };
  }

  /* Keep a piece of this page as the server has it; a hidden page asks nothing. `take` gets the newer piece and
     returns false to be given it again; `failed` gets the number of failures in a row. `tag` names the piece that is
     there already, `needed` says whether anybody looks, and `every` how often to ask. `holds` is told the tag of a
     piece that came another way. */
  function follow(address, mark, { take, well, failed, barred, tag = "", needed = () => true, every = POLL.every }) {
    async function ask(failures) {
      try {
        const got = await answer(address, { headers: tag ? { "If-None-Match": tag } : {} });
        if (BARRED.includes(got.status)) { barred(); return "barred"; }
        if (got.status !== 304 && await take(piece(got, mark)) !== false) tag = got.tag;
        well();
        return "well";
      } catch { failed(failures + 1); return "failed"; }
    }
    const asks = repeat(ask, { ...POLL, every, needed: () => !document.hidden && needed() });
    return { ...asks, holds(newer) { tag = newer; } };
  }

  return { PATIENCE, BARRED, answer, data, piece, repeat, follow };
})();
