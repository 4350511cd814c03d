/* Counting falls: the whole screen is the button; the count outlives a reload and a locked screen. */
"use strict";
(function () {
  const board = document.querySelector(".counting"), opener = document.querySelector("[data-count]");
  if (!board || !opener || !bench.run) return;
  const words = JSON.parse(board.dataset.words), { NAMES, store, filled, element } = bench;
  const tap = board.querySelector(".tap"), shown = tap.querySelector("b"), left = board.querySelector("[data-left]"), todo = board.querySelector("[data-do]");
  const tempo = board.querySelector(".tempo"), bar = board.querySelector("progress"), sound = board.querySelector("[data-sound]");
  const { key, inversions } = document.getElementById("run").elements;
  const run = bench.run, most = Number(board.dataset.most);
  const ONE_FALL = 250; /* milliseconds: no shot falls and is turned again so soon (own choice) */
  let count = 0, taps = [], lock = null, audio = null, put = ""; /* `put`: what was last put into the field from here */

  function keep() { store.put(NAMES.count, JSON.stringify({ count, put, open: !board.hidden, key: key.value })); }
  function kept() {
    const read = store.read(NAMES.count);
    return read && Number.isInteger(read.count) && read.count >= 0 && read.count <= most && read.key === key.value ? read : null;
  }

  function draw() {
    shown.textContent = count;
    bar.value = Math.min(count, run.target); tap.style.setProperty("--part", bar.position);
    left.textContent = count < run.target ? filled(words.left, { left: run.target - count }) : count === run.target ? words.reached : filled(words.over, { over: count - run.target });
    todo.textContent = count < run.target ? words.tap : words.stop;
    if (count >= run.target) tempo.textContent = words.more; else if (tempo.textContent === words.more) tempo.textContent = "";
    tap.classList.toggle("reached", count >= run.target);
  }
  /* From the last few taps; a shot needs about half a second to fall a metre and come to rest. */
  function hint() {
    const span = taps[taps.length - 1] - taps[0], each = span / (taps.length - 1);
    if (taps.length < 4) return "";
    return each < 700 ? words.fast : each > 4000 ? words.slow : filled(words.steady, { per_minute: Math.round(60000 / each) });
  }
  function tick() {
    if (!audio) return;
    const tone = audio.createOscillator(), level = audio.createGain();
    tone.frequency.value = count % 10 ? 660 : 990; level.gain.value = .15;
    tone.connect(level).connect(audio.destination); tone.start(); tone.stop(audio.currentTime + .06);
  }
  function add() {
    const now = performance.now();
    if (now - taps[taps.length - 1] < ONE_FALL) return;
    count += 1; taps = taps.concat(now).slice(-6);
    keep(); draw();
    if (navigator.vibrate && (count % 10 === 0 || count === run.target)) navigator.vibrate(count === run.target ? [200, 100, 200] : 120);
    tick();
    if (count % 5 === 0 && count < run.target) tempo.textContent = hint();
    if (count % 10 === 0) bench.run.tell("counting", count);
  }
  function cover(covered) { Array.from(document.body.children).forEach((part) => { if (part !== board) part.inert = covered; }); }
  async function stayAwake() {
    if (lock && !lock.released) return;
    try { lock = await navigator.wakeLock.request("screen"); } catch { tempo.textContent = words.awake; }
    if (board.hidden) mayGoDark(); /* Done was pressed before the lock came */
  }
  function mayGoDark() { if (lock) lock.release(); lock = null; }
  function open() {
    const earlier = kept();
    count = earlier ? earlier.count : 0; put = earlier && earlier.put || "";
    board.hidden = false; bench.still(); bench.run.counting = true; document.body.append(board); cover(true);
    taps = []; tempo.textContent = ""; draw(); keep(); stayAwake(); tap.focus();
    bench.run.tell("counting", count);
  }
  function close() {
    board.hidden = true; bench.still(); bench.run.counting = false; cover(false);
    mayGoDark();
    const typed = inversions.value.trim();
    if (count && typed && ![put, String(count)].includes(typed)) choose(typed); else take(count);
  }
  function take(wanted) {
    if (wanted) put = String(wanted);
    keep();
    if (wanted) bench.run.counted(put, wanted >= run.target);
    if (wanted < run.target) inversions.focus();
  }
  /* Another count stands in the field: the bench says which one is right. */
  function choose(typed) {
    const group = element("div", "", { className: "asked", tabIndex: -1 }), actions = element("div", "", { className: "actions" });
    const button = (said, act) => { const made = element("button", filled(words.right, { count: said }), { type: "button" }); made.addEventListener("click", act); return made; };
    group.setAttribute("role", "group"); group.setAttribute("aria-label", words.which);
    actions.append(button(count, () => take(count)), button(typed, () => { keep(); group.remove(); inversions.focus(); }));
    group.append(element("p", filled(words.both, { typed, count }) + " " + words.which), actions);
    keep(); document.querySelector("[data-asked]").replaceChildren(group);
    scrollTo(0, 0); group.focus();
  }

  opener.hidden = false;
  opener.addEventListener("click", open);
  /* pointerdown, not click: a wet finger that slides still counts, and at once. */
  tap.addEventListener("pointerdown", (event) => { if (event.isPrimary) add(); });
  tap.addEventListener("keydown", (event) => { if ((event.key === " " || event.key === "Enter") && !event.repeat) { event.preventDefault(); add(); } });
  board.querySelector("[data-undo]").addEventListener("click", () => { count = Math.max(0, count - 1); keep(); draw(); });
  board.querySelector("[data-done]").addEventListener("click", close);
  board.addEventListener("keydown", (event) => { if (event.key === "Escape") close(); });
  sound.addEventListener("click", () => {
    audio = audio ? null : new (window.AudioContext || window.webkitAudioContext)();
    sound.setAttribute("aria-pressed", String(Boolean(audio)));
  });
  document.addEventListener("visibilitychange", () => { if (!document.hidden && !board.hidden) stayAwake(); });
  const earlier = kept();
  if (earlier && earlier.open) open();
})();
