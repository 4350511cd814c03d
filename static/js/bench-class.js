/* What the wall shows, on the phone: asked for while the page is looked at, and exchanged together with its figure. */
"use strict";
(function () {
  const box = document.getElementById("class");
  if (!box) return;
  const now = () => document.getElementById("class-now"), stale = box.querySelector("[data-stale]");
  /* While a run is typed nobody looks at the class: it comes with the screen after Send. */
  const sent = document.querySelector('#run [data-step="sent"]');

  /* Another number for this bench is that of the whole page. */
  function renumber(number) {
    const mark = document.querySelector(".whose .mark");
    if (mark && number && mark.lastChild.textContent !== number) mark.lastChild.textContent = number;
  }

  const following = asking.follow(box.dataset.address, "#class-now", {
    /* Milliseconds: our own choice. With its figure the wall's step is here within three seconds. */
    every: 1600, tag: now().dataset.tag, needed: () => !sent || !sent.hidden,
    async take(piece) { /* a wall that is held still looks the same after every run that comes in */
      const fresh = document.adoptNode(piece.querySelector("#class-now")), here = now().dataset, there = fresh.dataset;
      renumber(there.number);
      if (here.paused === "yes" && there.paused === "yes" && here.step === there.step && here.number === there.number) return;
      await Promise.all(Array.from(fresh.querySelectorAll("img"), (image) => image.decode()));
      if (Number(there.revision) < Number(here.revision)) return;
      if (here.step !== there.step) bench.still();
      now().replaceWith(fresh);
    },
    well() { stale.hidden = true; },
    failed(failures) { stale.hidden = failures < 2 || !now().dataset.step; },
    barred() { now().replaceChildren(); },
  });
  bench.hear((what) => { if (what === "saved") following.now(); return false; }); /* its run is in the picture at once */
  if (sent) new MutationObserver(() => following.now()).observe(sent, { attributes: true, attributeFilter: ["hidden"] });
})();
