// The plan's form: another metal brings its own accepted value, as long as the value was not changed by hand.
// The server does the same, so the form works without this script.
(() => {
  const metal = document.getElementById("material");
  const value = document.getElementById("accepted");
  const source = document.getElementById("accepted_source");
  const offeredFor = document.querySelector("input[name=accepted_for]");
  if (!metal || !value || !source || !offeredFor) return;

  const offer = (key) => metal.querySelector(`option[value="${CSS.escape(key)}"]`)?.dataset ?? {};
  metal.addEventListener("change", () => {
    const before = offer(offeredFor.value);
    if (value.value.trim() === "" || value.value.trim() === before.accepted) {
      value.value = offer(metal.value).accepted ?? "";
      source.value = offer(metal.value).source ?? "";
    }
    offeredFor.value = metal.value;
  });
})();
