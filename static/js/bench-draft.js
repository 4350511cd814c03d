/* What is typed for one run stays on this phone until the records name the run. */
"use strict";
(function () {
  const form = document.getElementById("run");
  if (!form) return;
  const { NAMES, store } = bench, NAME = NAMES.draft + form.dataset.bench;
  const marks = () => Array.from(form.querySelectorAll("input[name=kept]"));

  function fields() {
    const read = {};
    new FormData(form).forEach((text, name) => { if (!["csrf_token", "key", "bench", "kept", "go"].includes(name)) read[name] = String(text); });
    return read;
  }

  /* The unlikely readings that the bench called right, each with the text it said that of. */
  const kept = () => marks().map((input) => input.value);
  function setKept(wanted) {
    marks().forEach((input) => input.remove());
    wanted.forEach((mark) => form.append(bench.element("input", "", { type: "hidden", name: "kept", value: mark })));
  }
  function markOf(name) {
    const unit = form.elements[name + "_unit"], text = form.elements[name].value;
    const shown = name === "end_temperature" ? form.elements.start_temperature.value + "→" + text : text;
    return (name + "=" + shown + " " + (unit ? unit.value : "")).trim();
  }

  function save(step) { store.put(NAME, JSON.stringify({ v: 1, key: form.elements.key.value, step, fields: fields(), kept: kept() })); }
  function fill(draft) {
    Object.entries(draft.fields).forEach(([name, text]) => {
      const input = form.elements[name];
      if (input && "value" in input && typeof text === "string") input.value = text;
    });
    form.elements.key.value = draft.key;
    setKept(draft.kept || []);
  }
  function read(name) {
    const draft = store.read(name);
    return draft && draft.v === 1 && draft.fields && typeof draft.fields === "object" && bench.isKey(draft.key) ? draft : null;
  }

  /* What was typed before a reload, or under the wrong bench number that this phone has just put right. */
  function earlier() {
    const from = store.get(NAMES.moving);
    store.drop(NAMES.moving);
    if (from && from !== form.dataset.bench && !store.get(NAME) && store.get(NAMES.draft + from)) {
      store.put(NAME, store.get(NAMES.draft + from)); store.drop(NAMES.draft + from);
    }
    return read(NAME);
  }

  bench.draft = { fields, kept, setKept, markOf, fill, save, earlier, drop() { store.drop(NAME); } };
})();
