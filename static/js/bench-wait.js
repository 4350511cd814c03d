/* What waits for the teacher: a bench beyond the plan, or runs that came too fast. Once the teacher has answered, the
   page goes on by itself; what is being typed on it is left alone. */
"use strict";
(function () {
  const mark = document.querySelector("[data-waits]");
  if (!mark) return;
  const address = mark.dataset.waitsUrl || location.href;
  const waits = ({ waits, runs }) => mark.dataset.waits ? Array.isArray(runs) && runs.join(" ") === mark.dataset.waits : waits;
  /* Milliseconds: our own choice. */
  asking.repeat(async () => {
    try {
      const got = await asking.data(address);
      if (!got.data) return "failed";
      if (!waits(got.data) && bench.untouched()) { bench.leaving(); location.reload(); }
      return "well";
    } catch { return "failed"; }
  }, { every: 3000, slowest: 20000, jitter: 0.3, needed: () => !document.hidden });
})();
