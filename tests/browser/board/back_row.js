// The letters of every text in the picture and of every figure: face and size as drawn, in parts of the picture's width.
() => ({
  words: [...document.querySelectorAll("#picture *")].filter((e) => !e.closest(".visually-hidden") && [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim())).map((e) => {
    const { fontFamily, fontSize } = getComputedStyle(e);
    return { words: e.textContent.trim().slice(0, 30), finding: Boolean(e.closest(".wall-finding span:first-child, .wall-question")), face: fontFamily.split(",")[0].replaceAll('"', ""), size: parseFloat(fontSize) / innerWidth };
  }),
  figures: [...document.querySelectorAll(".wall-figure img")].map((image) => ({ drawing: new URL(image.currentSrc).searchParams.get("size") || "wall", width: image.getBoundingClientRect().width / innerWidth })),
})
