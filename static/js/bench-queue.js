/* Readings wait on this phone until the server's answer names the run they became. */
"use strict";
(function () {
  const { NAMES, store, newKey, isKey, filled, element } = bench;
  const box = document.getElementById("queue");
  const words = JSON.parse(box.dataset.words);
  /* Own choice. The jitter is wide, since a whole class comes back onto the network at once. */
  const PACE = { every: 1500, slowest: 45000, jitter: 0.5 };
  const tab = newKey(), here = Number(box.dataset.bench), practical = Number(box.dataset.practical), listeners = [];
  let token = box.dataset.token, sending = false, wayOut = false, notice = "", arrived = "", keeps = true, unanswered = false, stay = "";
  const toAsk = (box.dataset.ask || "").split(" ").filter(Boolean).map(Number);

  /* A row as written by this page, or null for anything else that is found in its place. */
  function sound(row) {
    const good = row && row.v === 1 && isKey(row.key) && Number.isInteger(row.bench)
      && row.fields && typeof row.fields === "object" && !Array.isArray(row.fields)
      && Object.values(row.fields).every((text) => typeof text === "string" && text.length <= 400);
    return good ? row : null;
  }

  function rows() {
    return store.names().filter((name) => name.startsWith(NAMES.run)).sort().map((name) => {
      const row = sound(store.read(name));
      return row && name === NAMES.run + row.key ? row : { name, broken: true, text: (store.get(name) || "").slice(0, 2000) };
    }).sort((a, b) => (a.at || 0) - (b.at || 0));
  }
  /* Typed while this phone spoke for another bench. */
  const elsewhere = (row) => !row.broken && here && row.bench !== here;
  const mayGo = (row) => !row.broken && row.state !== "refused" && !elsewhere(row);

  function keep(row) { return keeps = store.put(NAMES.run + row.key, JSON.stringify(row)); }
  function drop(row) { store.drop(row.broken ? row.name : NAMES.run + row.key); draw(); }

  /* One answer; null where none came in time, and no data where something else answered (a sign-in page). */
  async function ask(url, options) {
    try {
      const answer = await asking.data(url, { ...options, headers: { "X-CSRFToken": token } });
      unanswered = false;
      if (stay) { stay = ""; draw(); }
      return answer;
    } catch { unanswered = true; return null; }
  }

  /* Like `ask`, with a new form token where this page's own has gone stale. */
  async function post(url, body, patience) {
    const first = await ask(url, { method: "POST", body, patience });
    if (!first || first.status !== 400) return first;
    const fresh = await ask(box.dataset.tokenUrl, { patience });
    if (!fresh || !fresh.data || typeof fresh.data.token !== "string") return first;
    token = fresh.data.token;
    return ask(url, { method: "POST", body, patience });
  }

  /* Readings and the marks of those that the bench said to keep, as a form without script would send them. */
  function bodyOf({ fields, kept }) {
    const body = new URLSearchParams(fields);
    (kept || []).forEach((mark) => body.append("kept", mark));
    return body;
  }

  async function sendOne(row) {
    const body = bodyOf(row);
    body.set("key", row.key); body.set("bench", row.bench); body.set("client_time", new Date(row.at).toISOString());
    body.set("waiting", rows().length - 1);
    const answer = await post(box.dataset.sendUrl, body);
    const data = answer && answer.data, status = answer ? answer.status : 0;
    if (status === 200 && data.saved && data.saved.key === row.key && Number.isInteger(data.saved.run)) {
      saved(row.key, data.saved.run); drop(row);
      if (data.saved.ask === true && !toAsk.includes(data.saved.run)) { toAsk.push(data.saved.run); draw(); }
      if (!tell("saved", { key: row.key, run: data.saved.run, how: data.how })) arrived = filled(data.saved.waits === true ? words.arrived_waits : words.arrived, { run: data.saved.run });
      return "saved";
    }
    notice = !answer ? words.kept_here : !data ? words.foreign : ""; /* what held it before may hold no longer */
    if (!data || typeof data.problem !== "string") return "offline";
    if (status === 422) { keep({ ...row, state: "refused", sentence: data.problem, taken: data.taken === true }); tell("refused", { row, data }); return "refused"; }
    if (status === 401 || status === 410) { notice = data.problem; return "stopped"; }
    if (status === 409) { keep({ ...row, state: "held", sentence: data.problem }); tell("held", { row, data }); return "held"; }
    notice = data.problem;
    return "offline";
  }

  /* Only one tab sends at a time; should two ever do, the run's key still makes it one run. */
  function locked() {
    const held = store.read(NAMES.sending), now = Date.now();
    if (held && held.tab !== tab && held.until > now && held.until < now + 60000) return true;
    store.put(NAMES.sending, JSON.stringify({ tab, until: now + asking.PATIENCE + 2000 }));
    return false;
  }

  async function sendAll() {
    if (locked()) return "";
    sending = true; notice = ""; draw();
    let last = "";
    for (const row of rows().filter(mayGo)) {
      last = await sendOne(row);
      if (last === "offline" || last === "stopped") break;
    }
    sending = false; store.drop(NAMES.sending);
    draw();
    if (known && arrived && untouched()) { leaving(); location.reload(); } /* its list of runs is older than that */
    return last === "saved" ? "well" : "failed";
  }

  /* What another tab sent meanwhile goes from this page too. */
  function flush() { draw(); rounds.now(); }

  function asText() {
    return rows().map((row) => row.broken ? row.text : [new Date(row.at).toLocaleString(), words.bench + " " + row.number,
      ...Object.entries(row.fields).filter(([name, text]) => text && words.fields[name]).map(([name, text]) =>
        words.fields[name] + ": " + text + " " + (row.fields[name + "_unit"] || ""))].join(" · ")).join("\n");
  }

  function change(row) {
    if (document.getElementById("run")) { tell("change", { row }); return; }
    store.put(NAMES.change, row.key); leaving(); location.href = box.dataset.runUrl;
  }

  /* The people at the bench say whose it is. */
  function adopt(row) { keep({ ...row, bench: here, number: Number(box.dataset.number), state: "waiting" }); flush(); }

  function button(text, act, look) {
    const made = element("button", text, { type: "button", className: look || "" });
    made.addEventListener("click", act);
    return made;
  }

  /* What the phone holds, in words. Only text is ever put on the page. */
  function draw() {
    const held = rows(), refused = held.filter((row) => !mayGo(row)), status = box.querySelector("[role=status]");
    const waiting = held.length - refused.length, lines = [];
    if (waiting) lines.push((sending ? words.sending : words.waiting) + " " + waiting + ".");
    if (waiting && !sending) lines.push(notice || (held.find((row) => row.state === "held") || {}).sentence || words.kept_here);
    if (arrived && !toAsk.length) lines.push(arrived);
    if (!keeps) lines.push(words.no_storage);
    if (stay) lines.push(stay);
    toAsk.forEach((run) => lines.push(filled(words.ask, { run })));
    if (status.textContent !== lines.join(" ")) status.textContent = lines.join(" ");
    box.classList.toggle("holds", lines.length > 0 || refused.length > 0);
    box.classList.toggle("well", lines.length === 1 && lines[0] === arrived && !refused.length);
    const list = box.querySelector("ul");
    list.replaceChildren(...refused.map((row) => {
      const item = element("li", row.broken ? words.unreadable : elsewhere(row) ? (row.practical === practical ? filled(words.elsewhere, { number: row.number }) : words.other_class) : words.refused + " " + (row.sentence || ""));
      if (elsewhere(row)) { if (row.practical === practical) item.append(button(words.adopt, () => adopt(row))); }
      else if (!row.broken && box.dataset.runUrl) item.append(button(words.change, () => change(row)));
      item.append(button(words.discard, () => { if (confirm(words.discard_sure)) drop(row); }, "plain harm"));
      return item;
    }));
    toAsk.forEach((run) => {
      const item = element("li", "");
      item.append(element("a", filled(words.look, { run }), { className: "button", href: box.dataset.runsUrl + "#run-" + run }));
      list.append(item);
    });
    const more = box.querySelector("details");
    more.hidden = !held.length;
    const text = asText(), area = more.querySelector("textarea");
    if (area.value !== text) { area.value = text; box.querySelector("[data-copied]").textContent = ""; }
  }

  function copy() {
    const area = box.querySelector("textarea");
    area.select();
    const done = document.execCommand("copy");
    box.querySelector("[data-copied]").textContent = done ? words.copied : words.copy_by_hand;
  }

  /* The server listed these keys as stored: nothing of them needs to wait here any more. */
  function stored(keys) { rows().forEach((row) => { if (!row.broken && keys.includes(row.key)) drop(row); }); }

  /* A way out that this page itself opened needs no warning: what waits goes on waiting on the next page. */
  function leaving() { wayOut = true; setTimeout(() => { wayOut = false; }, 3000); }

  /* Whether this page should not be left untried, whether the class's computer answers, and that it did not. */
  const cutOff = () => !navigator.onLine || unanswered;
  async function reached() { return Boolean(await ask(box.dataset.tokenUrl, { patience: 4000 })); }
  function notLeft() { stay = words.stay; draw(); }
  function moveOn() { if (arrived) { arrived = ""; draw(); } }
  const untouched = () => Array.from(document.querySelectorAll("main input")).every((input) => input.value === input.defaultValue);

  /* The numbers of the last runs saved from this phone, for the other tabs. */
  function saved(key, run) { store.put(NAMES.saved, JSON.stringify([[key, run], ...savedList()].slice(0, 20))); }
  function savedList() { const list = store.read(NAMES.saved); return Array.isArray(list) ? list.filter(Array.isArray) : []; }
  function savedAs(key) { const found = savedList().find((pair) => pair[0] === key); return found && Number.isInteger(found[1]) ? found[1] : 0; }

  /* Whether a listener says it on the page itself. */
  function tell(what, detail) { return listeners.map((listener) => listener(what, detail)).some(Boolean); }

  box.hidden = false;
  box.querySelector("[data-copy]").addEventListener("click", copy);
  box.querySelector("[data-now]").addEventListener("click", flush);
  addEventListener("pageshow", flush);
  addEventListener("storage", (event) => {
    if (event.key && !event.key.startsWith(NAMES.run)) return;
    draw();
    if (event.key && !event.newValue) { const key = event.key.slice(NAMES.run.length); tell("saved", { key, run: savedAs(key) }); }
  });
  document.addEventListener("submit", (event) => { if (!event.defaultPrevented) leaving(); });
  document.addEventListener("click", (event) => { if (event.target.closest && event.target.closest("a[href]")) leaving(); });
  addEventListener("beforeunload", (event) => { if (!wayOut && (rows().length || (cutOff() && document.getElementById("run")))) event.preventDefault(); });
  const known = document.querySelector("[data-stored-keys]");
  if (known) stored(known.dataset.storedKeys.split(" "));
  keeps = store.works();
  draw();
  /* A phone that lies face down goes on sending: only a page without unsent runs asks nothing. */
  const rounds = asking.repeat(sendAll, { ...PACE, needed: () => rows().some(mayGo) });
  Object.assign(bench, { words, rows, keep, drop, flush, post, bodyOf, leaving, untouched, cutOff, reached, notLeft, moveOn, savedAs,
    hear(listener) { listeners.push(listener); } });
})();
