// The grid by keyboard, and blocks from a spreadsheet pasted into it. Without this script it is a form that saves.
(() => {
  const form = document.getElementById("grid-form");
  const body = document.querySelector("#grid tbody");
  if (!form || !body) return;
  const words = form.dataset;
  const most = Number(words.most);
  const last = JSON.parse(words.last);
  const plan = JSON.parse(words.plan);
  const said = document.getElementById("grid-said");
  document.getElementById("grid-keys").hidden = false;
  const RUN = "run"; // the column that is counted, not typed
  const columns = [...document.querySelectorAll("#grid thead th[data-name]")].map((head) => ({
    name: head.dataset.name,
    called: [head.dataset.name, head.dataset.column.toLowerCase(), plainName(head.textContent)],
  }));

  const rows = () => [...body.rows];
  const cellsOf = (row) => [...row.querySelectorAll("input[type=text]")];
  const targetsOf = (row) => [...row.cells].slice(1).map((cell) => cell.querySelector("input[type=text]"));
  const isBlank = (row) => cellsOf(row).slice(1).every((cell) => cell.value.trim() === "");
  function plainName(text) {
    return text.replace(/[(/[].*$/s, "").trim().toLowerCase();
  }
  function tell(...sentences) {
    said.textContent = sentences.filter(Boolean).join(" ");
    said.hidden = said.textContent === "";
  }

  // The number that each run will have, and what the plan gives it: shown in grey, and sent so that the server knows it.
  function countRuns() {
    const numbers = { ...last };
    for (const row of rows()) {
      const bench = cellsOf(row)[0].value.trim();
      const possible = /^0*[1-9][0-9]?$/.test(bench);
      const run = (numbers[Number(bench)] ?? 0) + 1;
      if (possible && !isBlank(row)) numbers[Number(bench)] = run;
      row.querySelector(".run-number").textContent = possible ? run : "–";
      showPlanned(row, possible ? plannedFor(Number(bench), run) : {});
    }
  }
  function plannedFor(bench, run) {
    const runs = plan.benches[bench] ?? plan.others; // the last one stands for all later runs
    return runs[Math.min(run, runs.length) - 1];
  }
  function showPlanned(row, planned) {
    const cellNamed = (name) => row.querySelector(`input[name^="${name}_"]`);
    const measured = plan.parts.some((name) => cellNamed(name).value.trim());
    const grey = plan.names.map((name) => (name === plan.whole && measured ? "" : planned[name] ?? ""));
    plan.names.forEach((name, n) => { cellNamed(name).placeholder = grey[n]; });
    cellNamed("grey").value = grey.join(plan.separator);
  }

  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }
  function addRow() {
    const before = rows().at(-1);
    const row = before.cloneNode(true);
    const place = Math.max(...rows().map((one) => Number(one.dataset.place))) + 1;
    const number = rows().length + 1;
    row.dataset.place = place;
    row.cells[0].textContent = number;
    row.querySelectorAll(".field-problem, .field-warning").forEach((sentence) => sentence.remove());
    const [key, grey] = row.querySelectorAll("input[type=hidden]");
    key.name = `key_${place}`;
    key.value = newKey();
    grey.name = `grey_${place}`;
    for (const cell of cellsOf(row)) {
      cell.id = cell.name = cell.name.replace(/\d+$/, place);
      cell.value = cell.placeholder = "";
      cell.setAttribute("aria-label", cell.getAttribute("aria-label").replace(/\d+$/, number));
      cell.removeAttribute("aria-invalid");
      cell.removeAttribute("aria-describedby");
      cell.classList.remove("warned");
    }
    body.append(row);
    return row;
  }

  // Keys: Enter goes down and makes a row below the last, the arrows go to the next cell.
  function goTo(row, column) {
    const cell = row && cellsOf(row)[column];
    if (!cell) return false;
    cell.focus();
    cell.select();
    return true;
  }
  form.addEventListener("keydown", (event) => {
    const row = event.target.closest("#grid tbody tr");
    if (!row || event.target.type !== "text" || event.isComposing || event.altKey) return;
    const cell = event.target;
    const column = cellsOf(row).indexOf(cell);
    const modified = event.ctrlKey || event.metaKey;
    const whole = cell.selectionStart === 0 && cell.selectionEnd === cell.value.length;
    const atStart = whole || cell.selectionEnd === 0;
    const atEnd = whole || cell.selectionStart === cell.value.length;
    let gone = false;
    if (event.key === "Enter" && modified) {
      form.requestSubmit(form.querySelector("button.main"));
      gone = true;
    } else if (event.key === "Enter") {
      const below = row.nextElementSibling ?? (rows().length < most ? addRow() : null);
      goTo(event.shiftKey ? row.previousElementSibling : below, column);
      if (below?.nextElementSibling === null) countRuns();
      gone = true; // Enter never sends a half-filled grid
    } else if (!modified && !event.shiftKey) {
      if (event.key === "ArrowDown") gone = goTo(row.nextElementSibling, column);
      if (event.key === "ArrowUp") gone = goTo(row.previousElementSibling, column);
      if (event.key === "ArrowLeft" && atStart) gone = goTo(row, column - 1);
      if (event.key === "ArrowRight" && atEnd) gone = goTo(row, column + 1);
    }
    if (gone) event.preventDefault();
  });

  // Paste: rows at line ends, cells at tabs. An empty cell of the block leaves what stands; a run's number is not taken.
  function blockOf(text) {
    const lines = text.replace(/\r\n?/g, "\n").replace(/\n+$/, "").split("\n");
    return lines.map((line) => line.split("\t").map((cell) => cell.trim().replace(/^"(.*)"$/, "$1").trim()));
  }
  const isHeading = (cells) => cells.some(Boolean) && !cells.some((cell) => /^[-+−]?[.,]?\p{Nd}/u.test(cell));
  function placesOf(block, first) {
    // For each column of the block its column here; by name where the heading names at least two of ours.
    const names = isHeading(block[0]) ? block.shift() : [];
    const found = names.map((name) =>
      columns.findIndex((one) => one.called.includes(plainName(name)) || one.called.includes(name.toLowerCase())),
    );
    if (found.filter((place) => place >= 0).length < 2) {
      const width = Math.max(0, ...block.map((cells) => cells.length));
      const beyond = block.some((cells) => cells.slice(columns.length - first).some(Boolean));
      const run = columns.findIndex((one) => one.name === RUN) - first;
      const onRun = block.some((cells) => cells[run]);
      return { places: Array.from({ length: width }, (_, n) => first + n), beyond, onRun, unknown: [] };
    }
    const unknown = names.filter((name, n) => found[n] < 0 && block.some((cells) => cells[n]));
    return { places: found, beyond: false, onRun: false, unknown };
  }
  body.addEventListener("paste", (event) => {
    const row = event.target.closest("tr");
    const block = blockOf(event.clipboardData.getData("text/plain"));
    if (!row || (block.length === 1 && block[0].length === 1)) return;
    event.preventDefault();
    const { places, beyond, onRun, unknown } = placesOf(block, targetsOf(row).indexOf(event.target));
    const start = rows().indexOf(row);
    if (start + block.length > most) {
      tell(words.tooMany.replace("{count}", start + block.length).replace("{most}", most));
      return;
    }
    while (rows().length < start + block.length) addRow();
    const into = rows().slice(start);
    block.forEach((cells, n) => {
      const targets = targetsOf(into[n]);
      cells.forEach((text, at) => {
        if (text && targets[places[at]]) targets[places[at]].value = text;
      });
    });
    typed = true;
    countRuns();
    tell(
      words.pasted.replace("{count}", block.length),
      unknown.length && words.left.replace("{names}", unknown.join(", ")),
      beyond && words.beyond,
      onRun && words.onRun,
    );
  });

  // What is typed is not left behind unasked, and not sent where the answer would be another page without it.
  let typed = rows().some((row) => !isBlank(row));
  let sending = false;
  body.addEventListener("input", () => {
    typed = true;
    countRuns();
  });
  function refuse(sentence) {
    tell(sentence);
    said.scrollIntoView({ block: "center" });
  }
  let asks = false;
  let admitted = false;
  async function whyNot() {
    if (!window.asking) return ""; // that script did not come: the form goes as it would without any
    try {
      const { status } = await asking.answer(words.page, { method: "HEAD" });
      return asking.BARRED.includes(status) ? words.signedOut : status === 200 ? "" : words.silent;
    } catch {
      return words.silent;
    }
  }
  form.addEventListener("submit", async (event) => {
    if (admitted) {
      admitted = false;
      sending = true;
      return;
    }
    event.preventDefault();
    const file = document.getElementById("run_table")?.files[0];
    if (event.submitter?.value === "read" && file && file.size > Number(words.largest)) {
      refuse(words.tooLarge);
      return;
    }
    if (asks) return;
    asks = true;
    const why = await whyNot();
    asks = false;
    if (why) {
      refuse(why);
      return;
    }
    admitted = true;
    form.requestSubmit(event.submitter);
  });
  window.addEventListener("pageshow", () => { sending = false; });
  window.addEventListener("beforeunload", (event) => {
    if (typed && !sending) event.preventDefault();
  });
})();
