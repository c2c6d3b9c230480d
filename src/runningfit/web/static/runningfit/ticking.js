// Lists of lots: one tap ticks all that are shown, and the button says how many are ticked.
"use strict";
document.querySelectorAll("form[data-ticking]").forEach((form) => {
  const boxes = [...form.querySelectorAll("input[type=checkbox][name=lot]")];
  if (boxes.length < 2) return;
  const all = document.createElement("button");
  all.type = "button"; all.className = "plain";
  const say = () => {
    const ticked = boxes.filter((box) => box.checked).length;
    all.textContent = ticked === boxes.length ? "Tick none" : `Tick all ${boxes.length}` + (ticked ? ` (${ticked} ticked)` : "");
  };
  all.onclick = () => {
    const tick = boxes.some((box) => !box.checked);
    boxes.forEach((box) => { box.checked = tick; });
    say();
  };
  form.addEventListener("change", say);
  say();
  form.querySelector("table").before(all);
});
