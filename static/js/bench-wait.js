/* A bench beyond the plan: once the teacher has answered, this page goes on by itself. */
"use strict";
(function () {
  if (!document.querySelector("[data-waits]")) return;
  /* Milliseconds: our own choice. */
  asking.repeat(async () => {
    try {
      const got = await asking.data(location.href);
      if (!got.data) return "failed";
      if (!got.data.waits) { bench.leaving(); location.reload(); }
      return "well";
    } catch { return "failed"; }
  }, { every: 3000, slowest: 20000, jitter: 0.3, needed: () => !document.hidden });
})();
