// Says how far an export is, and ends it; without this script the browser's own download does both.
"use strict";
(() => {
  const form = document.getElementById("export");
  if (!form) return;
  const box = document.getElementById("export-progress"), bar = document.getElementById("export-bar");
  const said = document.getElementById("export-said"), stop = document.getElementById("export-stop");
  const words = form.dataset;
  let watching = false, unknown = 0;

  function say(sentence, { done = 0, total = 0 } = {}) {
    said.textContent = sentence.replace("{done}", done).replace("{total}", total);
  }

  function ended() {
    watching = false;
    stop.hidden = true;
  }

  function show(answer) {
    if (answer.progress === "running") {
      bar.max = answer.total;
      bar.value = answer.done;
      say(words.running, answer);
    } else if (answer.progress === "done") {
      bar.value = bar.max;
      say(words.done, answer);
      ended();
    } else if (answer.progress === "stopped") {
      say(words.stopped);
      ended();
    }
  }

  /* The download may reach the server after the first question: a few unknown answers are none. */
  async function look() {
    const got = await asking.data(words.progress).catch(() => null);
    if (!got || !got.data) return "failed";
    if (got.data.progress === "unknown") {
      unknown += 1;
      if (unknown >= 4) { say(words.unknown); ended(); }
      return "well";
    }
    unknown = 0;
    show(got.data);
    return "well";
  }

  const asks = asking.repeat(look, { every: 1000, slowest: 8000, jitter: 0.1, needed: () => watching && !document.hidden });

  form.addEventListener("submit", () => {
    watching = true;
    unknown = 0;
    box.hidden = stop.hidden = false;
    bar.removeAttribute("value");
    say(words.waiting);
    asks.now();
  });

  stop.addEventListener("click", async () => {
    stop.disabled = true;
    await asking.data(words.stop, { method: "POST", headers: { "X-CSRFToken": words.token } }).catch(() => null);
    stop.disabled = false;
    asks.now();
  });
})();
