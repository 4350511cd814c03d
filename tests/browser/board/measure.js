// What a person would complain about: bars to scroll, labels cut off or lying over one another, small letters.
() => {
  const shown = (e) => { const r = e.getBoundingClientRect(); return r.width > 1 && r.height > 1 && getComputedStyle(e).visibility !== "hidden"; };
  const hidden = (e) => e.closest(".visually-hidden, .skip, [hidden], noscript");
  const name = (e) => `${e.tagName} ${e.className} “${e.textContent.trim().slice(0, 40)}”`;
  const scrolls = [], clipped = [], overlapping = [];
  const root = document.scrollingElement;
  if (root.scrollHeight > innerHeight || root.scrollWidth > innerWidth) scrolls.push(`page ${root.scrollWidth} by ${root.scrollHeight}`);
  let smallest = Infinity;
  const labels = [];
  for (const e of document.body.querySelectorAll("*")) {
    if (hidden(e) || !shown(e)) continue;
    const style = getComputedStyle(e);
    if (["auto", "scroll"].includes(style.overflowX) && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)) scrolls.push(name(e));
    const own = [...e.childNodes].filter((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own.length || style.fontSize === "0px") continue;
    smallest = Math.min(smallest, parseFloat(style.fontSize));
    const range = document.createRange();
    for (const text of own) {
      range.selectNodeContents(text);
      const box = range.getBoundingClientRect();
      if (box.width === 0) continue;
      const home = (e.closest("td, th, li, button, a.button, .wall-head p, h1, .wall-status, aside") || e).getBoundingClientRect();
      const slack = 2;
      if (box.left < -slack || box.top < -slack || box.right > innerWidth + slack || box.bottom > innerHeight + slack) clipped.push(`off the wall: ${name(e)}`);
      else if (box.left < home.left - slack || box.right > home.right + slack || box.top < home.top - 4 || box.bottom > home.bottom + 4) clipped.push(`out of its place: ${name(e)}`);
      labels.push([e, box]);
    }
  }
  for (const image of document.querySelectorAll("img")) {
    const box = image.getBoundingClientRect();
    if (box.bottom > innerHeight || box.right > innerWidth || box.left < 0 || box.top < 0) clipped.push(`figure off the wall: ${box.width} by ${box.height}`);
    if (image.closest(".wall-figure")) smallest = Math.min(smallest, 29 * 4 / 3 * box.width / image.naturalWidth); // 29 pt, the figures' smallest
    for (const [e, words] of labels) {
      if (words.left < box.right - 2 && words.right > box.left + 2 && words.top < box.bottom - 2 && words.bottom > box.top + 2) overlapping.push(`on the figure: ${name(e)}`);
    }
  }
  for (let i = 0; i < labels.length; i++) for (let j = i + 1; j < labels.length; j++) {
    const [a, p] = labels[i], [b, q] = labels[j];
    if (a === b || a.contains(b) || b.contains(a)) continue;
    if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > 3 && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 6) overlapping.push(`${name(a)} / ${name(b)}`);
  }
  return { scrolls, clipped, overlapping, smallest };
}
