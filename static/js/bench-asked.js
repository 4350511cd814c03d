/* An unlikely reading, asked about: what the bench takes up, and what the phone asks without the network. */
"use strict";
(function () {
  const form = document.getElementById("run");
  if (!form) return;
  const { fields, kept, markOf } = bench.draft, typed = () => JSON.stringify(fields());
  let askedAbout = typed(); /* a question may stand on the page as it came */

  function ask(part) {
    const group = part && part.querySelector(".asked");
    if (!group) return false;
    askedAbout = typed();
    bench.still(); group.focus();
    return true;
  }

  /* What the button proposes, in place of what was typed, unless that was changed meanwhile: then it is asked anew. */
  function take(proposed) {
    if (typed() !== askedAbout) return;
    Object.entries(JSON.parse(proposed)).forEach(([name, [text, unit]]) => {
      form.elements[name].value = text;
      if (unit) form.elements[name + "_unit"].value = unit;
    });
  }

  /* The commonest slip, where both are plain numbers in °C. */
  function swapped() {
    const [start, end] = ["start_temperature", "end_temperature"].map((name) => ({ text: form.elements[name].value, unit: form.elements[name + "_unit"].value }));
    const degrees = ({ text, unit }) => (unit === "°C" && /^[-−]?\d+([.,]\d+)?( *°?C)?$/.test(text.trim()) ? parseFloat(text.trim().replace("−", "-").replace(",", ".")) : NaN);
    const fell = degrees(start) - degrees(end);
    if (!(fell > 0 && fell < 10) || kept().includes(markOf("end_temperature"))) return null; /* more was hardly an exchange */
    const part = form.querySelector("template").content.cloneNode(true), said = part.querySelector("p");
    said.textContent = bench.filled(said.textContent, { start: degrees(start), end: degrees(end) });
    part.querySelector("[data-take]").value = JSON.stringify({ start_temperature: [end.text, ""], end_temperature: [start.text, ""] });
    return part;
  }

  bench.asked = { ask, take, swapped };
})();
