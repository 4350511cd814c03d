/* The run on the phone: one screen a step, nothing typed is lost, and no step waits for the network. */
"use strict";
(function () {
  const form = document.getElementById("run");
  if (!form) return;
  const { NAMES, store, newKey, filled, element, post, bodyOf, leaving } = bench, { fields, kept, setKept, markOf, fill } = bench.draft, { ask, swapped } = bench.asked;
  const words = JSON.parse(form.dataset.words);
  const STEPS = ["weigh", "tube", "start", "count", "end", "check"], PROGRESS = { start: "joined", count: "start read", end: "counting", check: "end read" };
  const onePage = form.classList.contains("page");
  const all = (selector) => Array.from(form.querySelectorAll(selector)), one = (selector) => form.querySelector(selector);
  const section = (step) => one(`section[data-step="${step}"]`), bar = one("[data-bar]");
  let step = form.dataset.step, offline = false, told = "", high = innerHeight, telling = Promise.resolve();
  if (!store.works()) return; /* Plain forms then: the server keeps what is typed. */

  const save = () => bench.draft.save(step);

  /* ---- going from step to step ---- */
  function show(wanted, focus) {
    step = wanted; bench.still();
    const here = STEPS.indexOf(step);
    all("section[data-step]").forEach((part) => { part.hidden = part.dataset.step !== step && !(onePage && step === "all" && STEPS.slice(0, 5).includes(part.dataset.step)); });
    all(".string li").forEach((bead, i) => { bead.className = i === here ? "here" : (i < here ? "done" : ""); });
    const count = one("[data-step-count]"), string = one(".string");
    if (string) string.hidden = here < 0;
    if (count) { count.hidden = here < 0; count.textContent = filled(count.dataset.words, { here: here + 1 }); }
    const carried = one("[data-carried]");
    if (carried) carried.hidden = !carriedWords() || step !== "start";
    bar.hidden = step === "sent";
    one(".other-way").hidden = ["check", "sent"].includes(step);
    one('[data-go="back"]').hidden = step === "weigh" || step === "all";
    const next = one('[data-go="next"]');
    next.hidden = step === "check";
    next.textContent = step === "end" || step === "all" ? next.dataset.check : next.dataset.next;
    if (step !== "check") one('[data-go="send"]').hidden = true;
    form.action = form.action.replace(/[^/]*$/, STEPS.includes(step) ? step : "weigh");
    if (!focus) return;
    scrollTo(0, 0);
    (emptyFirst() || (section(step) || form).querySelector("h1[tabindex], h2[tabindex]")).focus();
  }
  /* The step's first field while nothing stands in it; none while counting, where the button comes first. */
  function emptyFirst() {
    const first = section(step) && section(step).querySelector("input:not([type=hidden])");
    return first && !first.value && step !== "count" ? first : null;
  }
  const carriedWords = () => one("[data-carried] bdi").textContent;
  function go(wanted) { bench.moveOn(); document.querySelectorAll("main > .notice, .problems").forEach((old) => old.remove()); one("[data-asked]").replaceChildren(); save(); show(wanted, true); save(); history.pushState({ step: wanted }, ""); if (wanted === "check") check(); }
  function problem(name, sentence) {
    const input = form.elements[name], said = document.getElementById(name + "-problem");
    said.textContent = sentence || ""; said.hidden = !sentence;
    said.closest(".field").classList.toggle("has-problem", Boolean(sentence));
    if (sentence && input.closest("details")) input.closest("details").open = true;
    if (sentence) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
  }
  const namesIn = (part) => Array.from(part.querySelectorAll("[data-field]"), (box) => box.dataset.field);
  const namesWith = (attribute) => all(`[data-field][${attribute}]`).map((box) => box.dataset.field), needed = (name) => namesWith("data-needed").includes(name);
  const inOrder = (problems) => namesIn(form).filter((name) => problems[name]);
  /* The step where a field is typed; the first where there is no field. */
  const stepOf = (name) => onePage ? "all" : name ? form.elements[name].closest("section").dataset.step : STEPS[0];
  const shownNames = () => onePage && step === "all" ? STEPS.slice(0, 5).flatMap((name) => namesIn(section(name))) : namesIn(section(step));

  async function look(what, patience) {
    const body = bodyOf({ fields: fields(), kept: kept() });
    body.set("step", what);
    const answer = await post(form.dataset.lookUrl, body, patience);
    offline = !answer || answer.status !== 200;
    told = offline && answer && answer.data && answer.data.problem; /* not the network: the phone is no longer joined */
    return offline ? null : answer.data;
  }

  async function next() {
    const names = shownNames();
    names.forEach((name) => problem(name, ""));
    const empty = names.filter((name) => needed(name) && !form.elements[name].value.trim());
    empty.forEach((name) => problem(name, words.empty));
    if (empty.length) { form.elements[empty[0]].focus(); return; }
    if (step === "all") { if (navigator.onLine && !offline || numbersIn(names)) go("check"); return; }
    const button = one('[data-go="next"]'), label = button.textContent, asked = step;
    let seen = null;
    if (!offline && navigator.onLine) {
      button.textContent = words.checking; button.disabled = true;
      seen = await look(asked, 2500);
      button.disabled = false; button.textContent = label;
    }
    if (step !== asked) return;
    if (seen ? !answered(seen) : !numbersIn(names)) return;
    if (!seen && asked === "end") {
      one("[data-asked]").replaceChildren(swapped() || "");
      if (ask(one("[data-asked]"))) return;
    }
    const following = STEPS[STEPS.indexOf(step) + 1];
    tell(PROGRESS[following], following === "end" ? form.elements.inversions.value : undefined);
    go(following);
  }
  /* Where nothing answers: whether each text has a digit at all, told by its field where not. */
  function numbersIn(names) {
    const typed = (name) => form.elements[name].value.trim();
    const wordy = names.filter((name) => typed(name) && !/\p{Nd}/u.test(typed(name)));
    wordy.forEach((name) => problem(name, filled(words.wordy, { typed: typed(name) })));
    if (wordy.length) form.elements[wordy[0]].focus();
    return !wordy.length;
  }
  /* Put problems by their fields and questions above; true when there is neither. */
  function answered(seen) {
    const names = inOrder(seen.problems);
    names.forEach((name) => problem(name, seen.problems[name]));
    one("[data-asked]").innerHTML = step === "check" ? "" : seen.asked;
    if (names.length) { form.elements[names[0]].focus(); return false; }
    return !ask(one("[data-asked]"));
  }
  function tell(progress, counted) {
    if (!progress) return;
    const body = new URLSearchParams({ progress, waiting: bench.rows().length });
    if (counted !== undefined) body.set("counted", counted);
    telling = telling.then(() => post(form.dataset.progressUrl, body, 4000)); /* in order, so that the desk never steps back */
  }

  /* ---- the whole run looked at, then sent ---- */
  async function check() {
    const box = one("[data-check]"), send = one('[data-go="send"]');
    box.textContent = words.checking;
    told = "";
    const seen = navigator.onLine ? await look("check", 4000) : null;
    if (step !== "check") return;
    send.hidden = false; bench.still(); /* it came up where the tap before may have been */
    if (!seen) {
      box.replaceChildren(swapped() || "", unchecked());
      send.hidden = ask(box);
      return;
    }
    const wrong = inOrder(seen.problems)[0];
    if (wrong) {
      go(stepOf(wrong));
      answered(seen);
      return;
    }
    box.innerHTML = seen.check; send.hidden = !seen.ready;
    ask(box);
  }
  function unchecked() {
    const list = element("dl", "", { className: "readings" });
    const said = element("p", told || words.unchecked, { className: "notice ask" });
    all("[data-field]").forEach(({ dataset: { field: name } }) => {
      const row = element("div", ""), unit = form.elements[name + "_unit"], text = form.elements[name].value;
      if (!text) return;
      row.append(element("dt", bench.words.fields[name]), element("dd", text + " " + (unit ? unit.value : ""), { dir: "ltr" }));
      list.append(row);
    });
    const both = document.createDocumentFragment();
    both.append(said, list);
    return both;
  }
  function send() {
    const row = { v: 1, key: form.elements.key.value, bench: Number(form.dataset.bench), number: Number(form.dataset.number), practical: Number(form.dataset.practical), at: Date.now(), fields: fields(), kept: kept() };
    if (!bench.keep(row)) { leaving(); plainly("send"); return; }
    bench.draft.drop(); store.drop(NAMES.count);
    sent(row.key, words.kept_title, words.kept);
    bench.flush();
  }
  function sent(key, title, text, how, run) {
    const shot = one("[data-sent-shot]"); shot.hidden = !run; shot.textContent = run || "";
    form.dataset.sent = key;
    one("[data-sent-title]").textContent = title; one("[data-sent-words]").textContent = text; one("[data-how]").innerHTML = how || "";
    const work = one("[data-how-link]"), found = one("[data-how] [data-href]");
    work.hidden = !found; if (found) work.href = found.dataset.href;
    if (step !== "sent") show("sent", false);
    section("sent").querySelector("[tabindex]").focus();
  }
  /* Storage was full at the last moment: post the form as a page without script would. */
  function plainly(what) {
    form.append(element("input", "", { type: "hidden", name: "go", value: what }));
    form.action = form.action.replace(/[^/]*$/, "check");
    form.submit();
  }
  bench.hear((what, detail) => {
    const key = detail.key || (detail.row && detail.row.key), mine = key && form.dataset.sent === key;
    if (what === "saved" && mine && !detail.run) sent(key, words.gone_title, words.gone);
    if (what === "saved" && mine && detail.run) { sent(key, filled(words.saved_title, { run: detail.run }), words.saved, detail.how, detail.run); }
    if (what === "held" && mine && detail.data.over === true) { sent(key, words.kept_title, detail.data.problem); one("[data-next-run]").hidden = true; }
    if (what === "refused" && mine) { again(detail.row, detail.data.problems || {}); }
    if (what === "change") { again(detail.row, {}); }
    return what === "saved" && mine;
  });
  /* A run that was not taken comes back into the form, with its own key. */
  function again(row, problems) {
    fill(row); form.dataset.sent = ""; bench.drop(row);
    if (row.taken) form.elements.key.value = newKey(); /* its key names another run that is stored */
    const wrong = inOrder(problems)[0];
    step = "check"; save();
    go(stepOf(wrong));
    answered({ problems, asked: "" });
  }
  function nextRun() {
    const stay = namesWith("data-stays");
    namesIn(form).filter((name) => !stay.includes(name)).concat("start_read_at").forEach((name) => { form.elements[name].value = ""; });
    form.elements.key.value = newKey(); form.dataset.sent = "";
    form.dataset.run = Number(form.dataset.run) + 1; aim();
    one("[data-read-at]").textContent = "";
    one("[data-carried] bdi").textContent = stay.filter((name) => form.elements[name].value).map((name) => form.elements[name].value + "\u00a0" + (form.elements[name + "_unit"] || { value: "" }).value).join(" · ");
    setKept(kept().filter((mark) => stay.includes(mark.split("=")[0])));
    go(onePage ? "all" : "start");
  }

  /* A plan may have another count for the second run. */
  function aim() {
    const target = one("[data-target]"), { first, second } = target.dataset;
    bench.run.target = Number((form.dataset.run === "2" && second) || first);
    target.textContent = bench.run.target;
    document.querySelector(".counting progress").max = bench.run.target;
  }
  function goOn() { save(); if (step === "check") check(); else next(); }

  /* ---- wiring ---- */
  form.addEventListener("submit", (event) => {
    const button = event.submitter || {}, act = button.dataset || {};
    if ("leave" in act) { save(); return; }
    event.preventDefault();
    if (act.asTyped) { setKept(kept().concat(markOf(act.asTyped))); goOn(); return; }
    if ("take" in act) { bench.asked.take(button.value); goOn(); return; }
    if (act.change) { const name = act.change; go(onePage ? "all" : form.elements[name].closest("section").dataset.step); form.elements[name].focus(); return; }
    if (act.go === "back") { if (step === "check" && onePage) go("all"); else go(STEPS[Math.max(0, STEPS.indexOf(step) - 1)]); return; }
    if (act.go === "weigh") { go("weigh"); return; }
    if (act.go === "send" || (step === "check" && !one('[data-go="send"]').hidden)) { send(); return; }
    if (step !== "check") next();
  });
  form.addEventListener("input", (event) => {
    if (event.target.name === "start_temperature" && event.target.value && !form.elements.start_read_at.value) {
      form.elements.start_read_at.value = new Date().toISOString(); readAt();
    }
    if (event.target.name === "start_temperature" && !event.target.value) { form.elements.start_read_at.value = ""; readAt(); }
    save();
  });
  form.addEventListener("change", save);
  function readAt() {
    const at = new Date(form.elements.start_read_at.value || NaN), said = one("[data-read-at]");
    said.textContent = isNaN(at) ? "" : filled(said.dataset.words, { time: at.toTimeString().slice(0, 5) });
  }
  one("[data-next-run]").addEventListener("click", nextRun);
  /* The keyboard takes half the screen: what is being typed stays in sight. */
  addEventListener("resize", () => {
    const lost = high - innerHeight, typing = document.activeElement;
    high = innerHeight;
    if (lost > 120 && typing.matches("#run input")) typing.scrollIntoView({ block: "nearest" }); /* less is the browser's own bar */
  });
  /* The shot cools while nobody reads it: with the target reached the end temperature is asked for at once. */
  function counted(text, reached) {
    form.elements.inversions.value = text; one("[data-asked]").replaceChildren(); save();
    if (reached && step === "count") next(); else if (reached) form.elements.end_temperature.focus();
  }
  addEventListener("popstate", (event) => {
    if (bench.run.counting) { history.pushState({ step }, ""); return; } /* a thumb slipped: the count goes on */
    const back = event.state && event.state.step;
    if (back === "check" && namesWith("data-needed").some((name) => !form.elements[name].value.trim())) return; /* of the run before: this one is not so far */
    if (back && step !== "sent") { show(back, true); save(); if (back === "check") check(); }
  });
  bench.run = { counting: false, tell, save, counted };
  /* Runs that still wait here have numbers of their own. */
  form.dataset.run = Number(form.dataset.run) + bench.rows().length; aim();

  /* ---- what was typed before a reload comes back ---- */
  const draft = bench.draft.earlier();
  if (draft && !form.dataset.plain && !bench.rows().some((row) => row.key === draft.key)) {
    fill(draft);
    const back = STEPS.includes(draft.step) ? draft.step : STEPS[0];
    show(onePage ? "all" : back, false);
  }
  const changed = bench.rows().find((row) => row.key && row.key === store.get(NAMES.change));
  store.drop(NAMES.change);
  if (changed) again(changed, {});
  history.replaceState({ step }, "");
  readAt();
  if (step === "check") check();
  if (emptyFirst() && !document.querySelector(".problems")) emptyFirst().focus();
})();
