/* What this phone keeps in the browser's storage, and under which name; the tools that every script of the phone uses. */
"use strict";
window.bench = (function () {
  const NAMES = {
    run: "plumbfall-run-", /* + key: a run that was sent, until the server names it */
    draft: "plumbfall-draft-", /* + bench: what is being typed */
    count: "plumbfall-count", /* falls counted so far */
    sending: "plumbfall-sending", /* which tab sends */
    saved: "plumbfall-saved", /* the last runs that the server named, for the other tabs */
    change: "plumbfall-change", /* the key of a run to be put back into the form on the next page */
    moving: "plumbfall-moving", /* the wrong bench whose draft moves to the right one */
  };

  /* Storage may be forbidden, full or filled by something else: every touch of it may fail. */
  const store = {
    get(name) { try { return localStorage.getItem(name); } catch { return null; } },
    put(name, text) { try { localStorage.setItem(name, text); return localStorage.getItem(name) === text; } catch { return false; } },
    drop(name) { try { localStorage.removeItem(name); } catch { /* nothing was kept */ } },
    names() { try { return Object.keys(localStorage); } catch { return []; } },
    works() { const ok = this.put("plumbfall-try", "tried"); this.drop("plumbfall-try"); return ok; },
    read(name) { try { return JSON.parse(this.get(name)); } catch { return null; } },
  };

  /* Plain http has no crypto.randomUUID. 128 bits in hex. */
  function newKey() {
    return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
  }
  const isKey = (text) => /^[0-9a-f]{32}$/.test(text);

  /* A sentence with its {names} filled in; a function, because "$" in typed text would mean something to `replace`. */
  const filled = (sentence, values) => Object.entries(values).reduce((said, [name, value]) => said.replace("{" + name + "}", () => value), sentence);
  /* A new element; what it says goes in as text, never as HTML. */
  const element = (tag, text, more) => Object.assign(document.createElement(tag), { textContent: text }, more);

  return { NAMES, store, newKey, isKey, filled, element };
})();
